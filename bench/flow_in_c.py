"""The measured works run by a loop written in C (bench/c/flow_loop.c), compiled on the spot.

The C program knows only what the measured works needs; its run must be the same as that of the
compiled engine, row by row.
"""

import ctypes
import subprocess
from pathlib import Path

import numpy as np

from pacewright.simulate.calendars import Clock
from pacewright.simulate.chance import base_of
from pacewright.simulate.run import Causes
from pacewright.simulate.table import QUANTILES, FlowTable

SOURCE = Path(__file__).parent / "c" / "flow_loop.c"
_LINE = [("head", "i4"), ("tail", "i4"), ("count", "i4")]


def _layout(*fields: object) -> np.dtype:
    """Fields of a C struct: "name name" for int, (name, kind) or a line."""
    made: list[tuple] = []
    for field in fields:
        made += [(name, "i4") for name in field.split()] if isinstance(field, str) else [field]
    return np.dtype(made, align=True)


PIECE = _layout(
    "next step vehicle number since finished held minutes parts_left lacks first_step work",
    ("key", "u8"),
)
PART = _layout("next piece need since")
STEP = _layout("stage then need end_need strip end_strip fit end_fit")
NEED = _layout("crew need")
CARRIED = _layout("kind units")
STAGE = _layout(
    ("waiting", _LINE), "positions busy law cause", ("key", "u8"), ("queue_sum", "i8"),
    ("busy_sum", "i8"),
)  # fmt: skip
CREW = _layout(
    ("waiting", _LINE), "size at_work until people cause", ("owed", "i8"), ("busy_sum", "i8"),
    ("there_sum", "i8"),
)  # fmt: skip
KIND = _layout(
    ("waiting", _LINE), "pool owed asked late cause", ("key", "u8"), ("pool_sum", "i8"),
    ("owed_sum", "i8"), ("wait_minutes", "i8"),
)  # fmt: skip
ORDER = _layout("next piece units")
ROW = _layout(("time", "i8"), "code vehicle place amount")

_NUMBERS = """
open_minute start end days before_count length pieces vehicles stages crews kinds parts
marriage_step room base
"""
_ARRAYS = """
workday before arrival exponential law turn piece part step need strip fit stage crew kind order
heap waits
"""


class _Flow(ctypes.Structure):
    _fields_ = [
        *((name, ctypes.c_int64) for name in _NUMBERS.split()),
        *((name, ctypes.c_void_p) for name in _ARRAYS.split()),
        ("causes", ctypes.c_int64),
        ("released", ctypes.c_void_p),
        ("row", ctypes.c_void_p),
    ]


def load(folder: Path) -> ctypes.CDLL:
    """Compile the loop into a folder and load it."""
    built = folder / "flow_loop.so"
    command = ["gcc", "-O3", "-march=native", "-std=c11", "-shared", "-fPIC", "-o", str(built)]
    subprocess.run([*command, str(SOURCE)], check=True)
    library = ctypes.CDLL(str(built))
    library.run.restype = ctypes.c_int64
    return library


class FlowInC:
    """One run, ready to go.

    Parameters
    ----------
    table : of tests/flow_works.py.
    seed, replication : of the chance.
    rows : room for so many events; 0 when none are kept.
    """

    def __init__(self, table: FlowTable, seed: int, replication: int, rows: int = 0) -> None:
        self.arrays = _arrays(table, rows)
        self.flow = _Flow()
        days = table.days
        numbers = {
            "open_minute": days.open_minute,
            "start": days.start,
            "end": days.end,
            "days": len(days.workday),
            "before_count": len(days.before),
            "length": int(days.minutes[0]),
            "pieces": len(table.pieces.vehicle),
            "vehicles": len(table.vehicles.key),
            "stages": len(table.stages.key),
            "crews": len(table.crews.key),
            "kinds": len(table.kinds.key),
            "parts": int(np.diff(table.steps.need_first).max()),
            "marriage_step": int(table.types.marriage_step[0]),
            "room": rows,
            "base": ctypes.c_int64(base_of(seed, replication)).value,
            "causes": Causes.of(table).count,
        }
        for name, value in numbers.items():
            setattr(self.flow, name, value)
        for name, array in self.arrays.items():
            setattr(self.flow, name, array.ctypes.data)

    def run(self, library: ctypes.CDLL) -> int:
        """Run; gives the number of events."""
        return int(library.run(ctypes.byref(self.flow)))


def _arrays(table: FlowTable, rows: int) -> dict[str, np.ndarray]:
    days, vehicles = table.days, table.vehicles
    clock = Clock.of(days)
    minutes = [clock.opening(d) + s for d, s in zip(vehicles.day, vehicles.slot, strict=True)]
    arrival = np.array(minutes, np.int64) << 38 | 11 << 34 | np.arange(len(minutes))
    count, parts = len(table.pieces.vehicle), int(np.diff(table.steps.need_first).max())
    made = {
        "workday": days.workday,
        "before": days.before,
        "arrival": np.sort(arrival),
        "exponential": table.exponential,
        "law": np.ascontiguousarray(table.stages.minutes),
        "turn": np.ascontiguousarray(table.kinds.turn),
        "part": np.zeros(count * parts, PART),
        "order": np.zeros(int(table.stages.positions.sum()) * 4 + 64, ORDER),
        "heap": np.zeros(count * parts + 200_000, np.int64),
        "waits": np.zeros((len(minutes), Causes.of(table).count), np.int32),
        "released": np.full(len(minutes), -1, np.int64),
        "row": np.zeros(rows, ROW),
    }
    made["part"]["piece"] = np.repeat(np.arange(count), parts)
    return made | _things(table)


def _things(table: FlowTable) -> dict[str, np.ndarray]:
    steps, stages, crews, kinds = table.steps, table.stages, table.crews, table.kinds
    causes, pieces = Causes.of(table), table.pieces
    mine = pieces.vehicle
    piece = np.zeros(len(mine), PIECE)
    piece["vehicle"], piece["held"], piece["first_step"] = mine, -1, pieces.first_step
    piece["number"] = np.arange(len(mine)) - table.vehicles.piece[mine]
    piece["key"] = table.vehicles.key[mine]
    step = np.zeros(len(steps.stage), STEP)
    step["stage"], step["then"] = steps.stage, steps.then
    for name in ("need", "strip", "fit"):
        first = getattr(steps, f"{name}_first")
        step[name], step[f"end_{name}"] = first[:-1], first[1:]
    stage = np.zeros(len(stages.key), STAGE)
    stage["positions"], stage["key"] = stages.positions, stages.key
    stage["law"] = np.arange(len(stage)) * QUANTILES
    stage["cause"] = causes.position + np.arange(len(stage))
    crew = np.zeros(len(crews.key), CREW)
    present = crews.people * crews.attendance[:, 0] * crews.scale
    crew["people"] = np.where(crews.people < 0, -1, (present + 0.5).astype(np.int64))
    crew["cause"] = causes.people + np.arange(len(crew))
    kind = np.zeros(len(kinds.key), KIND)
    kind["pool"], kind["key"] = kinds.serviceable, kinds.key
    kind["cause"] = causes.part + np.arange(len(kind))
    return {
        "piece": piece,
        "step": step,
        "stage": stage,
        "crew": crew,
        "kind": kind,
        "need": _pairs(NEED, steps.need_crew, steps.need),
        "strip": _pairs(CARRIED, steps.strip_kind, steps.strip_units),
        "fit": _pairs(CARRIED, steps.fit_kind, steps.fit_units),
    }


def _pairs(layout: np.dtype, first: np.ndarray, second: np.ndarray) -> np.ndarray:
    made = np.zeros(len(first), layout)
    for name, values in zip(layout.names or (), (first, second), strict=True):
        made[name] = values
    return made
