"""Rate of the record beside the raw rate of its database; opening, history, memory.

    python bench/record.py [EVENTS] [--databases sqlite,postgresql] [--keep DIR]

Events are told by rote as in bench/events.py. The raw rate is that of the very rows the record
wrote, put into tables of the same columns by plain INSERT in transactions of the same size, without
any check, digest or trigger, in the same run. PostgreSQL is a server of its own on loopback that
writes through to the disk (fsync on), as SQLite does (WAL, synchronous=full).
"""

import argparse
import resource
import shutil
import sqlite3
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from itertools import islice
from pathlib import Path
from typing import Any

from events import record

from pacewright.events.fold import fold
from pacewright.ledger.entry import Entry, Outcome
from pacewright.ledger.store import Ledger
from pacewright.ledger.tables import EVENTS, SUBJECTS

sys.path.append(str(Path(__file__).parents[1] / "tests"))

SINGLES, HUNDREDS = 1_000, 40_000
Rows = list[tuple[Any, ...]]


def appended(ledger: Ledger, entries: Sequence[Entry], size: int) -> tuple[float, float]:
    """Entries a second, and seconds of processor for each, when handed in so many at a time."""
    began, processor = time.perf_counter(), time.process_time()
    for start in range(0, len(entries), size):
        answers = ledger.append(entries[start : start + size])
        assert all(one.outcome is Outcome.KEPT for one in answers), answers
    wall, processor = time.perf_counter() - began, time.process_time() - processor
    return len(entries) / wall, processor / len(entries)


def batches(rows: tuple[Rows, Rows], first: int, count: int, size: int) -> Iterator[list[Rows]]:
    """Rows of events and subjects, by transactions of ``size`` events."""
    events, subjects = rows
    for start in range(first, first + count, size):
        end = start + size
        yield [events[start:end], [one for one in subjects if start < one[1] <= end]]


def raw(link: Any, mark: str, parts: list[list[Rows]], begin: str, count: int) -> float:
    """Events a second by plain INSERT, in the same transactions."""
    began = time.perf_counter()
    cursor = link.cursor()
    for events, subjects in parts:
        cursor.execute(begin)
        for table, some in (("raw_events", events), ("raw_subjects", subjects)):
            if some:
                marks = ", ".join([mark] * len(some[0]))
                cursor.executemany(f"INSERT INTO {table} VALUES ({marks})", some)
        cursor.execute("COMMIT")
    return count / (time.perf_counter() - began)


def raw_tables(text: str, blob: str) -> list[str]:
    """Plain tables with the columns and indexes of the record."""
    kinds = {"place": "BIGINT PRIMARY KEY", "version": "INTEGER", "before": blob, "digest": blob}
    kinds |= {"clock_behind_seconds": "INTEGER", "event_id": f"{text} UNIQUE"}
    columns = ", ".join(f"{one.name} {kinds.get(one.name, text)}" for one in EVENTS.columns)
    return [
        f"CREATE TABLE raw_events ({columns})",
        "CREATE INDEX raw_kind ON raw_events (kind, place)",
        "CREATE INDEX raw_at ON raw_events (at)",
        f"CREATE TABLE raw_subjects (about {text}, place BIGINT, PRIMARY KEY (about, place))",
    ]


def plain(row: Any) -> tuple[Any, ...]:
    """A row as values a plain driver takes."""
    return tuple(one.isoformat() if hasattr(one, "isoformat") else one for one in row)


def rates(name: str, address: str, entries: Sequence[Entry], link: Any, mark: str) -> None:
    """Print the rates of one database, one by one and in hundreds."""
    with Ledger.open(address) as ledger:
        warm = 1_000
        appended(ledger, entries[:warm], 100)
        single = appended(ledger, entries[warm : warm + SINGLES], 1)
        start = warm + SINGLES
        hundreds = appended(ledger, entries[start : start + HUNDREDS], 100)
        with ledger._database.reading() as read:
            rows = (
                [plain(one) for one in read.execute(EVENTS.select().order_by("place"))],
                [tuple(one) for one in read.execute(SUBJECTS.select().order_by("place"))],
            )
    for one in raw_tables("TEXT", "BYTEA" if mark == "%s" else "BLOB"):
        link.execute(one)
    begin = "BEGIN" if mark == "%s" else "BEGIN IMMEDIATE"
    raw(link, mark, list(batches(rows, 0, warm, 100)), begin, warm)
    raw_single = raw(link, mark, list(batches(rows, warm, SINGLES, 1)), begin, SINGLES)
    raw_hundreds = raw(link, mark, list(batches(rows, start, HUNDREDS, 100)), begin, HUNDREDS)
    for how, (ours, processor), theirs in (
        ("one by one", single, raw_single),
        ("in hundreds", hundreds, raw_hundreds),
    ):
        print(
            f"{name:<11} {how:<12} {ours:9,.0f} a second, raw {theirs:9,.0f}: "
            f"{ours / theirs:.2f} of it; {1e6 * processor:.0f} microseconds of processor each",
            flush=True,
        )


def on_sqlite(folder: Path, entries: Sequence[Entry]) -> None:
    """Rates on SQLite."""
    link = sqlite3.connect(folder / "raw.sqlite", isolation_level=None)
    link.execute("PRAGMA journal_mode = WAL")
    link.execute("PRAGMA synchronous = FULL")
    link.execute("PRAGMA cache_size = -32000")
    rates("sqlite", str(folder / "rates.sqlite"), entries, link, "?")
    link.close()


def on_postgresql(entries: Sequence[Entry]) -> None:
    """Rates on PostgreSQL."""
    import psycopg

    from postgresql_server import Server

    server = Server(safe=True)
    try:
        address = server.new_database("rates")
        server.new_database("raw")
        with psycopg.connect(
            server.address("raw").replace("+psycopg", ""), autocommit=True
        ) as link:
            rates("postgresql", address, entries, link, "%s")
    finally:
        server.end()


def long_record(folder: Path, count: int) -> None:
    """A long record: written in thousands, opened, asked."""
    path = folder / "long.sqlite"
    made = path.exists()
    with Ledger.open(path) as ledger:
        events, began = record(), time.perf_counter()
        number = ledger.head().place
        for _ in range(number):
            next(events)
        while number < count:
            some = list(islice(events, min(2_000, count - number)))
            ledger.append([Entry(f"e{number + n}", one, "clerk 1") for n, one in enumerate(some)])
            number += len(some)
    if not made:
        seconds = time.perf_counter() - began
        print(f"{count:,} events in thousands: {seconds:.0f} s, {count / seconds:,.0f} a second")
    size = path.stat().st_size
    print(f"file {size / 1e6:,.0f} MB, {size / count:.0f} bytes an event")
    began, processor = time.perf_counter(), time.process_time()
    with Ledger.open(path) as ledger:
        now = ledger.standing()
        wall, processor = time.perf_counter() - began, time.process_time() - processor
        print(f"opened, where everything stands known: {wall:.2f} s, processor {processor:.2f} s")
        for about in ("vehicle:0007", "kind-3:0007-3", "place:wash"):
            began = time.perf_counter()
            found = list(ledger.entries(about=about, newest_first=True, limit=500))
            wall = 1000 * (time.perf_counter() - began)
            print(f"history of {about}: {len(found)} entries in {wall:.0f} ms")
        began = time.perf_counter()
        ledger.standing_before(count - 3_000)
        print(f"where everything stood 3,000 events ago: {time.perf_counter() - began:.2f} s")
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(f"peak memory {memory:.0f} MB, {len(now.units):,} units", flush=True)
    if now != fold(islice(record(), count), trusted=True):
        raise SystemExit("the standing is not the fold")


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("events", nargs="?", type=int, default=2_000_000)
    asked.add_argument("--databases", default="sqlite,postgresql")
    asked.add_argument("--keep", type=Path, help="folder that keeps the long record")
    given = asked.parse_args()
    entries = [
        Entry(f"e{n}", one, "clerk 1", "desk 2", f"card {n}")
        for n, one in enumerate(islice(record(), 1_000 + SINGLES + HUNDREDS))
    ]
    folder = Path(tempfile.mkdtemp())
    try:
        if "sqlite" in given.databases:
            on_sqlite(folder, entries)
        if "postgresql" in given.databases:
            on_postgresql(entries)
        long_record(given.keep or folder, given.events)
    finally:
        shutil.rmtree(folder)


if __name__ == "__main__":
    main()
