"""Writers and servers killed at any moment: what was acknowledged is there, whole and in order."""

import os
import random
import signal
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from pacewright.events.corrections import fold_record
from pacewright.events.record import Recorded
from pacewright.ledger.store import Ledger
from postgresql_server import Server
from record_entries import manner
from record_writers import Nursery

KILLS, KILLS_ON_SERVER, STOPS = 200, 20, 3


@pytest.fixture(scope="module")
def nursery() -> Iterator[Nursery]:
    """Where writers come from."""
    with Nursery() as one:
        yield one


def kill_one(
    nursery: Nursery, address: str, seed: int, wait_seconds: float, since: str = "pid"
) -> list[str]:
    """Bear a writer and kill it a while after its birth, or after it kept something.

    Returns the ids it had acknowledged.
    """
    nursery.ask("one", seed, address)
    kept: list[str] = []
    pid, killer = 0, None
    for said in nursery.told():
        assert "error" not in said, said
        pid = said.get("pid", pid)
        if killer is None and since in said:
            killer = threading.Timer(wait_seconds, os.kill, (pid, signal.SIGKILL))
            killer.start()
        kept += said.get("kept", [])
        if "ended" in said:
            assert [os.WTERMSIG(one) for one in said["ended"]] == [signal.SIGKILL]
    return kept


def is_whole(address: str, acknowledged: list[str]) -> int:
    """Every acknowledged event is there, no half of a pair, the chain and the fold hold."""
    with Ledger.open(address, manner=manner()) as ledger:
        kept = [Recorded(one.entry.event_id, one.entry.event) for one in ledger.entries()]
        ids = [one.event_id for one in kept]
        assert len(set(ids)) == len(ids)
        assert set(acknowledged) <= set(ids)
        assert {one[:-1] for one in ids if one[-1] == "a"} == {
            one[:-1] for one in ids if one[-1] == "b"
        }
        assert ledger.standing() == fold_record(kept)
        found = ledger.verify()
        assert found.sound, found.faults
        return len(kept)


def test_writers_killed_on_sqlite(nursery: Nursery, tmp_path: Path) -> None:
    """Two hundred writers are killed one after another at random moments of their work."""
    address, chance = str(tmp_path / "record.sqlite"), random.Random(1)
    Ledger.open(address).close()
    acknowledged: list[str] = []
    for number in range(KILLS):
        since, most = ("pid", 0.1) if number % 2 else ("kept", 0.03)
        acknowledged += kill_one(nursery, address, number, chance.uniform(0.0, most), since)
        if number % 50 == 49:
            assert is_whole(address, acknowledged) >= len(acknowledged)
    assert len(acknowledged) > KILLS


def test_killed_while_the_record_is_made(nursery: Nursery, tmp_path: Path) -> None:
    """A record half made is made by the next that opens it."""
    chance = random.Random(2)
    for number in range(8):
        address = str(tmp_path / f"record-{number}.sqlite")
        acknowledged = kill_one(nursery, address, number, chance.uniform(0.0, 0.25))
        is_whole(address, acknowledged)


def test_clients_killed_on_postgresql(nursery: Nursery, server: Server) -> None:
    """The same with clients of a server, which goes on."""
    address, chance = server.new_database("killed-clients"), random.Random(3)
    Ledger.open(address).close()
    acknowledged: list[str] = []
    for number in range(KILLS_ON_SERVER):
        since, most = ("pid", 0.2) if number % 2 else ("kept", 0.05)
        acknowledged += kill_one(nursery, address, number, chance.uniform(0.0, most), since)
    assert is_whole(address, acknowledged) >= len(acknowledged) > 0


@pytest.fixture
def safe_server() -> Iterator[Server]:
    """A server that writes through to the disk, as a real one does."""
    one = Server(safe=True)
    yield one
    one.end()


def test_server_stopped_at_once(nursery: Nursery, safe_server: Server) -> None:
    """The server is gone in the middle of the work: the writer is told, nothing kept is lost."""
    address, chance = safe_server.new_database("stopped"), random.Random(4)
    Ledger.open(address).close()
    acknowledged: list[str] = []
    for number in range(STOPS):
        nursery.ask("one", number, address)
        stopper = threading.Timer(chance.uniform(0.0, 0.2), safe_server.stop)
        errors = []
        for said in nursery.told():
            if "kept" in said and not stopper.ident:
                stopper.start()
            acknowledged += said.get("kept", [])
            errors += [said["error"]] if "error" in said else []
        stopper.join()
        assert len(errors) == 1
        assert "connection to the database server was lost" in errors[0]
        safe_server.start()
        is_whole(address, acknowledged)
    assert acknowledged
