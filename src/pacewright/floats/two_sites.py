"""A second site that draws from the same float: its pull on the works, and its own readiness."""

import numpy as np
from numpy.typing import NDArray

from pacewright.floats.count_law import Complex, CountLaws, Window, from_transform, window
from pacewright.floats.problem import Stream
from pacewright.floats.turn_time import mean_beyond

Array = NDArray[np.float64]


def site_draw(stream: Stream, late_days: float) -> tuple[float, float]:
    """Days' worth of the site's units (out that were drawn before, back that came since).

    At a look ``late_days`` after the need: (days of draws before the need still out at the look,
    days of units that came in after the need and are back at the look). A unit of the site
    travels to the works, takes its turn, and is then in the float again.
    """
    shift = stream.site_transit_days
    moments = np.array([late_days - shift, -shift])
    out, whole = mean_beyond(stream.turn, moments)
    bought, all_bought = np.maximum(stream.purchase_days - np.array([late_days, 0.0]), 0.0)
    out = (1 - stream.scrap_share) * out + stream.scrap_share * bought
    whole = (1 - stream.scrap_share) * whole + stream.scrap_share * all_bought
    return float(out), float(late_days - (whole - out))


def random_draws(drawn: Array, returned: Array, where: Window) -> Complex:
    """Transform of what a second site's random draws add to the units short, one row a law.

    Equations: Poisson(drawn) - Poisson(returned): exact, as random draws with independent turns
    split into independent Poisson counts (Palm 1938; from memory).
    """
    turns = where.turns - 1
    back = 1 / where.turns - 1
    return np.asarray(np.exp(np.outer(drawn, turns) + np.outer(returned, back)))


def backorders(outstanding: CountLaws, units: int) -> Array:
    """Law of the units owed when ``units`` are in the float: weights of 0, 1, 2 ..."""
    values, weights = outstanding.values()[0], outstanding.weights[0]
    owed = np.maximum(values - units, 0)
    return np.asarray(np.bincount(owed, weights=weights), dtype=float)


def thinned(owed: Array, share: float, where: Window) -> Complex:
    """Transform of a site's part of the units owed: each is its own with chance ``share``.

    Exact when all sites draw at random (Graves 1985); METRIC's Poisson with the same mean
    (Sherbrooke 1968) understates the spread.
    """
    each = 1 + share * (where.turns - 1)
    powers = each[None, :] ** np.arange(owed.size)[:, None]
    return np.asarray((owed @ powers)[None, :])


def site_law(outstanding: CountLaws, units: int, share: float, in_transit: float) -> CountLaws:
    """Units a site lacks of its own float: on their way, and owed to it by the works.

    Parameters
    ----------
    outstanding : law of the units out of the works' float.
    units : float of the works.
    share : the site's share of all draws.
    in_transit : units on their way to the site on average (rate x transit).
    """
    owed = backorders(outstanding, units)
    counts = np.arange(owed.size)
    mean = float(owed @ counts)
    spread = share**2 * float(owed @ (counts - mean) ** 2) + share * mean + in_transit
    where = window(np.array([share * mean + in_transit]), spread)
    transit = np.exp(in_transit * (where.turns - 1))[None, :]
    return from_transform(thinned(owed, share, where) * transit, where)


def second_site_ready(stream: Stream, units: int, site_units: int) -> float:
    """Chance that the second site has a unit on its shelf when it needs one.

    Parameters
    ----------
    units : float of the works; site_units : units of the kind kept at the second site.

    All draws are taken as random here (those of the works are paced: the true figure is a
    little better), by the exact thinning of ``thinned``.
    """
    paced = stream.units_a_takt / stream.takt_days
    out, _ = site_draw(stream, 0.0)
    mean = stream.site_a_day * out + _paced_out(stream)
    where = window(np.array([mean]), mean)
    outstanding = from_transform(np.exp(mean * (where.turns - 1))[None, :], where)
    share = stream.site_a_day / (stream.site_a_day + paced)
    in_transit = stream.site_a_day * stream.site_transit_days
    if site_units <= 0:
        return 0.0
    return site_law(outstanding, units, share, in_transit).chance_within(site_units - 1)


def _paced_out(stream: Stream) -> float:
    total = 0.0
    for need in stream.needs:
        offset = need.needed_day - need.removed_day
        beyond = (1 - stream.scrap_share) * float(mean_beyond(stream.turn, np.array([offset]))[0])
        beyond += stream.scrap_share * max(0.0, stream.purchase_days - offset)
        total += need.share * need.per_vehicle * beyond
    return total * stream.removal_share / stream.takt_days
