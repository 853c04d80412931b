"""Many pieces of work spread over processes: of this machine by default, or of a cluster by its address.

Work is a function of this package's top level from plain data to plain data, and gives the same for the same: so it
may be done twice, anywhere, and what was finished is kept and not done again.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib
import json
import multiprocessing
import os
from collections.abc import Callable, Generator, Sequence
from concurrent.futures import CancelledError, ProcessPoolExecutor, as_completed
from concurrent.futures.process import BrokenProcessPool
from pathlib import Path
from typing import Any

from tackside import __version__
from tackside.bench.files import explain, write_atomically
from tackside.errors import BadRequest, StorageTrouble

Plain = dict[str, Any]
Work = Callable[[Plain], Plain]
Tell = Callable[[int, int], None]
Done = Generator[tuple[str, Plain], None, None]
# A worker that dies takes the pieces in its hands along; a piece that was lost so often takes workers down itself.
MOST_ATTEMPTS = 3
CONNECT_SECONDS = 10
# Workers with a thread for every core each get into each other's way: measured, it takes over four times as long.
_ONE_THREAD = (
    "OMP_NUM_THREADS",
    "OPENBLAS_NUM_THREADS",
    "MKL_NUM_THREADS",
    "NUMBA_NUM_THREADS",
    "VIPS_CONCURRENCY",
)


def spread(
    work: Work,
    items: Sequence[Plain],
    *,
    workers: int | None = None,
    cluster: str | None = None,
    finished: Path | None = None,
    tell: Tell = lambda done, of: None,
) -> list[Plain]:
    """What ``work`` gives for each item, in the order of the items, wherever it was done.

    ``workers`` processes work here, by default one for each core; with ``cluster``, those of the Dask scheduler at
    that address do. ``finished`` is a folder where results are kept: a run that was stopped goes on from there.
    ``tell`` hears how many are done. An error of ``work`` ends the run; what was finished stays. Raises BadRequest
    where the cluster cannot be used, StorageTrouble where workers keep dying.
    """
    names = [_name(work, item) for item in items]
    results = _kept(names, finished)
    tell(len(results), len(set(names)))
    missing = {name: item for name, item in zip(names, items, strict=True) if name not in results}
    if missing:
        done = _on_cluster(work, missing, cluster) if cluster else _here(work, missing, workers)
        with contextlib.closing(done):
            for name, result in done:
                results[name] = result
                if finished is not None:
                    write_atomically(finished / f"{name}.json", json.dumps(result).encode("utf-8"))
                tell(len(results), len(set(names)))
    return [results[name] for name in names]


def _name(work: Work, item: Plain) -> str:
    """One name for one piece of work by one version: what is kept under it holds."""
    said = [__version__, work.__module__, work.__qualname__, item]
    return hashlib.sha256(json.dumps(said, sort_keys=True).encode("utf-8")).hexdigest()


def _kept(names: Sequence[str], finished: Path | None) -> dict[str, Plain]:
    if finished is None:
        return {}
    found: dict[str, Plain] = {}
    try:
        finished.mkdir(parents=True, exist_ok=True)
        for name in names:
            file = finished / f"{name}.json"
            if file.is_file():
                with contextlib.suppress(ValueError):  # damaged: done again
                    found[name] = json.loads(file.read_bytes())
    except OSError as error:
        raise explain(error, finished, "write") from error
    return found


def _here(work: Work, missing: dict[str, Plain], workers: int | None) -> Done:
    count = workers or os.cpu_count() or 1
    left = dict(missing)
    with _one_thread_each():
        yield from _in_processes(work, left, count)


@contextlib.contextmanager
def _one_thread_each() -> Generator[None, None, None]:
    """What processes inherit that are started in the block; a choice of the user's own holds."""
    ours = [name for name in _ONE_THREAD if name not in os.environ]
    os.environ.update(dict.fromkeys(ours, "1"))
    try:
        yield
    finally:
        for name in ours:
            os.environ.pop(name, None)


def _in_processes(work: Work, left: dict[str, Plain], count: int) -> Done:
    for _ in range(MOST_ATTEMPTS):
        pool = ProcessPoolExecutor(min(count, len(left)), mp_context=multiprocessing.get_context("spawn"))
        try:
            waiting = {pool.submit(work, item): name for name, item in left.items()}
            for future in as_completed(waiting):
                result = future.result()
                name = waiting[future]
                del left[name]
                yield name, result
            return
        except BrokenProcessPool:  # a worker was lost: what it held is still in ``left``, and done again
            continue
        finally:
            pool.shutdown(wait=True, cancel_futures=True)
    raise StorageTrouble(
        f"workers died {MOST_ATTEMPTS} times over the same work",
        "close other programs, or use fewer --workers; what was finished is kept",
    )


def _on_cluster(work: Work, missing: dict[str, Plain], address: str) -> Done:
    try:
        library: Any = importlib.import_module("distributed")
    except ImportError as error:
        raise BadRequest(
            "a cluster needs the package distributed", "install it: pip install 'tackside[cluster]'"
        ) from error
    try:
        client = library.Client(address, timeout=CONNECT_SECONDS, set_as_default=False)
    except (OSError, ValueError) as error:  # TimeoutError is an OSError
        raise BadRequest(
            f"no cluster answers at {address}", "check the address, and that its scheduler runs"
        ) from error
    try:
        _require_same_version(client, address)
        waiting = {
            client.submit(work, item, key=f"tackside-{name}", retries=MOST_ATTEMPTS): name
            for name, item in missing.items()
        }
        for future in library.as_completed(waiting, loop=client.loop):
            yield waiting[future], future.result()
    except (library.scheduler.KilledWorker, CancelledError, OSError) as error:
        raise StorageTrouble(
            f"the cluster at {address} went away, or its workers died over the same work",
            "look at their logs, then run this again; what was finished is kept",
        ) from error
    finally:
        client.close()


def _require_same_version(client: Any, address: str) -> None:
    """Results hold for one version of the program: raise BadRequest where a worker runs another."""
    try:
        versions = set(client.run(version_here).values())
    except (ImportError, AttributeError, OSError) as error:
        raise BadRequest(
            f"workers at {address} do not have Tackside", f"install {__version__} there"
        ) from error
    if not versions:
        raise BadRequest(f"the cluster at {address} has no workers", "start some, then run this again")
    if versions != {__version__}:
        others = ", ".join(sorted(versions - {__version__}))
        raise BadRequest(f"workers at {address} run Tackside {others}", f"bring all to {__version__}")


def version_here() -> str:
    """The version of the program, asked of each worker."""
    return __version__
