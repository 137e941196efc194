"""One look at the record serves all that listen."""

import asyncio

import pytest

from pacewright.office.errors import CallError
from pacewright.web import news
from pacewright.web.news import News


class Record:
    """Stands for a desk: every look finds one event more; some looks fail."""

    closing = False

    def __init__(self, failing: frozenset[int] = frozenset()) -> None:
        self.looks = 0
        self.failing = failing

    def head_place(self) -> int:
        """Place of the last event."""
        self.looks += 1
        if self.looks in self.failing:
            raise CallError("the database is away")
        return self.looks


async def listened(record: Record, how_many: int, seconds: float) -> tuple[set[int], News]:
    """Places that so many listeners know at the end."""
    told = News(record)  # type: ignore[arg-type]

    async def one() -> int:
        async with told:
            await asyncio.sleep(seconds)
            return told.place

    return set(await asyncio.gather(*(one() for _ in range(how_many)))), told


def test_a_hundred_listeners_cost_one_look_at_a_time(monkeypatch: pytest.MonkeyPatch) -> None:
    """Looks go with time, not with listeners, and end with the last of them."""
    monkeypatch.setattr(news, "LOOK_SECONDS", 0.05)
    record = Record()

    async def story() -> int:
        places, _ = await listened(record, 100, 0.5)
        assert max(places) - min(places) <= 1
        looks = record.looks
        await asyncio.sleep(0.2)
        assert record.looks <= looks + 1, "nobody listens, and it looks on"
        return looks

    assert 2 <= asyncio.run(story()) <= 11, "half a second has ten looks"


def test_a_database_away_for_a_moment_loses_nothing(monkeypatch: pytest.MonkeyPatch) -> None:
    """A look that fails is followed by others."""
    monkeypatch.setattr(news, "LOOK_SECONDS", 0.02)
    record = Record(failing=frozenset({3, 4}))

    async def story() -> set[int]:
        return (await listened(record, 3, 0.6))[0]

    assert min(asyncio.run(story())) > 4
