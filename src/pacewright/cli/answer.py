"""The one shape of every answer: text for people, JSON for machines, the exit code for scripts."""

import json
import sys
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import asdict
from enum import IntEnum
from typing import Any

import typer

from pacewright.base.faults import WorksFaultyError
from pacewright.office.errors import CallError, NoPlanError

SHOWN = 200
"""Faults shown as text; JSON always holds them all."""


class Exit(IntEnum):
    """What the exit code says."""

    DONE = 0
    FAULTS = 1
    WRONG_CALL = 2
    NO_PLAN = 3


def say(done: Mapping[str, Any], text: str, as_json: bool) -> None:
    """Answer a command that did its work."""
    print(json.dumps({"status": "done", **done}, ensure_ascii=False) if as_json else text)


@contextmanager
def answering(as_json: bool) -> Iterator[None]:
    """Turn every error a user can cause into its answer and exit code.

    Raises
    ------
    typer.Exit : with the code of the error.
    """
    try:
        yield
    except WorksFaultyError as error:
        faults = [asdict(fault) for fault in error.faults]
        lines = [f"{len(faults)} fault{'s' * (len(faults) != 1)} found. Nothing was written."]
        lines += [str(fault) for fault in error.faults[:SHOWN]]
        if len(faults) > SHOWN:
            lines.append(f"... and {len(faults) - SHOWN} more; --json shows all.")
        _fail("faults", {"faults": faults}, "\n".join(lines), Exit.FAULTS, as_json)
    except NoPlanError as error:
        _fail("no plan", {"message": str(error)}, str(error), Exit.NO_PLAN, as_json)
    except CallError as error:
        _fail("wrong call", {"message": str(error)}, str(error), Exit.WRONG_CALL, as_json)


def _fail(status: str, more: Mapping[str, Any], text: str, code: Exit, as_json: bool) -> None:
    if as_json:
        print(json.dumps({"status": status, **more}, ensure_ascii=False))
    else:
        print(text, file=sys.stderr)
    raise typer.Exit(code)
