"""The shapes of REST: what is sent, what is answered when done, what when refused."""

from datetime import datetime
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field

MOST_EVENTS = 500
"""Events of one request; more are sent in the next."""


class Refused(BaseModel):
    """What could not be done: every fault, a sentence each with its remedy."""

    status: Literal["refused"] = "refused"
    faults: list[str]


class EventIn(BaseModel):
    """One event to be booked."""

    model_config = ConfigDict(extra="forbid")

    event: Annotated[
        dict[str, Any],
        Field(
            description="kind and its fields, as GET /api/kinds tells them. `version` may be left "
            "out, and so may `at` (now) and who acts (the person of the token). A piece or unit is "
            "written as its code, `motor:M-7`, or as a pair."
        ),
    ]
    event_id: Annotated[
        str,
        Field(
            max_length=80,
            pattern=r"^[\x21-\x7e]*$",
            description="unique in the record, so that sending twice is harmless; blank: made from "
            "the Idempotency-Key, or else from what the event says",
        ),
    ] = ""
    reference: Annotated[str, Field(max_length=400, description="job card, docket, order")] = ""
    second_password: Annotated[
        str, Field(max_length=1000, description="of the person named in second_approval")
    ] = ""


class EventsIn(BaseModel):
    """Events to be booked, in the order in which they happened."""

    model_config = ConfigDict(extra="forbid")

    events: Annotated[list[EventIn], Field(min_length=1, max_length=MOST_EVENTS)]
    together: Annotated[bool, Field(description="all are kept or, when one is refused, none")] = (
        False
    )


class AnswerOut(BaseModel):
    """What became of one event."""

    event_id: str
    outcome: Annotated[
        Literal["kept", "known", "refused"],
        Field(description="known: it was kept before, nothing was added"),
    ]
    place: Annotated[int | None, Field(description="its number in the record; null when refused")]
    reasons: Annotated[list[str], Field(description="every rule it breaks")]


class AnswersOut(BaseModel):
    """An answer for each event, in order."""

    answers: list[AnswerOut]


class Booked(BaseModel):
    """Every event is in the record."""

    status: Literal["done"] = "done"
    data: AnswersOut


class NotBooked(Refused):
    """At least one event was refused; ``data`` says what became of each."""

    data: AnswersOut | None = None


class KeptOut(BaseModel):
    """One event as the record keeps it."""

    place: int
    event_id: str
    event: Annotated[dict[str, Any], Field(description="kind, version and every field")]
    recorded_by: str
    recorded_at: Annotated[datetime, Field(description="UTC")]
    device: str
    reference: str
    digest: Annotated[str, Field(description="SHA-256 over the digest before it and all of this")]


class EventsData(BaseModel):
    """A page of events."""

    events: list[KeptOut]
    last_place: Annotated[int, Field(description="place of the record's last event")]
    next: Annotated[str | None, Field(description="address of the next page; null: none")]


class Events(BaseModel):
    """Events of the record."""

    status: Literal["done"] = "done"
    data: EventsData


class FieldOut(BaseModel):
    """One field of a kind."""

    name: str
    meaning: Annotated[str, Field(description="with its unit in brackets")]
    needed: bool
    sort: str
    choices: Annotated[list[str], Field(description="the words it may hold; empty: free")]


class KindOut(BaseModel):
    """One kind of event."""

    kind: str
    meaning: str
    version: int
    right: Annotated[str, Field(description="name of the right that booking it needs")]
    may: Annotated[bool, Field(description="whether this person, or token, has that right")]
    fields: list[FieldOut]


class KindsData(BaseModel):
    """Every kind."""

    kinds: list[KindOut]


class Kinds(BaseModel):
    """The kinds of event."""

    status: Literal["done"] = "done"
    data: KindsData


class PhotoData(BaseModel):
    """A photo that is kept."""

    photo: Annotated[str, Field(description="SHA-256; events name it in their field `photo`")]
    address: str
    media_type: Literal["image/jpeg", "image/png"]
    bytes: int


class PhotoOut(BaseModel):
    """The photo is kept."""

    status: Literal["done"] = "done"
    data: PhotoData


class TableAt(BaseModel):
    """One table of the plan."""

    name: str
    title: str
    about: str
    rows: int
    address: str


class PlanData(BaseModel):
    """Which plan it is, and where its tables are."""

    works: str
    today: str
    inputs_hash: Annotated[str, Field(description="SHA-256 of everything the plan rests on")]
    version: Annotated[str, Field(description="of Pacewright")]
    assumptions: list[str]
    tables: list[TableAt]


class PlanOut(BaseModel):
    """The plan."""

    status: Literal["done"] = "done"
    data: PlanData


class TableData(BaseModel):
    """Some rows of a table."""

    title: str
    about: str
    columns: Annotated[list[dict[str, Any]], Field(description="name, meaning, unit, kind")]
    rows: list[dict[str, Any]]
    rows_in_all: int


class TableOut(BaseModel):
    """A table of the plan."""

    status: Literal["done"] = "done"
    data: TableData
