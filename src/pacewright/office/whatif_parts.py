"""The sorts of change the what-if form offers: their fields, and the rows each comes to."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date

from pacewright.reports.written import day
from pacewright.works import Works

Cell = str | int | float | date | bool
Rows = dict[tuple[str, tuple[str, ...]], dict[str, Cell]]
"""Table and key -> columns: what two parts say of one row stands in one place of the file."""


@dataclass(frozen=True, slots=True)
class Field:
    """One field of a part.

    Parameters
    ----------
    name : of the field in the form; ``label`` as people read it, with its unit.
    sort : ``number``, ``date`` or ``choice``.
    choices : of a choice: what is sent, and what is shown.
    needed : False where it may be left blank though the part is used.
    """

    name: str
    label: str
    sort: str
    choices: tuple[tuple[str, str], ...] = ()
    needed: bool = True


@dataclass(frozen=True, slots=True)
class Part:
    """One sort of change, a group of fields; all blank: it is not asked for.

    Parameters
    ----------
    write : puts what is filled in into the rows.
    """

    key: str
    heading: str
    hint: str
    fields: tuple[Field, ...]
    write: Callable[[Works, Mapping[str, str], Rows], None]


def parts_of(works: Works) -> tuple[Part, ...]:
    """Every sort of change the form offers, with what the works has now."""
    shops = tuple((one.shop_id, _hours_said(works, one.shop_id, one.name)) for one in works.shops)
    return (
        Part("pace", "Pace", f"Now: {_pace_said(works)}. The plan is made anew for it.",
             (Field("pace_a_week", "vehicles a week", "number"),), _pace),
        Part("people", "People of a trade",
             "On the roll, all shifts together.",
             (Field("crew", "shop and trade", "choice", _crews(works)),
              Field("people", "people with the change", "number")), _people),
        Part("positions", "Positions of a stage", "Places where one vehicle or assembly stands.",
             (Field("stage", "stage", "choice", _stages(works)),
              Field("positions", "positions with the change", "number")), _positions),
        Part("float", "Float of a unit kind",
             "More serviceable than now: bought or hired; less: lent or sold.",
             (Field("float_kind", "unit kind", "choice", _floats(works)),
              Field("serviceable", "serviceable units with the change", "number")), _float),
        Part("turn", "Turn time of a unit kind", "Mean, from removal to serviceable.",
             (Field("turn_kind", "unit kind", "choice", _turns(works)),
              Field("turn_days", "working days with the change", "number")), _turn),
        Part("shift", "Hours of a shop",
             "Its people are paid longer in the same measure; for a second shift change its "
             "people as well. Working-time law and agreements come first.",
             (Field("hours_shop", "shop", "choice", shops),
              Field("hours", "hours open on a working day with the change", "number")), _shift),
        Part("absence", "Wave of absence", "So much fewer come than usual, in the whole works or "
             "in one shop.",
             (Field("absent_first", "first day", "date"), Field("absent_last", "last day", "date"),
              Field("absent_percent", "per cent who stay away", "number"),
              Field("absent_shop", "only this shop", "choice",
                    tuple((one.shop_id, one.name) for one in works.shops), needed=False)),
             _absence),
        Part("lost", "Lost places", "Positions that cannot be used; work begun there is finished "
             "first.",
             (Field("lost_stage", "stage", "choice", _stages(works)),
              Field("lost_first", "first day", "date"), Field("lost_last", "last day", "date"),
              Field("lost_count", "positions lost", "number")), _lost),
    )  # fmt: skip


# -- what each part writes ------------------------------------------------------------------------


def _pace(works: Works, filled: Mapping[str, str], rows: Rows) -> None:
    plan = works.settings.plan
    starts = plan.pace[0].starts if plan.pace else min(plan.start, plan.today)
    step: dict[str, Cell] = {"starts": starts, "vehicles_a_week": _value(filled["pace_a_week"])}
    rows["plan.pace", ("",)] = step


def _people(works: Works, filled: Mapping[str, str], rows: Rows) -> None:
    shop_id, trade_id = filled["crew"].split(" ")
    key: dict[str, Cell] = {"shop_id": shop_id, "trade_id": trade_id}
    _row(rows, "people", key)["people"] = _value(filled["people"])


def _positions(works: Works, filled: Mapping[str, str], rows: Rows) -> None:
    _row(rows, "stages", {"stage_id": filled["stage"]})["positions"] = _value(filled["positions"])


def _float(works: Works, filled: Mapping[str, str], rows: Rows) -> None:
    kind_id = filled["float_kind"]
    row = _row(rows, "floats", {"unit_kind_id": kind_id})
    row["serviceable"] = _value(filled["serviceable"])
    if kind_id not in [one.unit_kind_id for one in works.floats]:
        row |= {"unserviceable": 0, "add": True}


def _turn(works: Works, filled: Mapping[str, str], rows: Rows) -> None:
    row = _row(rows, "unit_kinds", {"unit_kind_id": filled["turn_kind"]})
    row["turn_days"] = _value(filled["turn_days"])


def _shift(works: Works, filled: Mapping[str, str], rows: Rows) -> None:
    shop_id, hours = filled["hours_shop"], _value(filled["hours"])
    _row(rows, "shops", {"shop_id": shop_id})["hours_a_day"] = hours
    longer = float(hours) / works.shop_hours_a_day[shop_id]
    for one in works.people:
        if one.shop_id == shop_id:
            row = _row(rows, "people", {"shop_id": shop_id, "trade_id": one.trade_id})
            row["hours_a_day"] = round(one.hours_a_day * longer, 4)


def _absence(works: Works, filled: Mapping[str, str], rows: Rows) -> None:
    cells: dict[str, Cell] = {
        "first": date.fromisoformat(filled["absent_first"]),
        "last": date.fromisoformat(filled["absent_last"]),
        "absent_share": round(float(filled["absent_percent"]) / 100, 6),
    }
    if filled["absent_shop"]:
        cells["shop_id"] = filled["absent_shop"]
    rows["absence", ("",)] = cells


def _lost(works: Works, filled: Mapping[str, str], rows: Rows) -> None:
    rows["lost", ("",)] = {
        "stage_id": filled["lost_stage"],
        "first": date.fromisoformat(filled["lost_first"]),
        "last": date.fromisoformat(filled["lost_last"]),
        "how_many": _value(filled["lost_count"]),
    }


def _row(rows: Rows, table: str, key: dict[str, Cell]) -> dict[str, Cell]:
    return rows.setdefault((table, tuple(map(str, key.values()))), dict(key))


def _value(said: str) -> int | float:
    number = float(said)
    return int(number) if number.is_integer() else number


# -- what the works has now -----------------------------------------------------------------------


def _pace_said(works: Works) -> str:
    steps = works.settings.plan.pace
    if not steps:
        return "the least pace that fits"
    return ", ".join(f"{one.vehicles_a_week:g} a week from {day(one.starts)}" for one in steps)


def _hours_said(works: Works, shop_id: str, name: str) -> str:
    return f"{name} (now {works.shop_hours_a_day[shop_id]:g} h)"


def _crews(works: Works) -> tuple[tuple[str, str], ...]:
    shops = {one.shop_id: one.name for one in works.shops}
    trades = {one.trade_id: one.name for one in works.trades}
    return tuple(
        (
            f"{one.shop_id} {one.trade_id}",
            f"{shops[one.shop_id]}: {trades[one.trade_id]} (now {one.people:g})",
        )
        for one in works.people
    )


def _stages(works: Works) -> tuple[tuple[str, str], ...]:
    return tuple(
        (one.stage_id, f"{one.name} ({one.stage_id}, now {one.positions})") for one in works.stages
    )


def _floats(works: Works) -> tuple[tuple[str, str], ...]:
    held = {one.unit_kind_id: one.serviceable for one in works.floats}
    return tuple(
        (one.unit_kind_id, f"{one.name} (now {held.get(one.unit_kind_id, 0)})")
        for one in works.unit_kinds
    )


def _turns(works: Works) -> tuple[tuple[str, str], ...]:
    return tuple(
        (one.unit_kind_id, f"{one.name} (now {one.turn_days:g} days)") for one in works.unit_kinds
    )
