"""Pages under load: live readers and writers at one works, beside a page that does nothing.

Usage: ``python bench/web.py WORKS [--readers 100] [--writers 20] [--seconds 30]`` on a copy of an
example with its record (``pacewright example DIR --record-months N``): what is booked stays in it.

Readers keep live news open and look at a page now and then; writers book an event, think, and
book the next. The server runs in a process of its own. A page that shows nothing but the frame is
asked for as often as the others, so that the ratio says what a page costs whatever else the
machine does. Afterwards every event that was answered for is sought in the record, and every
reader must have heard of the last.
"""

import argparse
import asyncio
import multiprocessing
import random
import secrets
import socket
import statistics
import time
from collections import defaultdict
from datetime import datetime
from pathlib import Path
from typing import Any, NamedTuple

import httpx2

PASSWORD = secrets.token_hex(8)
NOTHING = "/nothing"
LOOKS_SECONDS, WRITES_SECONDS = 20.0, 5.0
"""On average a reader looks at a page, and a writer books, so often."""


class Plan(NamedTuple):
    """How much is done, and where."""

    address: str
    readers: int
    writers: int
    seconds: float
    key: str
    token: str
    pages: tuple[str, ...]
    pieces: tuple[str, ...]


class Seen:
    """What was measured."""

    def __init__(self) -> None:
        self.page_seconds: dict[str, list[float]] = defaultdict(list)
        self.write_seconds: list[float] = []
        self.kept: list[int] = []
        self.failed: list[str] = []
        self.heard: dict[int, int] = {}


def opened(works: Path) -> Any:
    """The works, its clock going on from the record."""
    from pacewright.control.as_recorded import last_moment
    from pacewright.office.desk import Desk

    desk = Desk(works)
    with desk.standing() as standing:
        shift = (last_moment(standing) or datetime.now()) - datetime.now()
    desk.set_clock(lambda: datetime.now() + shift)
    return desk


def serving(works: Path, port: int) -> None:
    """The server, with a page that does nothing besides the others."""
    import uvicorn
    from starlette.requests import Request
    from starlette.responses import Response

    from pacewright.web.frame import page
    from pacewright.web.serve import Place, config_of, make_ready
    from pacewright.web.who import Seeing

    def nothing(request: Request, person: Seeing) -> Response:
        return page(request, "frame.html.j2", person, {"title": "Nothing"})

    desk = opened(works)
    make_ready(desk)
    config = config_of(desk, Place(port=port))
    config.app.add_api_route(NOTHING, nothing, include_in_schema=False)  # type: ignore[union-attr]
    uvicorn.Server(config).run()


def prepared(works: Path, port: int, how: argparse.Namespace) -> Plan:
    """An account, its session and token, and what to look at and to book."""
    from pacewright.events.scan import code_of
    from pacewright.office.rights import Role

    desk = opened(works)
    name = f"bench{secrets.token_hex(3)}"
    desk.access.open_account(name, "Bench", Role.PLANNER, PASSWORD)
    key = desk.access.sign_in(name, PASSWORD, "bench")
    person = desk.access.person(key)
    token = desk.access.new_token(person, "bench", person.rights, 1)
    with desk.standing() as standing:
        inside = [one.vehicle_id for one in standing.inside()][:12]
        pieces = [code_of(one.piece) for one in standing.pieces.values() if one.stands]
    pages = ["/today", "/vehicles", "/shops", "/parts", "/shortages", "/record", "/programme"]
    pages += [f"/vehicles/{number}" for number in inside]
    desk.close()
    return Plan(f"http://127.0.0.1:{port}", how.readers, how.writers, how.seconds, key, token,
                tuple(pages), tuple(pieces))  # fmt: skip


async def warm(plan: Plan) -> None:
    """Wait for the server and look at every page once; the time of the first look is told."""
    async with client(plan) as one:
        for _ in range(600):
            try:
                await one.get("/sign-in")
                break
            except httpx2.TransportError:
                await asyncio.sleep(0.5)
        for path in [NOTHING, *plan.pages]:
            began = time.perf_counter()
            status = (await one.get(path)).status_code
            print(f"  first look at {path}: {time.perf_counter() - began:.2f} s ({status})")


def client(plan: Plan) -> httpx2.AsyncClient:
    """A browser that is signed in."""
    return httpx2.AsyncClient(
        base_url=plan.address, cookies={"pacewright": plan.key}, timeout=120.0
    )


async def listens(plan: Plan, number: int, seen: Seen) -> None:
    """Keep live news open, until it is stopped, and remember the last place heard of."""
    async with client(plan) as one, one.stream("GET", "/live?after=0") as news:
        async for line in news.aiter_lines():
            if line.startswith("id: "):
                seen.heard[number] = int(line[4:])


async def looks(plan: Plan, seen: Seen, until: float) -> None:
    """Look at a page, then at the one that does nothing, and read a while."""
    async with client(plan) as one:
        while time.monotonic() < until:
            await asyncio.sleep(random.expovariate(1 / LOOKS_SECONDS))
            for path in (random.choice(plan.pages), NOTHING):
                began = time.perf_counter()
                answer = await one.get(path)
                seen.page_seconds[path].append(time.perf_counter() - began)
                if answer.status_code != 200:
                    seen.failed.append(f"{path}: {answer.status_code}")


async def books(plan: Plan, seen: Seen, until: float) -> None:
    """Book that a piece stands, again and again."""
    headers = {"authorization": f"Bearer {plan.token}"}
    async with httpx2.AsyncClient(base_url=plan.address, headers=headers, timeout=120.0) as one:
        while time.monotonic() < until:
            await asyncio.sleep(random.expovariate(1 / WRITES_SECONDS))
            event = {"kind": "held", "piece": random.choice(plan.pieces), "cause": "people",
                     "reason": secrets.token_hex(8)}  # fmt: skip
            began = time.perf_counter()
            answer = await one.post("/api/events", json={"events": [{"event": event}]})
            seen.write_seconds.append(time.perf_counter() - began)
            if answer.status_code == 200:
                seen.kept.append(answer.json()["data"]["answers"][0]["place"])
            else:
                seen.failed.append(f"write: {answer.status_code} {answer.text[:200]}")


async def load(plan: Plan) -> Seen:
    """Everybody at once."""
    seen = Seen()
    until = time.monotonic() + plan.seconds
    live = [asyncio.create_task(listens(plan, one, seen)) for one in range(plan.readers)]
    work = [looks(plan, seen, until) for _ in range(plan.readers)]
    work += [books(plan, seen, until) for _ in range(plan.writers)]
    await asyncio.gather(*work)
    await asyncio.sleep(4)
    for one in live:
        one.cancel()
    await asyncio.gather(*live, return_exceptions=True)
    return seen


def told(name: str, seconds: list[float]) -> float:
    """Print one line; the 95th percentile."""
    late = statistics.quantiles(seconds, n=20)[-1] if len(seconds) > 1 else seconds[0]
    print(
        f"{name:24} {len(seconds):6} times   mean {statistics.mean(seconds) * 1000:7.0f} ms   "
        f"median {statistics.median(seconds) * 1000:7.0f} ms   p95 {late * 1000:7.0f} ms"
    )
    return late


def report(works: Path, plan: Plan, seen: Seen) -> None:
    """What was measured, and whether anything was lost."""
    nothing = told(NOTHING, seen.page_seconds.pop(NOTHING))
    sorts: dict[str, list[float]] = defaultdict(list)
    for path, seconds in seen.page_seconds.items():
        sorts["/vehicles/…" if path.count("/") > 1 else path] += seconds
    for path, seconds in sorted(sorts.items()):
        told(path, seconds)
    every = told("every page", [one for many in sorts.values() for one in many])
    told("booking", seen.write_seconds)
    print(f"p95 of pages over p95 of the page that does nothing: {every / nothing:.1f}")
    desk = opened(works)
    head = desk.ledger.head().place
    places = {one.place for one in desk.ledger.entries(after=min(seen.kept, default=1) - 1)}
    lost = [one for one in seen.kept if one not in places]
    doubled = len(seen.kept) - len(set(seen.kept))
    behind = plan.readers - sum(one == head for one in seen.heard.values())
    print(f"{len(seen.kept)} events booked: lost {len(lost)}, under one place twice {doubled}; "
          f"readers that did not hear of the last: {behind} of {plan.readers}")  # fmt: skip
    print(f"failed: {len(seen.failed)} {seen.failed[:3]}; events in the record: {head:,}")
    desk.close()


def main() -> None:
    """Run it."""
    asks = argparse.ArgumentParser(
        description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    asks.add_argument("works", type=Path)
    asks.add_argument("--readers", type=int, default=100)
    asks.add_argument("--writers", type=int, default=20)
    asks.add_argument("--seconds", type=float, default=30.0)
    how = asks.parse_args()
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        port = int(one.getsockname()[1])
    plan = prepared(how.works, port, how)
    server = multiprocessing.get_context("spawn").Process(target=serving, args=(how.works, port))
    server.start()
    try:
        asyncio.run(warm(plan))
        seen = asyncio.run(load(plan))
    finally:
        server.terminate()
        server.join(20)
    report(how.works, plan, seen)


if __name__ == "__main__":
    main()
