"""Commands. ``main`` is what the console script calls."""

import sys


def main() -> None:
    """Run the command line; exit 0 done, 1 faults in the files, 2 wrong call, 3 no plan."""
    from pacewright.cli.app import app

    try:
        app(prog_name="pacewright")
    except KeyboardInterrupt:
        # 130 is the shell's own number for a command stopped by Ctrl-C.
        print("Stopped. Nothing was written.", file=sys.stderr)
        sys.exit(130)
