"""Unit kinds by the shop that makes them good: what is ready, in the shop, set aside."""

from collections.abc import Iterator, Sequence

from pacewright.plans.flow_day import FlowDay, KindDay, Source
from pacewright.reports.drawings.svg import Drawing, drawing, group, num, path, rect, words
from pacewright.reports.drawings.works_picture_stage import HEAP, SQUARE
from pacewright.reports.written import listed, number, share
from pacewright.works import Works

WIDE, GAP, EDGE = 372.0, 12.0, 12.0
COLUMNS = 3
LINE, HEAD = 15.5, 36.0
NAME_LETTERS = 24
HEADS = ("ready", "given out", "to repair", "set aside")
RIGHTS = (170.0, 224.0, 272.0, 322.0)
"""Right edges of the columns of figures, from the left edge of the card."""


def units_picture(works: Works, day: FlowDay, columns: int = COLUMNS) -> Drawing:
    """A card a shop, a line a unit kind; the conditions stand side by side and are never summed.

    Parameters
    ----------
    columns : cards side by side.
    """
    names = {one.shop_id: one.name for one in works.shops}
    cards = [
        (names.get(shop_id, shop_id), [one for one in day.kinds if one.shop_id == shop_id])
        for shop_id in dict.fromkeys(one.shop_id for one in day.kinds)
    ]
    bases, parts = [4.0] * columns, []
    # The longest card first, each where most room is: the columns end about level.
    for name, kinds in sorted(cards, key=lambda card: -len(card[1])):
        column = min(range(columns), key=lambda n: bases[n])
        x, y = EDGE + column * (WIDE + GAP), bases[column]
        tall = HEAD + len(kinds) * LINE + 6
        parts.append(group("unitshop", *_card(day, name, kinds, (x, y, tall))))
        bases[column] += tall + GAP
    size = (2 * EDGE + columns * WIDE + (columns - 1) * GAP, max(bases))
    return drawing("worksunits", size, ("Units off vehicles", _about(day)), *parts)


def _card(
    day: FlowDay, name: str, kinds: Sequence[KindDay], room: tuple[float, float, float]
) -> Iterator[str]:
    x, y, tall = room
    yield rect(x, y, (WIDE, tall), "shoparea")
    yield words(x + 8, y + 14, name, "areaname")
    for head, right in zip(_heads(day), RIGHTS, strict=True):
        yield words(x + right, y + 30, head, "nodeword end")
    for n, one in enumerate(kinds):
        yield group("unitline", *_line(day, one, (x, y + HEAD + (n + 0.8) * LINE)))


def _heads(day: FlowDay) -> tuple[str, ...]:
    return ("ready", "", "away", "") if day.source is Source.FORECAST else HEADS


def _line(day: FlowDay, one: KindDay, at: tuple[float, float]) -> Iterator[str]:
    x, base = at
    ahead = day.source is Source.FORECAST
    name = one.name if len(one.name) <= NAME_LETTERS else one.name[: NAME_LETTERS - 1] + "…"
    yield rect(x + 4, base - 11.5, (WIDE - 8, LINE), "unitground", _says(one, ahead))
    yield words(x + 8, base, name, "nodeword" + (" strong" if one.is_short else ""))
    counts = (one.serviceable, one.issued, one.unserviceable, one.quarantine)
    for count, right in zip(counts, RIGHTS, strict=True):
        if count is not None:
            yield words(x + right, base, number(count, 1 if ahead else 0), "nodeword end")
    course, look = (SQUARE, "signstands") if one.is_short else (HEAP, "signpiles")
    if one.is_short or one.piles_up:
        mark = f'<g transform="translate({num(x + 328)} {num(base - 8)})">'
        yield f"{mark}{path(course, look)}</g>"
        yield words(x + 340, base, _sign(one, ahead), f"nodeword {look}word")


def _sign(one: KindDay, ahead: bool) -> str:
    if one.is_short:
        return share(one.chance_out).replace(" ", "") if ahead else "short"
    return share(one.chance_piles).replace(" ", "") if ahead else "full"


def _says(one: KindDay, ahead: bool) -> str:
    digits = 1 if ahead else 0
    said = [f"{one.name}: {number(one.serviceable, digits)} serviceable"]
    if not ahead:
        said.append(f"{number(one.issued, 0)} given out for a vehicle")
    said.append(f"{number(one.unserviceable, digits)} to be made good")
    if one.quarantine is not None:
        said.append(f"{number(one.quarantine, 0)} set aside")
    if one.full_at is not None:
        said.append(f"more than {one.full_at} serviceable would pile up")
    if one.vehicles:
        said.append(f"wait for it: {listed(list(one.vehicles), 5)}")
    elif one.chance_out > 0:
        said.append(
            f"none left with a chance of {share(one.chance_out)}"
            if ahead
            else "a vehicle will stand for it"
        )
    return ", ".join(said)


def _about(day: FlowDay) -> str:
    short = [one.name for one in day.kinds if one.is_short]
    piles = [one.name for one in day.kinds if one.piles_up]
    return (
        f"Unit kinds by shop. Short: {', '.join(short) or 'none'}. Pile up: "
        f"{', '.join(piles) or 'none'}. The table below says the same."
    )
