"""What can be made again is kept within bounds: the longest unused goes first, whole, and never while it is in use."""

from __future__ import annotations

import multiprocessing
import os
import time
from pathlib import Path

import pytest

from tackside.tasks import cache
from tackside.tasks.cache import Pruned, entries_of, note_use, prune, prune_now_and_then

HOUR = 3600.0
DAY = 24 * HOUR


def entry(folder: Path, room: str, name: str, size: int, unused: float) -> Path:
    """A folder of two files, ``size`` bytes in all, last used ``unused`` seconds ago."""
    made = folder / room / name
    (made / "tiles").mkdir(parents=True)
    (made / "about.json").write_bytes(b"x" * (size // 2))
    (made / "tiles" / "0.jpg").write_bytes(b"x" * (size - size // 2))
    set_used(made, unused)
    return made


def set_used(path: Path, unused: float) -> None:
    then = time.time() - unused
    os.utime(path, (then, then))


def names(folder: Path) -> set[str]:
    return {each.path.name for each in entries_of(folder)}


def test_the_longest_unused_goes_first_until_the_rest_is_small_enough(tmp_path: Path) -> None:
    for name, days in (("old", 9), ("older", 20), ("new", 1), ("newest", 0.5)):
        entry(tmp_path, "scans", name, 1000, days * DAY)
    found = prune(tmp_path, most_bytes=2500)
    assert names(tmp_path) == {"new", "newest"}
    assert found == Pruned(removed=2, removed_bytes=2000, kept=2, kept_bytes=2000)
    assert prune(tmp_path, most_bytes=2500).removed == 0


def test_what_was_unused_for_long_goes_whatever_its_size(tmp_path: Path) -> None:
    entry(tmp_path, "gamuts", "last year's", 10, 400 * DAY)
    entry(tmp_path, "gamuts", "last week's", 10, 7 * DAY)
    loose = tmp_path / "table.npy"
    loose.write_bytes(b"x" * 10)
    set_used(loose, 91 * DAY)
    prune(tmp_path)
    assert names(tmp_path) == {"last week's"}


def test_what_is_in_use_stays_whatever_the_bounds(tmp_path: Path) -> None:
    used = entry(tmp_path, "proofs", "looked at", 5000, 30 * DAY)
    entry(tmp_path, "proofs", "forgotten", 5000, 30 * DAY)
    note_use(used)
    found = prune(tmp_path, most_bytes=0, longest_unused=0)
    assert names(tmp_path) == {"looked at"}
    assert found.kept_bytes == 5000


def test_an_entry_that_is_used_while_it_is_weighed_up_stays(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    made = entry(tmp_path, "scans", "just opened", 100, 30 * DAY)
    weighed = list(entries_of(tmp_path))
    note_use(made)
    monkeypatch.setattr(cache, "entries_of", lambda folder: iter(weighed))
    assert prune(tmp_path, most_bytes=0).removed == 0
    assert made.is_dir()


def test_what_is_being_made_or_worked_in_is_left_alone(tmp_path: Path) -> None:
    for room, name in (("scans", ".half.part"), ("work-12ab", "job"), ("rejudge", "done.json")):
        set_used(entry(tmp_path, room, name, 100, 0), 0.5 * HOUR)
    assert prune(tmp_path, most_bytes=0, longest_unused=0).removed == 0
    assert (tmp_path / "scans" / ".half.part").is_dir()


def test_what_a_killed_process_left_is_swept(tmp_path: Path) -> None:
    for name in (".half.part", ".gone-12ab"):
        entry(tmp_path, "scans", name, 100, 2 * HOUR)
    prune(tmp_path)
    assert list((tmp_path / "scans").iterdir()) == []


def test_a_use_is_noted_now_and_then_only(tmp_path: Path) -> None:
    made = entry(tmp_path, "scans", "one", 10, 60)
    before = made.stat().st_mtime
    note_use(made)
    assert made.stat().st_mtime == before
    set_used(made, HOUR)
    note_use(made)
    assert time.time() - made.stat().st_mtime < 60
    note_use(tmp_path / "gone")


def test_a_whole_cache_is_looked_at_once_an_hour_by_whoever_comes_first(tmp_path: Path) -> None:
    entry(tmp_path, "scans", "old", 10, 400 * DAY)
    assert prune_now_and_then(tmp_path / "no cache") is None
    first = prune_now_and_then(tmp_path)
    assert first is not None
    assert first.removed == 1
    entry(tmp_path, "scans", "old", 10, 400 * DAY)
    assert prune_now_and_then(tmp_path) is None
    set_used(tmp_path / ".pruned", 2 * HOUR)
    assert prune_now_and_then(tmp_path) is not None
    assert names(tmp_path) == set()


def _prune(folder: str, gate: object) -> None:
    gate.wait()  # type: ignore[attr-defined]
    prune(Path(folder), most_bytes=40_000)


def test_two_processes_that_prune_at_once_remove_no_more_than_one_would(tmp_path: Path) -> None:
    for number in range(400):
        entry(tmp_path, "scans", f"{number:03}", 200, (400 - number) * HOUR + 2 * HOUR)
    context = multiprocessing.get_context("spawn")
    gate = context.Barrier(2)
    workers = [context.Process(target=_prune, args=(str(tmp_path), gate)) for _ in range(2)]
    for each in workers:
        each.start()
    for each in workers:
        each.join()
        assert each.exitcode == 0
    assert names(tmp_path) == {f"{number:03}" for number in range(200, 400)}
    assert all((tmp_path / "scans" / name / "tiles" / "0.jpg").is_file() for name in names(tmp_path))
    assert not [each for each in (tmp_path / "scans").iterdir() if each.name.startswith(".")]
