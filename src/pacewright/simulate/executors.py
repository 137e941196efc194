"""Where replications are run: threads of this machine, any pool of workers, a cluster."""

from collections.abc import Callable
from concurrent.futures import BrokenExecutor, CancelledError, Executor, Future, ThreadPoolExecutor
from dataclasses import dataclass, field
from os import cpu_count
from typing import Any, Self

from pacewright.simulate.stopping import look_at, new_cell

LOST: tuple[type[BaseException], ...] = (BrokenExecutor, CancelledError)
"""What a future says when its worker is gone rather than its work wrong."""


class NoClusterError(Exception):
    """A cluster was asked for that cannot be reached; the message says what to do."""


def send_as_it_is(_: Executor, shared: Any) -> Any:
    """What is shared goes with every piece of work; within one process that costs nothing."""
    return shared


@dataclass
class Workers:
    """A pool of workers that can be made anew when it breaks.

    Parameters
    ----------
    make : makes the executor.
    how_many : pieces of work it can do at once.
    send : sends what all work shares, once an executor, and gives what stands for it in a call.
    lost : errors that say the worker is gone; its work is done again.
    stop : tells work under way to end at once; the usual: it ends by itself.
    close : called at the end, when the workers are needed no more.
    """

    make: Callable[[], Executor]
    how_many: int
    send: Callable[[Executor, Any], Any] = send_as_it_is
    lost: tuple[type[BaseException], ...] = LOST
    close: Callable[[], None] = lambda: None
    stop: Callable[[], None] = lambda: None
    _executor: Executor | None = field(default=None, init=False)
    _given: set[Future[Any]] = field(default_factory=set, init=False)
    _sent: Any = field(default=None, init=False)
    _shared: Any = field(default=None, init=False)

    def begin(self, shared: Any) -> None:
        """Start the workers and send them what all work shares."""
        self._shared = shared
        self._executor = self.make()
        self._sent = self.send(self._executor, shared)

    def submit(self, work: Callable[..., Any], *arguments: Any) -> Future[Any]:
        """Have ``work(shared, *arguments)`` done."""
        assert self._executor is not None
        future = self._executor.submit(work, self._sent, *arguments)
        self._given.add(future)
        future.add_done_callback(self._given.discard)
        return future

    def renew(self) -> None:
        """Workers in place of those that were lost."""
        self.rest(wait=False)
        self.begin(self._shared)

    def rest(self, wait: bool = True) -> None:
        """Let work that is begun end, drop what is not; they can begin again."""
        if self._executor is not None:
            for future in list(self._given):
                future.cancel()
            self._executor.shutdown(wait=wait)
            self._executor = None

    def halt(self) -> None:
        """Stop the work under way where that can be done, and let it end; drop the rest."""
        self.stop()
        self.rest()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.rest()
        self.close()


def threads(count: int | None = None) -> Workers:
    """Threads of this machine, one a processor unless said otherwise; the kernel runs them freely.

    Parameters
    ----------
    count : 1 or more.
    """
    many = count or cpu_count() or 1
    cells = [new_cell()]

    def make() -> Executor:
        cells[0] = new_cell()
        return ThreadPoolExecutor(many, "replication", look_at, (cells[0],))

    def stop() -> None:
        cells[0][0] = 1

    return Workers(make, many, stop=stop)


def cluster(address: str) -> Workers:
    """A Dask cluster, reached at its scheduler's address.

    Parameters
    ----------
    address : as its scheduler names it, ``tcp://host:port``.

    Raises
    ------
    NoClusterError : the extra ``cluster`` is not installed, or nobody answers there.
    """
    try:
        import distributed  # noqa: PLC0415
    except ImportError as error:
        raise NoClusterError(
            "--cluster: the library for clusters is not installed. Install pacewright[cluster], "
            "or leave --cluster out to run on this machine."
        ) from error
    try:
        client = distributed.Client(address, timeout="15s", set_as_default=False)
    except (OSError, ValueError) as error:
        raise NoClusterError(
            f"--cluster {address}: no scheduler answers there ({error}). Start one, correct the "
            "address, or leave --cluster out to run on this machine."
        ) from error
    return on_client(client)


def on_client(client: Any) -> Workers:
    """The workers of a Dask client that is already connected; it is closed at the end."""
    from distributed import KilledWorker  # noqa: PLC0415
    from distributed.comm import CommClosedError  # noqa: PLC0415

    many = max(1, sum(client.nthreads().values()))
    return Workers(
        make=lambda: client.get_executor(pure=False),
        how_many=many,
        # On every worker, so that none that dies takes the only copy with it.
        send=lambda _, shared: client.scatter(shared, broadcast=True),
        lost=(*LOST, KilledWorker, CommClosedError),
        close=client.close,
    )
