"""Labels to hang on units, eight a sheet: the condition by word, frame and pattern."""

from collections.abc import Iterator, Mapping, Sequence

from pacewright.base.faults import CallError
from pacewright.control.door_facts import facts_of
from pacewright.control.door_units import life_left
from pacewright.control.pairs import pairs
from pacewright.control.pool import came_off
from pacewright.events.scan import code_of, parts_of_code
from pacewright.events.standing import UnitStanding
from pacewright.events.things import WHOLE, Condition, Piece, Unit
from pacewright.events.units import Issued
from pacewright.parts.tables import UnitKind
from pacewright.reports.hazards import hazard_words
from pacewright.reports.papers.blocks import Label
from pacewright.reports.papers.ground import Ground, moment
from pacewright.reports.papers.press import Card, Paper, Size
from pacewright.reports.papers.qr import code
from pacewright.reports.written import day, number

KEY = "unit-labels"
A_SHEET = 8
MOST = 4000
"""Labels of one print: 500 sheets."""

ORDERS: Mapping[Condition, tuple[str, str]] = {
    Condition.SERVICEABLE: (
        "Fit only to what it was given out for, its life looked at. Not valid unsigned.",
        "Passed by, date",
    ),
    Condition.UNSERVICEABLE: (
        "DO NOT FIT. To its shop for inspection and repair, with this label.",
        "Hung by, date",
    ),
    Condition.QUARANTINE: (
        "DO NOT FIT, REPAIR OR SCRAP. Leave it here; an inspector alone ends this.",
        "Set aside by, date",
    ),
    Condition.SCRAPPED: (
        "NEVER FIT. Make it unusable before it leaves the works.",
        "Condemned by, date",
    ),
}
"""What may be done with a unit of a condition, and what is signed."""


def unit_labels(ground: Ground, asked: Mapping[str, str]) -> Paper:
    """Labels of units that are on no vehicle, by the condition the record gives them.

    Parameters
    ----------
    asked : ``unit`` code of one, or ``kind``, ``shop`` and ``condition`` that all must have; with
        nothing asked all units off vehicles, scrapped ones left out.

    Raises
    ------
    CallError : no such unit, kind, shop or condition; it is on a vehicle; none, or too many.
    """
    units = _one(ground, asked["unit"]) if asked.get("unit") else _some(ground, asked)
    if len(units) > MOST:
        raise CallError(
            f"{KEY}: {len(units):,} units fit what was asked. At most {MOST:,} labels are printed "
            "at once. Ask for a kind, shop or condition."
        )
    labeller = _Labeller(ground)
    labels = [labeller.label(one) for one in units]
    sheets = [labels[n : n + A_SHEET] for n in range(0, len(labels), A_SHEET)]
    cards = [Card("Unit labels", "", tuple(sheet), size=Size.LABELS) for sheet in sheets]
    about = asked.get("unit") or asked.get("kind") or asked.get("shop") or "all"
    return ground.paper(KEY, about, cards)


def _one(ground: Ground, said: str) -> list[UnitStanding]:
    parts = parts_of_code(said)
    known = ground.standing.units.get(Unit(*parts)) if parts else None
    if known is None:
        raise CallError(
            f"unit {said[:90]}: the record knows no such unit. A unit is named by its code, as "
            "motor:M-7. Correct it."
        )
    if known.onto is not None:
        raise CallError(
            f"unit {said}: it is on {known.onto}. A label is for a unit that is on nothing. Book "
            "first that it came off."
        )
    return [known]


def _some(ground: Ground, asked: Mapping[str, str]) -> list[UnitStanding]:
    kind_id, shop_id = asked.get("kind", ""), asked.get("shop", "")
    if shop_id:
        ground.shop(shop_id)
    if kind_id:
        ground.unit_kind(kind_id)
    conditions = _conditions(asked.get("condition", ""))
    shops = {one.unit_kind_id: one.shop_id for one in ground.works.unit_kinds}
    return [
        one
        for unit, one in sorted(ground.standing.units.items())
        if one.onto is None
        and one.condition in conditions
        and kind_id in ("", unit.unit_kind_id)
        and shop_id in ("", shops.get(unit.unit_kind_id))
    ]


def _conditions(said: str) -> Sequence[Condition]:
    if not said:
        return tuple(one for one in Condition if one is not Condition.SCRAPPED)
    try:
        return (Condition(said),)
    except ValueError:
        raise CallError(
            f"condition {said[:40]}: there is no such condition. Write one of: "
            f"{', '.join(Condition)}."
        ) from None


class _Labeller:
    """Makes labels; draws up once what all of them need."""

    def __init__(self, ground: Ground) -> None:
        self._ground, self._facts = ground, facts_of(ground.works)
        self._mates = pairs(ground.works, ground.standing).mates
        self._foot = (
            f"{ground.works.settings.name} · {moment(ground.now)} · {ground.record()} · plans, "
            "does not certify"
        )

    def label(self, one: UnitStanding) -> Label:
        """The label of a unit."""
        orders, sign = ORDERS[one.condition]
        over = self._life_over(one)
        kind = self._facts.kinds.get(one.unit.unit_kind_id)
        return Label(
            look=one.condition.value,
            word=one.condition.value,
            name=kind.name if kind else one.unit.unit_kind_id,
            serial=one.unit.serial,
            pairs=tuple(self._pairs(one, kind)),
            orders=f"DO NOT FIT: {over}." if over else orders,
            code=code(code_of(one.unit)),
            sign=sign,
            foot=self._foot,
        )

    def _life_over(self, one: UnitStanding) -> str:
        if one.condition is not Condition.SERVICEABLE:
            return ""
        # The door's own rule, asked as if the unit were given out now.
        event = Issued(self._ground.now, one.unit, Piece(WHOLE, "any"))
        refusal = life_left(self._facts, self._ground.standing, event)
        return refusal.found if refusal else ""

    def _pairs(self, one: UnitStanding, kind: UnitKind | None) -> Iterator[tuple[str, str]]:
        standing = self._ground.standing
        links = standing.unit_links.of.get(one.unit)
        if one.condition is Condition.SCRAPPED:
            yield "scrapped", day(one.last_at.date())
        elif one.condition is Condition.SERVICEABLE and one.made_good_at:
            yield "made good", day(one.made_good_at.date())
        elif links:
            yield "came off", f"{links[-1].carrier}, {day(came_off(standing, one).date())}"
        else:
            yield "last told of", day(one.last_at.date())
        if one.condition is Condition.SERVICEABLE:
            yield "given out for", str(one.issued_to) if one.issued_to else "nothing yet"
        elif kind:
            yield "shop", self._ground.shop_names.get(kind.shop_id, kind.shop_id)
        yield "place", f"on the way to {one.place_id}" if one.on_way else one.place_id or "-"
        if one.unit in self._mates:
            yield "goes on with", str(self._mates[one.unit])
        if kind and (kind.life_months or kind.life_distance):
            new = day(one.made_on) if one.made_on else "unknown"
            yield "life limit", f"{self._life(kind)}; new {new}"
        if kind and kind.hazards:
            yield "beware", hazard_words(kind.hazards)
        yield "code", code_of(one.unit)

    def _life(self, kind: UnitKind) -> str:
        said = [f"{kind.life_months:g} months"] if kind.life_months else []
        if kind.life_distance:
            unit = self._ground.works.settings.distance_unit
            said.append(f"{number(kind.life_distance, 0)} {unit}")
        return " or ".join(said)
