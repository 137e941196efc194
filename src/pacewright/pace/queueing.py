"""Formulas for queues before places that are alike: Erlang's, and corrections for regularity.

Notation: c places, a = arrival rate x mean time on a place (offered load), rho = a / c.
"""


def erlang_b(servers: int, load: float) -> float:
    """Chance that all places are taken when those who find none go away (M/G/c/c).

    Parameters
    ----------
    servers : c, 0 or more.
    load : a, 0 or more.

    Equations
    ---------
    B(0) = 1; B(k) = a B(k-1) / (k + a B(k-1)) (Erlang 1917; the recursion is general use).

    >>> round(erlang_b(30, 25), 4)
    0.0526
    """
    blocked = 1.0
    for place in range(1, servers + 1):
        blocked = load * blocked / (place + load * blocked)
    return blocked


def erlang_c(servers: int, load: float) -> float:
    """Chance that an arrival has to wait, random arrivals and exponential times (M/M/c).

    1 where the places cannot carry the load.

    Equations
    ---------
    C = B / (1 - rho (1 - B)) with B of ``erlang_b`` (Erlang 1917).
    """
    if load >= servers:
        return 1.0
    blocked = erlang_b(servers, load)
    return blocked / (1 - load / servers * (1 - blocked))


def places_for_loss(load: float, most_lost: float) -> int:
    """Least number of places at which ``erlang_b`` is at most ``most_lost`` (above 0)."""
    servers = 0
    while erlang_b(servers, load) > most_lost:
        servers += 1
    return servers


def places_if_random(load: float, most_waiting: float) -> int:
    """Least number of places at which ``erlang_c`` is at most ``most_waiting`` (above 0)."""
    servers = max(1, int(load))
    while erlang_c(servers, load) > most_waiting:
        servers += 1
    return servers


def mean_wait(servers: int, load: float, mean_time: float, ca2: float, cs2: float) -> float:
    """Mean wait for a place, in the unit of ``mean_time``.

    Parameters
    ----------
    servers, load : c, a with a < c.
    mean_time : mean time on a place.
    ca2, cs2 : squared coefficient of variation of the time between arrivals, and on a place
        (random arrivals 1, regular 0).

    Raises
    ------
    ValueError : the places cannot carry the load; there is no steady wait.

    Equations
    ---------
    W = C(c, a) / (c - a) x mean_time x (ca2 + cs2) / 2 (Allen 1978, Cunneen; with one place it
    is Kingman 1961, exact for random arrivals: Pollaczek-Khinchine).

    >>> round(mean_wait(1, 0.8, 1.0, 1.0, 0.25), 6)
    2.5
    """
    if load >= servers:
        raise ValueError(f"{servers} places cannot carry a load of {load:.3g}")
    return erlang_c(servers, load) / (servers - load) * mean_time * (ca2 + cs2) / 2
