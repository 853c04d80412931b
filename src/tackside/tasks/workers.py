"""Where pieces of work are done: in threads of this process, in processes of this machine, on a Dask cluster.

Each way gives pairs of name and result as they are done. A worker that is lost takes the pieces in its hands along, and
they are done again; an error of the work itself comes through in its own words.
"""

from __future__ import annotations

import contextlib
import importlib
import multiprocessing
import multiprocessing.connection
import os
import signal
import threading
from collections.abc import Callable, Generator
from concurrent.futures import CancelledError, ProcessPoolExecutor, ThreadPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from typing import Any

from tackside import __version__
from tackside.errors import BadRequest, StorageTrouble

Plain = dict[str, Any]
Work = Callable[..., Plain]
Done = Generator[tuple[str, Plain], None, None]
# A piece that was lost so often takes workers down itself.
MOST_ATTEMPTS = 3
CONNECT_SECONDS = 10
BUNDLES_A_WORKER, MOST_AT_ONCE = 16, 16
# Workers with a thread for every core each get into each other's way: measured, it takes over four times as long.
_ONE_THREAD = (
    "OMP_NUM_THREADS",
    "OPENBLAS_NUM_THREADS",
    "MKL_NUM_THREADS",
    "NUMBA_NUM_THREADS",
    "VIPS_CONCURRENCY",
)


@dataclass(frozen=True)
class Piece:
    """One call: ``work(item)``, or ``work(item, common)`` where ``common`` is not None. All pieces share the last."""

    work: Work
    item: Plain
    common: Plain | None

    @property
    def address(self) -> tuple[str, str]:
        """Module and name of the work: a worker imports it once it has the threads that it is to have."""
        return self.work.__module__, self.work.__qualname__


def in_threads(pieces: dict[str, Piece], workers: int | None) -> Done:
    """Threads of this process: nothing to start, and libraries keep the threads that they have."""
    with ThreadPoolExecutor(workers or os.cpu_count() or 1) as pool:
        waiting = {
            pool.submit(_called, each.work, each.item, each.common): name for name, each in pieces.items()
        }
        try:
            for future in as_completed(waiting):
                yield waiting[future], future.result()
        finally:
            pool.shutdown(wait=True, cancel_futures=True)


def in_processes(pieces: dict[str, Piece], workers: int | None) -> Done:
    """Processes of this machine, by default one for each core, of one thread each."""
    left = dict(pieces)
    attempts = 0
    with one_thread_each():
        while left:
            before = len(left)
            try:
                yield from _in_a_pool(left, workers or os.cpu_count() or 1)
            except BrokenProcessPool as error:  # what the lost worker held is still in ``left``
                attempts = attempts + 1 if len(left) == before else 1
                if attempts >= MOST_ATTEMPTS:
                    raise StorageTrouble("task.workers-died", times=MOST_ATTEMPTS) from error


def _in_a_pool(left: dict[str, Piece], count: int) -> Done:
    common = next(iter(left.values())).common
    pool = ProcessPoolExecutor(
        min(count, len(left)),
        mp_context=multiprocessing.get_context("spawn"),
        initializer=_begin,
        initargs=(common,),
    )
    try:
        waiting = {pool.submit(_in_turn, each.address, each.item): name for name, each in left.items()}
        for future in as_completed(waiting):
            result = future.result()
            name = waiting.pop(future)
            del left[name]
            yield name, result
    finally:
        pool.shutdown(wait=True, cancel_futures=True)


@contextlib.contextmanager
def one_thread_each() -> Generator[None, None, None]:
    """What processes inherit that are started in the block; a choice of the user's own holds."""
    ours = [name for name in _ONE_THREAD if name not in os.environ]
    os.environ.update(dict.fromkeys(ours, "1"))
    try:
        yield
    finally:
        for name in ours:
            os.environ.pop(name, None)


_COMMON: Plain | None = None
_AT_WORK = threading.Lock()
_ALONE = threading.Event()


def _begin(common: Plain | None) -> None:
    """In a new process: ``common`` for all that is to come; the end comes with that of the process which began it."""
    global _COMMON
    _COMMON = common
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the one that began us hears it, and stops us in its turn
    threading.Thread(target=_leave_with_parent, daemon=True).start()


def _leave_with_parent() -> None:
    """A process that began us and was killed cannot stop us: finish the piece in hand, then leave."""
    parent = multiprocessing.parent_process()
    if parent is not None:
        multiprocessing.connection.wait([parent.sentinel])
        _ALONE.set()
        with _AT_WORK:
            os._exit(1)


def _in_turn(address: tuple[str, str], item: Plain) -> Plain:
    with _AT_WORK:
        if _ALONE.is_set():
            os._exit(1)
        return _called(_work_at(address), item, _COMMON)


def _called(work: Work, item: Plain, common: Plain | None) -> Plain:
    return work(item) if common is None else work(item, common)


def _work_at(address: tuple[str, str]) -> Work:
    module, name = address
    found: Work = getattr(importlib.import_module(module), name)
    return found


def on_cluster(pieces: dict[str, Piece], address: str) -> Done:
    """The workers of the Dask scheduler at ``address``."""
    if not pieces:
        return
    try:
        library: Any = importlib.import_module("distributed")
    except ImportError as error:
        raise BadRequest("task.no-cluster-package") from error
    try:
        client = library.Client(address, timeout=CONNECT_SECONDS, set_as_default=False)
    except (OSError, ValueError) as error:  # TimeoutError is an OSError
        raise BadRequest("task.no-cluster", address=address) from error
    try:
        workers = _require_same_version(client, address)
        first = next(iter(pieces.values()))
        # A task of its own, not data once sent: where the worker that holds it is lost, it is made again.
        common = client.submit(_itself, first.common, pure=False)
        bundles = list(_bundled(pieces, workers))
        waiting = {
            client.submit(
                _far_away, first.address, items, common, key=f"tackside-{names[0]}", retries=MOST_ATTEMPTS
            ): names
            for names, items in bundles
        }
        for future in library.as_completed(waiting, loop=client.loop):
            yield from zip(waiting[future], future.result(), strict=True)
    except (library.scheduler.KilledWorker, CancelledError, OSError) as error:
        raise StorageTrouble("task.cluster-lost", address=address) from error
    finally:
        client.close()


def _bundled(pieces: dict[str, Piece], workers: int) -> Generator[tuple[list[str], list[Plain]], None, None]:
    """Many small pieces go out some at a time, as each task costs the scheduler a moment; the fewer the nearer the end,
    so that all workers have work until it comes, and little is done again where one is lost."""
    names = list(pieces)
    start = 0
    while start < len(names):
        share = (len(names) - start) // (BUNDLES_A_WORKER * workers)
        some = names[start : start + max(1, min(MOST_AT_ONCE, share))]
        yield some, [pieces[name].item for name in some]
        start += len(some)


def _itself(common: Plain | None) -> Plain | None:
    return common


def _far_away(address: tuple[str, str], items: list[Plain], common: Plain | None) -> list[Plain]:
    """On a worker of a cluster: the libraries that the work imports find one thread each, as they do here."""
    for name in _ONE_THREAD:
        os.environ.setdefault(name, "1")
    work = _work_at(address)
    return [_called(work, item, common) for item in items]


def _require_same_version(client: Any, address: str) -> int:
    """Results hold for one version of the program: raise BadRequest where a worker runs another; how many there are."""
    try:
        told = client.run(version_here)
        versions = set(told.values())
    except (ImportError, AttributeError, OSError) as error:
        raise BadRequest("task.workers-without-tackside", address=address, version=__version__) from error
    if not versions:
        raise BadRequest("task.no-workers", address=address)
    if versions != {__version__}:
        others = sorted(versions - {__version__})
        raise BadRequest("task.other-versions", address=address, others=others, version=__version__)
    return len(told)


def version_here() -> str:
    """The version of the program, asked of each worker."""
    return __version__
