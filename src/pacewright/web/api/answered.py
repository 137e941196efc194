"""What a write over REST answers: done with its data, or refused with every fault."""

from collections.abc import Callable, Sequence
from typing import Any

from starlette.exceptions import HTTPException
from starlette.responses import JSONResponse, Response

from pacewright.base.faults import CallError, WorksFaultyError
from pacewright.office.desk_booking import Answer, Outcome
from pacewright.office.errors import NotFoundError
from pacewright.web.booking_pages import told


def done(
    data: dict[str, Any], status: int = 200, headers: dict[str, str] | None = None
) -> Response:
    """It is done."""
    return JSONResponse({"status": "done", "data": data}, status, headers)


def refused(faults: Sequence[str], status: int, data: dict[str, Any] | None = None) -> Response:
    """It is not done; nothing changed unless the data say so."""
    body: dict[str, Any] = {"status": "refused", "faults": list(faults)}
    return JSONResponse(body if data is None else body | {"data": data}, status)


def tried(act: Callable[[], Response]) -> Response:
    """What the act answers, or why the office refuses it.

    Raises
    ------
    HTTPException : 404, there is no such thing; 422, a value is wrong.
    """
    try:
        return act()
    except NotFoundError as error:
        raise HTTPException(404, str(error)) from None
    except WorksFaultyError as error:
        return refused([str(one) for one in error.faults], 409)
    except CallError as error:
        status, faults = told(error)
        return refused(faults, status)
    except ValueError as error:
        raise HTTPException(422, str(error)) from None


def booked(answers: Sequence[Answer]) -> Response:
    """What became of each event that was handed in."""
    data = {
        "answers": [
            {
                "event_id": one.event_id,
                "outcome": one.outcome.value,
                "place": one.place,
                "reasons": list(one.reasons),
            }
            for one in answers
        ]
    }
    faults = [
        f"events[{number}]: {line}"
        for number, one in enumerate(answers)
        if one.outcome is Outcome.REFUSED
        for line in one.reasons
    ]
    return refused(faults, 409, data) if faults else done(data)
