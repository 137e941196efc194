"""Time and memory of the whole plan, from files to report, at several sizes.

    python bench/whole_plan.py [VEHICLES ...]

Each size is invented, then planned by the command in a process of its own; the figures are that
process's wall-clock seconds and peak memory. ``warm`` is the second of two runs.
"""

import os
import sys
import tempfile
import time
from pathlib import Path

SIZES = (1_900, 8_000, 100_000)
LIMITS = {1_900: 5.0, 8_000: 10.0, 100_000: 60.0}


def command(*words: str) -> tuple[float, float]:
    """Seconds and peak megabytes of one command."""
    began = time.perf_counter()
    pid = os.posix_spawn(
        sys.executable,
        [sys.executable, "-c", "from pacewright.cli import main; main()", *words],
        os.environ,
        file_actions=[(os.POSIX_SPAWN_OPEN, 1, os.devnull, os.O_WRONLY, 0)],
    )
    _, status, usage = os.wait4(pid, 0)
    if status:
        raise SystemExit(f"pacewright {' '.join(words)} failed with {status}")
    return time.perf_counter() - began, usage.ru_maxrss / 1024


def main() -> None:
    sizes = [int(word) for word in sys.argv[1:]] or SIZES
    heads = ("vehicles", "check s", "first s", "warm s", "peak MB", "wanted s")
    print(" ".join(f"{head:>9}" for head in heads))
    with tempfile.TemporaryDirectory() as scratch:
        for vehicles in sizes:
            works, out = str(Path(scratch) / f"w{vehicles}"), str(Path(scratch) / f"o{vehicles}")
            command("example", works, "--vehicles", str(vehicles))
            checked, _ = command("check", works)
            first, _ = command("plan", works, "--out", out)
            warm, peak = command("plan", works, "--out", out)
            wanted = LIMITS.get(vehicles)
            print(
                f"{vehicles:>9,} {checked:>9.2f} {first:>9.2f} {warm:>9.2f} {peak:>9.0f} "
                f"{wanted if wanted else '-':>9}",
                flush=True,
            )


if __name__ == "__main__":
    main()
