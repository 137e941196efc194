"""How a figure is written together with how sure it is."""

from math import floor, isfinite, isnan, log10

from pacewright.reports.written import NONE, number, share

NOT_KNOWN = "too few runs to tell how sure"

PLUS_MINUS = "\N{NO-BREAK SPACE}\N{PLUS-MINUS SIGN}\N{NO-BREAK SPACE}"
"""Between a figure and its half width, which a line must not part."""

PER_CENT = "\N{NO-BREAK SPACE}%"


def digits_of(half_width: float, most: int = 2) -> int:
    """Decimals worth writing: the first digit of the interval that is not nought.

    Examples
    --------
    >>> digits_of(14.0), digits_of(0.31), digits_of(0.042), digits_of(0.0)
    (0, 1, 2, 1)
    """
    if not isfinite(half_width) or half_width <= 0:
        return 1
    return max(0, min(most, -floor(log10(half_width) + 1e-9)))


def plus_minus(mean: float, half_width: float) -> str:
    """A figure with its half width, as many decimals as it is sure of.

    Examples
    --------
    >>> plus_minus(10.3142, 0.097).split(), plus_minus(1210.4, 88.0).split()
    (['10.31', '±', '0.10'], ['1,210', '±', '88'])
    """
    if isnan(mean):
        return NONE
    if not isfinite(half_width):
        return f"{number(mean)} ({NOT_KNOWN})"
    digits = digits_of(half_width)
    if round(half_width, digits) == 0:
        return number(mean, 2 if abs(mean) < 10 else 1)
    return f"{number(mean, digits)}{PLUS_MINUS}{number(half_width, digits)}"


def share_plus_minus(mean: float, half_width: float) -> str:
    """A share with its half width in points of per cent.

    Examples
    --------
    >>> share_plus_minus(0.412, 0.021).split(), share_plus_minus(0.9987, 0.0007).split()
    (['41', '%', '±', '2'], ['99.9', '%', '±', '0.1'])
    """
    if isnan(mean):
        return NONE
    if not isfinite(half_width):
        return f"{share(mean)} ({NOT_KNOWN})"
    digits = digits_of(100 * half_width, 1)
    shown = share(mean, digits).replace(" %", PER_CENT)
    return f"{shown}{PLUS_MINUS}{number(100 * half_width, digits)}"
