"""How a place stands to the common pace, and the sentence that says so."""

from pacewright.plans.line import Gear

FAR_AHEAD = 0.5
"""Able pace beyond this share over the pace is much faster (our rule, no source)."""
ROOM = 0.25
"""Places or people beyond wanted by this share and by one more are too many (our rule)."""


def geared(able: float, needed: float, there: float, wanted: float) -> Gear:
    """The gear of a place.

    Parameters
    ----------
    able, needed : what it can turn out and what the pace asks, in one unit.
    there, wanted : positions, people or plant there are, and those wanted with the allowance.

    Returns
    -------
    holds up: able < needed. tight: able, but there < wanted. runs ahead: there > wanted and
    either able > 1.5 needed or there >= 1.25 wanted + 1. geared: else. A single position that
    is used little is geared: there cannot be less than one.
    """
    if able < needed * (1 - 1e-9):
        return Gear.HOLDS_UP
    if there < wanted * (1 - 1e-9):
        return Gear.TIGHT
    far = able > (1 + FAR_AHEAD) * needed or there >= (1 + ROOM) * wanted + 1
    if there > wanted * (1 + 1e-9) and far:
        return Gear.RUNS_AHEAD
    return Gear.GEARED


def over_words(able_a_week: float, pace_a_week: float) -> str:
    """Able against pace in words: ``able 9.6 a week, pace 12.0: 20 % slower``."""
    times = able_a_week / pace_a_week
    if abs(times - 1) < 0.005:
        compared = "as fast as the pace"
    elif times >= 2:
        compared = f"{times:.1f} times the pace"
    else:
        compared = f"{per_cent(abs(times - 1))} {'faster' if times > 1 else 'slower'}"
    return f"able {able_a_week:.1f} a week, pace {pace_a_week:.1f}: {compared}"


def per_cent(share: float) -> str:
    """A share as a reader writes it: ``20 %``."""
    return f"{100 * share:.0f} %"


def amount(number: float) -> str:
    """A quantity with the places that matter: ``0.014``, ``3.2``, ``33``."""
    if number >= 10:
        return f"{number:.0f}"
    return f"{number:.1f}" if number >= 1 else f"{number:.2g}"
