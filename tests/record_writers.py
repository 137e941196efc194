"""A process that bears writers, which hand entries in and say what was acknowledged.

Run as a script, each line on standard input bears what it asks for: ``one SEED ADDRESS`` a writer
that goes on until it is killed, ``many SEED ADDRESS`` twenty at once, in five processes of four
threads each. It is a process of its own, free of threads and open databases, so
that it may fork; loading all modules for every writer anew would take too long.
"""

import importlib
import json
import os
import random
import subprocess
import sys
import tempfile
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from pacewright.events.gate import Admitted
from pacewright.ledger.entry import Entry
from pacewright.ledger.errors import RecordError
from pacewright.ledger.store import Ledger
from record_entries import MORNING, arrival, correction, entry, manner

PROCESSES, THREADS, CALLS = 5, 4, 12


def say(**told: Any) -> None:
    """One line to the parent, in one piece."""
    os.write(1, json.dumps(told).encode() + b"\n")


def pair(name: str) -> list[Entry]:
    """A vehicle that arrives and is admitted: only both together make sense."""
    return [entry(f"{name}-a", arrival(name)), entry(f"{name}-b", Admitted(MORNING, name))]


def write_on(address: str, seed: int) -> None:
    """Hand in pairs, and now and then a correction, until the end."""
    chance = random.Random(seed)
    with Ledger.open(address, manner=manner(snapshot_every=100)) as ledger:
        for number in range(10**6):
            name = f"{seed}-{number}"
            batch = pair(name)
            if number and chance.random() < 0.1:
                mends = f"{seed}-{number - 1}-b"
                right = Admitted(MORNING, f"{seed}-{number - 1}")
                batch.append(entry(f"{name}-c", correction(mends, right)))
            answers = ledger.append(batch, together=True)
            say(kept=[one.event_id for one in answers if one.place])


def write_some(address: str, shared: Ledger, seed: int, thread: int) -> None:
    """Hand in own entries, and some that others hand in too."""
    own = thread % 2 == 0
    ledger = Ledger.open(address, manner=manner(patience_seconds=60.0)) if own else shared
    for call in range(CALLS):
        name = f"{os.getpid()}-{thread}-{call}"
        batch = [entry(name, arrival(name)), entry(f"all-{call}", arrival(f"all-{call}"))]
        random.Random(f"{seed}-{name}").shuffle(batch)
        for one in ledger.append(batch):
            say(event_id=one.event_id, outcome=one.outcome, place=one.place, reasons=one.reasons)
    if own:
        ledger.close()


def write_at_once(address: str, seed: int) -> None:
    """Four threads: two share one open record, two have their own."""
    with Ledger.open(address, manner=manner(patience_seconds=60.0)) as shared:
        threads = [
            threading.Thread(target=write_some, args=(address, shared, seed, n))
            for n in range(THREADS)
        ]
        for one in threads:
            one.start()
        for one in threads:
            one.join()


def bear(address: str, what: str, seed: int) -> None:
    """A child that does it, then ends without a trace of its parent."""
    pid = os.fork()
    if pid:
        return
    status = 1
    try:
        say(pid=os.getpid())
        (write_on if what == "one" else write_at_once)(address, seed)
        status = 0
    except RecordError as error:
        say(error=str(error))
    finally:
        os._exit(status)


def load_all() -> None:
    """Have everything loaded that a writer needs, so that it is at work soon after its birth."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "record.sqlite"
        with Ledger.open(path, manner=manner(snapshot_every=1)) as ledger:
            ledger.append([*pair("1"), entry("c", correction("1-b"))])
            ledger.verify()
        with Ledger.open(path) as ledger:
            ledger.standing()
    importlib.import_module("sqlalchemy.dialects.postgresql.psycopg").dialect.import_dbapi()


def main() -> None:
    """Bear what is asked for, and say when all of it ended."""
    load_all()
    for line in sys.stdin:
        what, seed, address = line.split()
        count = 1 if what == "one" else PROCESSES
        for n in range(count):
            bear(address, what, int(seed) * 100 + n)
        ends = [os.waitpid(-1, 0)[1] for _ in range(count)]
        say(ended=ends)


class Nursery:
    """The process, as the tests use it."""

    def __init__(self) -> None:
        path = os.pathsep.join([str(Path(__file__).parent), *sys.path])
        self._process = subprocess.Popen(
            [sys.executable, __file__],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            env={**os.environ, "PYTHONPATH": path},
        )

    def __enter__(self) -> "Nursery":
        return self

    def __exit__(self, *_: object) -> None:
        self._process.communicate()

    def ask(self, what: str, seed: int, address: str) -> None:
        """Have writers born."""
        assert self._process.stdin is not None
        self._process.stdin.write(f"{what} {seed} {address}\n".encode())
        self._process.stdin.flush()

    def told(self) -> Iterator[dict[str, Any]]:
        """What they say, up to and with their end."""
        assert self._process.stdout is not None
        for line in self._process.stdout:
            said: dict[str, Any] = json.loads(line)
            yield said
            if "ended" in said:
                return


if __name__ == "__main__":
    main()
