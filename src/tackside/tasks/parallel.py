"""Many pieces of work spread over processes: of this machine by default, or of a cluster by its address.

Work is a function of a module's top level from plain data to plain data, and gives the same for the same: so it may be
done twice, anywhere, and what was finished is kept and not done again. Where it is done is up to ``tasks.workers``.
"""

from __future__ import annotations

import contextlib
import hashlib
import json
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

from tackside import __version__
from tackside.errors import StorageTrouble
from tackside.files.atomic import TEMPORARY_PREFIX
from tackside.tasks.workers import Done, Piece, Plain, Work, in_processes, in_threads, on_cluster

Tell = Callable[[int, int], None]
KEPT_DAYS = 30


def spread(
    work: Work,
    items: Sequence[Plain],
    *,
    common: Plain | None = None,
    common_key: str | None = None,
    workers: int | None = None,
    cluster: str | None = None,
    few: int = 0,
    finished: Path | None = None,
    holds: Callable[[Plain], bool] = lambda result: True,
    tell: Tell = lambda done, of: None,
) -> Iterator[Plain]:
    """What ``work`` gives for each item, in the order of the items, wherever it was done; each as soon as its turn
    comes, so that no more of them are in memory than wait for theirs. Nothing is done before the first is asked for.

    ``work`` takes an item, and ``common`` where that is given: data of all pieces, sent to each worker once; bytes may
    stand in it. ``common_key`` names what it says, where that is less than all of it. ``workers`` processes work here,
    by default one for each core; up to ``few`` pieces are done in threads of this process, as starting others would
    take longer. With ``cluster``, the workers of the Dask scheduler at that address do the work.

    ``finished`` is a folder where results are kept for KEPT_DAYS days: a run that was stopped goes on from there. What
    is kept is taken only where ``holds`` says that it still does; where nothing can be kept, all is done. ``tell``
    hears how many are done. An error of ``work`` ends the run; what was finished stays. Raises BadRequest where the
    cluster cannot be used, StorageTrouble where workers keep dying.
    """
    names = _names(work, items, common if common_key is None else common_key)
    last = {name: place for place, name in enumerate(names)}
    kept = _kept(last, finished, holds)
    missing = {
        name: Piece(work, item, common) for name, item in zip(names, items, strict=True) if name not in kept
    }
    count = len(kept)
    tell(count, len(last))
    with contextlib.closing(_done(missing, workers, cluster, few)) as done:
        ready: dict[str, Plain] = {}
        for place, name in enumerate(names):
            while name not in kept and name not in ready:
                fresh, result = next(done)
                ready[fresh] = result
                if finished is not None:
                    _keep(_file(finished, fresh), result)
                count += 1
                tell(count, len(last))
            yield ready[name] if name in ready else _again(name, finished)
            if last[name] == place:
                ready.pop(name, None)


def _names(work: Work, items: Sequence[Plain], common: Plain | str | None) -> list[str]:
    """One name for each piece of work by one version: what is kept under it holds."""
    shared = hashlib.sha256(_plainly([__version__, work.__module__, work.__qualname__, common]))
    names = []
    for item in items:
        digest = shared.copy()
        digest.update(_plainly(item))
        names.append(digest.hexdigest())
    return names


def _plainly(said: object) -> bytes:
    def of_bytes(value: object) -> str:
        if isinstance(value, bytes):
            return hashlib.sha256(value).hexdigest()
        raise TypeError(f"{type(value).__name__} is no plain data")

    return json.dumps(said, sort_keys=True, default=of_bytes).encode("utf-8")


def _done(missing: dict[str, Piece], workers: int | None, cluster: str | None, few: int) -> Done:
    if cluster is not None:
        return on_cluster(missing, cluster)
    return in_threads(missing, workers) if len(missing) <= few else in_processes(missing, workers)


def _file(finished: Path, name: str) -> Path:
    return finished / f"{name}.json"


def _keep(file: Path, result: Plain) -> None:
    """Whole or not at all, but without waiting for the disk: what a power cut takes is only done again, and so is what
    a full disk or a folder that can only be read does not take."""
    temporary = file.with_name(f"{TEMPORARY_PREFIX}{file.name}")
    try:
        temporary.write_text(json.dumps(result), encoding="utf-8")
        temporary.replace(file)
    except OSError:
        with contextlib.suppress(OSError):
            temporary.unlink(missing_ok=True)


def _kept(names: dict[str, int], finished: Path | None, holds: Callable[[Plain], bool]) -> frozenset[str]:
    if finished is None:
        return frozenset()
    try:
        finished.mkdir(parents=True, exist_ok=True)
        _sweep(finished)
        return frozenset(name for name in names if _is_kept(_file(finished, name), holds))
    except OSError:
        return frozenset()


def _is_kept(file: Path, holds: Callable[[Plain], bool]) -> bool:
    try:
        return file.is_file() and holds(json.loads(file.read_bytes()))
    except ValueError:  # damaged: done again
        return False


def _again(name: str, finished: Path | None) -> Plain:
    assert finished is not None
    try:
        found: Plain = json.loads(_file(finished, name).read_bytes())
    except (OSError, ValueError) as error:
        raise StorageTrouble("file.emptied-in-use", folder=str(finished)) from error
    return found


def _sweep(finished: Path) -> None:
    """What was finished long ago is nobody's any more."""
    oldest = time.time() - KEPT_DAYS * 86_400
    for file in finished.glob("*.json"):
        with contextlib.suppress(FileNotFoundError):
            if file.stat().st_mtime < oldest:
                file.unlink()
