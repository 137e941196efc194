"""Time the door takes for each event of a record, beside the fold of the same events in one run.

    python bench/door.py [VISITS]

The record is told by rote: overhauls of the vehicles of the small works of the tests, one after
another, each of them past the door once when it is made and once more when it is timed.
"""

import sys
import time
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1] / "tests"))

from door_story import Visit
from pacewright.events.fold import take
from pacewright.events.standing import Standing


def main() -> None:
    visits = int(sys.argv[1]) if len(sys.argv) > 1 else 2_000
    story = Visit()
    for number in range(visits):
        story.overhaul(("101", "102", "103")[number % 3])
    now, asked, folded = Standing(), 0.0, 0.0
    by_kind: Counter[str] = Counter()
    for event in story.told:
        began = time.perf_counter()
        refused = story.door(now, event)
        between = time.perf_counter()
        take(now, event)
        folded += time.perf_counter() - between
        asked += between - began
        by_kind[type(event).__name__] += int((between - began) * 1e9)
        if refused:
            raise SystemExit(f"refused: {event}")
    count = len(story.told)
    print(
        f"{count:,} events: door {asked / count * 1e6:.2f}, fold with checks "
        f"{folded / count * 1e6:.2f} microseconds an event"
    )
    counts = Counter(type(one).__name__ for one in story.told)
    for kind, spent in by_kind.most_common(6):
        print(f"  {kind:<16} {spent / counts[kind] / 1000:8.2f} microseconds")


if __name__ == "__main__":
    main()
