"""What a person sees while a long step runs: one line on standard error, only on a terminal."""

import sys
from collections.abc import Iterator
from contextlib import contextmanager

from pacewright.base.progress import Progress, silent


@contextmanager
def waiting() -> Iterator[Progress]:
    """A progress line for the steps inside; silent when standard error is not a terminal."""
    if not sys.stderr.isatty():
        yield silent
        return
    from rich.console import Console
    from rich.progress import BarColumn, TextColumn, TimeElapsedColumn
    from rich.progress import Progress as Bars

    columns = (TextColumn("{task.description}"), BarColumn(), TimeElapsedColumn())
    with Bars(*columns, console=Console(stderr=True), transient=True) as bars:
        task = bars.add_task("reading", total=1.0)

        def show(step: str, share: float) -> None:
            # A step that cannot tell how far it is shows as moving, not as standing at nought.
            bars.update(task, description=step, completed=share, total=1.0 if share else None)

        yield show
