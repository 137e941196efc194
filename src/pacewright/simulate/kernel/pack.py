"""A table packed into the memory of a compiled run."""

from typing import Any

import numpy as np

from pacewright.simulate.calendars import Clock
from pacewright.simulate.chance import base_of
from pacewright.simulate.kernel.agenda import RING_MINUTES, RING_WORDS
from pacewright.simulate.kernel.codes import STREAMS
from pacewright.simulate.kernel.ground import LINE_WORDS, Ground
from pacewright.simulate.kernel.heap import LAST_MINUTE, SUBJECT_BITS
from pacewright.simulate.kernel.memory import DUE, NONE, RUN
from pacewright.simulate.kernel.room import Room, most_orders, most_parts
from pacewright.simulate.kernel.things import (
    ASSEMBLY,
    AWAY,
    CARRIED,
    COLD,
    CREW,
    KIND,
    NEED,
    ORDER,
    OWED,
    PART,
    PIECE,
    ROW,
    SCOPE,
    STAGE,
    START,
    STEP,
    TYPE,
    UNIT,
    UPSET,
    VEHICLE,
)
from pacewright.simulate.run import Causes
from pacewright.simulate.start_table import Stand
from pacewright.simulate.table import QUANTILES, FlowTable, Ints

_BITS = 64


class TooLargeError(ValueError):
    """A table that the compiled engine cannot hold; the plain one can."""


def pack(table: FlowTable, seed: int, replication: int, room: Room) -> Ground:
    """The memory before the first minute.

    Raises
    ------
    TooLargeError : minutes, pieces or units beyond what a key can hold.
    """
    unit_bits = SUBJECT_BITS - len(table.kinds.key).bit_length()
    ground = Ground.laid_out(_things(table, room))
    _refuse_too_large(table, room, ground, unit_bits)
    _fill_run(ground, table, room, unit_bits)
    _fill_tables(ground, table)
    _fill_vehicles(ground, table)
    _fill_steps(ground, table)
    _fill_stages(ground, table)
    _fill_crews(ground, table)
    _fill_kinds(ground, table)
    _fill_live(ground, table)
    _fill_looks(ground)
    ground.m[ground.begins["stream"]] = np.uint64(base_of(seed, replication)).view(np.int64)
    return ground


def _things(table: FlowTable, room: Room) -> dict[str, tuple[int, int]]:
    steps, causes, types = table.steps, Causes.of(table), len(table.types.first_step)
    looks = 1 + types + 2 * causes.stages + causes.kinds + causes.crews
    return {
        "type": (types, TYPE.words),
        "assembly": (causes.assemblies, ASSEMBLY.words),
        "stage": (causes.stages, STAGE.words),
        "crew": (causes.crews, CREW.words),
        "kind": (causes.kinds, KIND.words),
        "step": (len(steps.stage), STEP.words),
        "need": (len(steps.need), NEED.words),
        "scope": (len(steps.scope_key), SCOPE.words),
        "strip": (len(steps.strip_kind), CARRIED.words),
        "fit": (len(steps.fit_kind), CARRIED.words),
        "owed": (len(table.owed.vehicle), OWED.words),
        "start": (len(table.live.starts.piece), START.words),
        "asks": table.live.starts.asks.shape,
        "late": table.live.starts.late.shape,
        "away": (len(table.live.away.kind), AWAY.words),
        "upset": (len(table.upsets.key), UPSET.words),
        "look": (looks // _BITS + 1, 1),
        "place": (looks, 1),
        "stream": (STREAMS, 1),
        "workday": (len(table.days.workday), 1),
        "before": (len(table.days.before), 1),
        "exponential": (1, QUANTILES),
        "law": (causes.stages, QUANTILES),
        "turn": (causes.kinds, QUANTILES),
        "attendance": table.crews.attendance.shape,
        "ring": (RING_MINUTES, 1),
        "ring_bits": (RING_WORDS, 1),
        "due": (room.due, DUE.words),
        "far": (room.due + len(table.vehicles.key), 1),
        "order": (most_orders(table) + room.site, ORDER.words),
        "unit": (room.units, UNIT.words),
        "vehicle": (len(table.vehicles.key), VEHICLE.words),
        "cold": (1, -COLD.attempt),
        "piece": (len(table.pieces.vehicle), _piece_words(table)),
        "waits": (len(table.vehicles.key), causes.count),
        "row": (room.rows, ROW.words),
    }


def _piece_words(table: FlowTable) -> int:
    """Words from a piece to the next: its own, its parts, the cold ones of the next."""
    words = PIECE.words + most_parts(table) * PART.words - COLD.attempt
    return -(-words // LINE_WORDS) * LINE_WORDS


def _refuse_too_large(table: FlowTable, room: Room, ground: Ground, unit_bits: int) -> None:
    words = len(ground.m)
    if table.days.end >= LAST_MINUTE or words >> SUBJECT_BITS or room.units >> unit_bits:
        raise TooLargeError(
            f"simulate: {table.days.end} minutes, {words} words, {room.units} units waiting. The "
            f"compiled engine takes {LAST_MINUTE} minutes, {1 << SUBJECT_BITS} words and "
            f"{1 << unit_bits} units. Run fewer weeks, or use the plain engine."
        )


def _fill_run(ground: Ground, table: FlowTable, room: Room, unit_bits: int) -> None:
    days, begins = table.days, ground.begins
    values = {
        "now": days.start,
        "measured_from": Clock.of(days).worked(days.measure_from),
        "measure_from": days.measure_from,
        "open_minute": days.open_minute,
        "own_minutes": days.minutes[0],
        "days": len(days.workday),
        "before_count": len(days.before),
        "end": days.end,
        "due_room": room.due,
        "far_room": ground.counts["far"],
        "free_due": begins["due"],
        "site_room": room.site,
        "unit_room": room.units,
        "unit_bits": unit_bits,
        "inside_limit": table.inside_limit,
        "piece_words": _piece_words(table),
        "causes": Causes.of(table).count,
        "robbing": table.robbing,
        "adds": _adds(table),
        "free_order": NONE,
        "low_look": ground.end("look"),
    }
    for word in ("waits", "workday", "before", "ring", "ring_bits", "far", "exponential", "place"):
        values[word] = begins[word]
    for name in ("look", "row", "stage", "crew", "kind", "upset", "vehicle"):
        values |= {f"{name}s": begins[name], f"{name}s_end": ground.end(name)}
    values["rows_end"] *= room.rows > 0
    values |= {"owed": begins["owed"], "owed_end": ground.end("owed"), "today": table.live.today}
    for name in ("start", "away"):
        values |= {f"{name}s": begins[name], f"{name}s_end": ground.end(name)}
    values |= {"streams": begins["stream"], "orders": begins["order"], "units": begins["unit"]}
    for word, value in values.items():
        ground.m[getattr(RUN, word)] = value


def _adds(table: FlowTable) -> int:
    """1 when the work of a piece may be other than as drawn."""
    starts = table.live.starts
    known = (starts.stand == Stand.LACKS).any() or (starts.more > 0).any()
    return int(table.robbing or known)


def _fill_tables(ground: Ground, table: FlowTable) -> None:
    ground.column("ring", 0)[:] = NONE
    ground.column("due", DUE.next)[:] = ground.at("due", np.arange(1, ground.counts["due"] + 1))
    ground.column("workday", 0)[:] = table.days.workday
    ground.column("before", 0)[:] = table.days.before
    laws = {
        "exponential": table.exponential,
        "law": table.stages.minutes,
        "turn": table.kinds.turn,
        "attendance": table.crews.attendance,
    }
    for name, points in laws.items():
        ground.x[ground.begins[name] : ground.end(name)] = points.ravel()


def _fill_vehicles(ground: Ground, table: FlowTable) -> None:
    of, pieces = table.vehicles, table.pieces
    ends = np.append(of.piece[1:], len(pieces.vehicle))[: len(of.piece)]
    words = {
        name: getattr(of, name)
        for name in ("key", "inside", "day", "slot", "late_share", "late_scale")
    }
    words |= {"number": np.arange(len(of.key)), "type": ground.at("type", of.type)}
    words |= {"piece": ground.at("piece", of.piece), "end_piece": ground.at("piece", ends)}
    words |= dict.fromkeys(("arrived", "admitted", "released"), NONE)
    ground.fill("vehicle", VEHICLE, words)
    mine = pieces.vehicle
    start = pieces.start_step
    words = {
        "vehicle": mine,
        "number": np.arange(len(mine)) - of.piece[mine],
        "key": of.key[mine],
        "step": np.where(start < 0, start, ground.at("step", start)),
        "held": NONE,
    }
    ground.fill("piece", PIECE, words)
    words = {
        "day": of.day[mine],
        "of": ground.at("vehicle", mine),
        "place": pieces.place,
        "assembly": ground.at("assembly", pieces.assembly),
        "first_step": ground.at("step", pieces.first_step),
        "failed": NONE,
        "known": NONE,
        "late": NONE,
    }
    ground.fill("piece", COLD, words)
    for part in range(PIECE.words, PIECE.words + most_parts(table) * PART.words, PART.words):
        ground.column("piece", part + PART.piece)[:] = ground.at("piece", np.arange(len(mine)))
    owed = table.owed
    words = {"vehicle": ground.at("vehicle", owed.vehicle), "kind": ground.at("kind", owed.kind)}
    ground.fill("owed", OWED, words | {"units": owed.units, "ago": owed.ago})


def _groups(ground: Ground, name: str, first: Ints) -> dict[str, Any]:
    """The first and the last-but-one thing of each group."""
    return {name: ground.at(name, first[:-1]), f"end_{name}": ground.at(name, first[1:])}


def _fill_steps(ground: Ground, table: FlowTable) -> None:
    of, types = table.steps, table.types
    words = {"stage": ground.at("stage", of.stage), "then": of.then, "pieces": of.pieces}
    words |= {"redo": of.redo_minutes}
    for name in ("need", "scope", "strip", "fit"):
        words |= _groups(ground, name, getattr(of, f"{name}_first"))
    ground.fill("step", STEP, words)
    # Parts that end in the same minute end in the order of their crews.
    step = np.repeat(np.arange(len(of.stage)), np.diff(of.need_first))
    order = np.lexsort((of.need_crew, step))
    words = {"crew": ground.at("crew", of.need_crew[order]), "need": of.need[order]}
    ground.fill("need", NEED, words)
    words = {"key": of.scope_key, "first": of.scope_from, "last": of.scope_to}
    words |= {"share": of.scope_share, "done": (1 - of.scope_mean) * of.scope_minutes}
    ground.fill("scope", SCOPE, words | {"not_done": -of.scope_mean * of.scope_minutes})
    for name in ("strip", "fit"):
        kinds, units = getattr(of, f"{name}_kind"), getattr(of, f"{name}_units")
        ground.fill(name, CARRIED, {"kind": ground.at("kind", kinds), "units": units})
    words = {"first_step": ground.at("step", types.first_step), "last_cause": NONE}
    words |= {"marriage_step": ground.at("step", types.marriage_step)}
    ground.fill("type", TYPE, words | _groups(ground, "assembly", types.assembly_first))
    own = np.repeat(np.arange(len(types.first_step)), np.diff(types.assembly_first))
    words = {"wanted": types.assembly_count, "type": ground.at("type", own)}
    words |= {"cause": Causes.of(table).assembly + np.arange(len(own))}
    ground.fill("assembly", ASSEMBLY, words)


def _fill_stages(ground: Ground, table: FlowTable) -> None:
    of, causes = table.stages, Causes.of(table)
    index = np.arange(len(of.key))
    names = ("key", "positions", "batch", "nights", "window", "least", "pass_share")
    words = {name: getattr(of, name) for name in names}
    words |= {"number": index, "law": ground.at("law", index), "rectify": of.rectify_minutes}
    for name in ("position", "batch", "inspection"):
        words[f"{name}_cause"] = getattr(causes, name) + index
    ground.fill("stage", STAGE, words)
    upsets = table.upsets
    words = {"number": np.arange(len(upsets.key)), "key": upsets.key, "gap": upsets.gap}
    words |= {"out": upsets.out, "at": upsets.at}
    words |= {"stage": ground.at("stage", upsets.stage), "kind": ground.at("kind", upsets.kind)}
    ground.fill("upset", UPSET, words)


def _fill_crews(ground: Ground, table: FlowTable) -> None:
    of = table.crews
    index = np.arange(len(of.key))
    words = {name: getattr(of, name) for name in ("key", "people", "drawn", "scale")}
    words |= {"number": index, "doors": (of.people < 0).astype(np.int64)}
    words |= {"length": table.days.minutes[of.calendar], "cause": Causes.of(table).people + index}
    ground.fill("crew", CREW, words | {"attendance": ground.at("attendance", index)})


def _fill_kinds(ground: Ground, table: FlowTable) -> None:
    of = table.kinds
    index = np.arange(len(of.key))
    other = {"turn": ground.at("turn", index), "length": table.days.minutes[of.calendar]}
    other |= {"transit": of.transit_minutes, "number": index}
    other |= {"cause": Causes.of(table).part + index}
    words = {name: values for name, values in vars(of).items() if name in KIND._fields}
    ground.fill("kind", KIND, words | other)


def _fill_live(ground: Ground, table: FlowTable) -> None:
    """The start as the record knows it."""
    starts, away = table.live.starts, table.live.away
    words = {name: getattr(starts, name) for name in START._fields if hasattr(starts, name)}
    words |= {"piece": ground.at("piece", starts.piece), "step": ground.at("step", starts.step)}
    words |= {"held": ground.at("stage", starts.held), "done": starts.done_minutes}
    rows = np.arange(len(starts.piece))
    words |= {"asks": ground.at("asks", rows)}
    words |= {"late": ground.at("late", np.where((starts.late > 0).any(axis=1), rows, NONE))}
    ground.fill("start", START, words)
    ground.m[ground.begins["late"] : ground.end("late")] = starts.late.ravel()
    ground.m[ground.begins["asks"] : ground.end("asks")] = starts.asks.ravel()
    words = {name: getattr(away, name) for name in ("key", "way", "minutes", "share")}
    ground.fill("away", AWAY, words | {"kind": ground.at("kind", away.kind)})
    if len(table.live.scrapped):
        ground.fill("kind", KIND, {"scrapped": table.live.scrapped})


def _fill_looks(ground: Ground) -> None:
    """Number the places to look at: the gate, then types, stages, kinds, charges, crews."""
    number = 1
    place = ground.column("place", 0)
    order = (
        ("type", TYPE.look, RUN.first_type),
        ("stage", STAGE.look, RUN.first_stage),
        ("kind", KIND.look, RUN.first_kind),
        ("stage", STAGE.charge_look, RUN.first_charge),
        ("crew", CREW.look, RUN.first_crew),
    )
    for name, word, first in order:
        count = ground.counts[name]
        ground.m[first] = number
        ground.column(name, word)[:] = np.arange(number, number + count)
        place[number : number + count] = ground.at(name, np.arange(count))
        number += count
