"""Work spread over processes and over a cluster: the same result, nothing twice, nothing lost with a worker."""

from __future__ import annotations

import os
import signal
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from tackside.errors import BadRequest, StorageTrouble
from tackside.tasks.parallel import KEPT_DAYS, spread
from tackside.tasks.workers import Plain, Work
from tests.bench import spread_work
from tests.cluster import ROOT, running_cluster


def results(work: Work, asked: list[Plain], **how: Any) -> list[Plain]:
    return list(spread(work, asked, **how))


def items(marks: Path, count: int = 5) -> list[dict[str, Any]]:
    return [{"n": number, "marks": str(marks)} for number in range(count)]


SQUARES = [{"n": number**2} for number in range(5)]


def test_results_come_in_order_and_progress_is_told(tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    found = results(
        spread_work.square, items(tmp_path), workers=2, tell=lambda done, of: told.append((done, of))
    )
    assert found == SQUARES
    assert told == [(done, 5) for done in range(6)]
    assert results(spread_work.square, [], workers=2) == []


def test_a_run_that_was_stopped_goes_on_and_does_nothing_twice(tmp_path: Path) -> None:
    kept, marks = tmp_path / "kept", tmp_path / "marks"
    marks.mkdir()

    class Stop(Exception):
        pass

    def stop(done: int, _: int) -> None:
        if done == 2:
            raise Stop

    with pytest.raises(Stop):
        results(spread_work.square, items(marks), workers=1, finished=kept, tell=stop)
    assert len(list(kept.glob("*.json"))) == 2
    first = min(kept.glob("*.json"))
    assert results(spread_work.square, items(marks), workers=1, finished=kept) == SQUARES
    assert (marks / "0").read_text() == "x"
    first.write_bytes(b'{"n": ')  # damaged: done again
    assert results(spread_work.square, items(marks), workers=1, finished=kept) == SQUARES


def test_what_is_kept_is_taken_only_while_it_holds(tmp_path: Path) -> None:
    kept, marks = tmp_path / "kept", tmp_path / "marks"
    marks.mkdir()
    asked = items(marks)
    results(spread_work.square, asked, few=5, finished=kept)
    found = results(spread_work.square, asked, few=5, finished=kept, holds=lambda result: result["n"] != 9)
    assert found == SQUARES
    assert [(marks / str(n)).read_text() for n in range(5)] == ["x", "x", "x", "xx", "x"]


def test_what_was_finished_long_ago_is_swept(tmp_path: Path) -> None:
    results(spread_work.square, [{"n": 2}, {"n": 3}], few=2, finished=tmp_path)
    old, new = sorted(tmp_path.glob("*.json"))
    long_ago = time.time() - (KEPT_DAYS + 1) * 86_400
    os.utime(old, (long_ago, long_ago))
    results(spread_work.square, [{"n": 4}], few=1, finished=tmp_path)
    assert not old.exists()
    assert new.exists()


@pytest.mark.parametrize("few", [0, 9])
def test_what_all_pieces_share_reaches_each(few: int) -> None:
    found = results(
        spread_work.times, [{"n": 2}, {"n": 5}, {"n": 2}], common={"by": b"xyz"}, workers=1, few=few
    )
    assert found == [{"n": 6}, {"n": 15}, {"n": 6}]


def test_another_common_part_is_another_piece_of_work(tmp_path: Path) -> None:
    for by, n in ((b"xyz", 6), (b"xy", 4), (b"xyz", 6)):
        assert results(spread_work.times, [{"n": 2}], common={"by": by}, few=1, finished=tmp_path) == [
            {"n": n}
        ]
    assert len(list(tmp_path.glob("*.json"))) == 2


def test_results_come_as_soon_as_their_turn_does(tmp_path: Path) -> None:
    """Neither before the work of those that come after, nor held back until all is done."""
    coming = spread(spread_work.square, items(tmp_path), workers=1)
    assert next(coming) == {"n": 0}
    assert [each["n"] for each in coming] == [1, 4, 9, 16]


MAIN = """
import sys
from pathlib import Path
from tackside.tasks.parallel import spread
from tests.bench import spread_work

if __name__ == "__main__":
    items = [{"n": n, "marks": sys.argv[1]} for n in range(12)]
    tell = lambda done, of: print(done, flush=True)
    print(list(spread(spread_work.slow_square, items, workers=2, finished=Path(sys.argv[2]), tell=tell)))
"""


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="kill -9 is POSIX's")
def test_a_main_process_that_is_killed_takes_its_workers_along_and_goes_on_next_time(tmp_path: Path) -> None:
    marks, kept, script = tmp_path / "marks", tmp_path / "kept", tmp_path / "main.py"
    marks.mkdir()
    script.write_text(MAIN)
    call = [sys.executable, str(script), str(marks), str(kept)]
    environment = os.environ | {"PYTHONPATH": str(ROOT)}
    with subprocess.Popen(call, stdout=subprocess.PIPE, text=True, env=environment) as killed:
        assert killed.stdout is not None
        while killed.stdout.readline().strip() != "3":
            assert killed.poll() is None
        workers = {int(mark.read_text().split()[0]) for mark in marks.iterdir() if mark.read_text()}
        killed.send_signal(signal.SIGKILL)
    assert until(lambda: not any(map(is_alive, workers))), "a worker stayed behind"
    before = {file.stem for file in kept.glob("[0-9a-f]*.json")}
    assert len(before) >= 3
    done = subprocess.run(call, capture_output=True, text=True, env=environment, check=True)
    assert int(done.stdout.split()[0]) == len(before)
    assert done.stdout.splitlines()[-1] == str([{"n": n**2} for n in range(12)])
    counts = [len((marks / str(n)).read_text().split()) for n in range(12)]
    # Of each of two workers: what it had in hand, and what it had handed over a moment before.
    assert sum(count > 1 for count in counts) <= 4


def until(holds: Callable[[], bool], seconds: float = 20) -> bool:
    end = time.monotonic() + seconds
    while time.monotonic() < end:
        if holds():
            return True
        time.sleep(0.05)
    return False


def is_alive(process: int) -> bool:
    try:
        os.kill(process, 0)
    except ProcessLookupError:
        return False
    state = subprocess.run(["ps", "-o", "stat=", "-p", str(process)], capture_output=True, text=True).stdout
    return bool(state.strip()) and not state.startswith("Z")


def test_what_a_lost_worker_held_is_done_again(tmp_path: Path) -> None:
    assert results(spread_work.die_once, items(tmp_path), workers=2) == SQUARES


def test_work_that_takes_every_worker_down_is_told(tmp_path: Path) -> None:
    with pytest.raises(StorageTrouble, match=r"died 3 times .*what was finished is kept"):
        results(spread_work.die_always, items(tmp_path), workers=1, finished=tmp_path / "kept")
    assert len(list((tmp_path / "kept").glob("*.json"))) >= 1


def test_an_error_of_the_work_comes_through_in_its_own_words(tmp_path: Path) -> None:
    with pytest.raises(BadRequest, match="two is one too many; leave it out"):
        results(spread_work.refuse, items(tmp_path), workers=2)


@pytest.fixture(scope="module")
def cluster() -> Iterator[str]:
    with running_cluster() as address:
        yield address


@pytest.mark.slow
def test_a_cluster_gives_the_same_and_survives_a_lost_worker(cluster: str, tmp_path: Path) -> None:
    here = results(spread_work.square, items(tmp_path), workers=1)
    assert results(spread_work.square, items(tmp_path), cluster=cluster, finished=tmp_path / "kept") == here
    assert len(list((tmp_path / "kept").glob("*.json"))) == 5
    assert results(spread_work.die_once, items(tmp_path), cluster=cluster) == here
    shared = results(spread_work.times, [{"n": 2}, {"n": 5}], common={"by": b"xyz"}, cluster=cluster)
    assert shared == [{"n": 6}, {"n": 15}]
    many = [{"n": number} for number in range(100)]  # of two workers: bundles of three, then two, then one
    told: list[int] = []
    found = results(spread_work.square, many, cluster=cluster, tell=lambda done, of: told.append(done))
    assert found == [{"n": number**2} for number in range(100)]
    assert told == list(range(101))
    with pytest.raises(BadRequest, match="two is one too many"):
        results(spread_work.refuse, items(tmp_path), cluster=cluster)


@pytest.mark.slow
def test_a_cluster_of_another_version_is_refused(
    cluster: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tackside.tasks.workers.__version__", "9.9")
    with pytest.raises(BadRequest, match=r"run Tackside .*; bring all to 9\.9"):
        results(spread_work.square, items(tmp_path), cluster=cluster)


@pytest.mark.slow
def test_a_cluster_that_is_not_there_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tackside.tasks.workers.CONNECT_SECONDS", 1)
    with pytest.raises(BadRequest, match=r"no cluster answers at tcp://127\.0\.0\.1:9"):
        results(spread_work.square, items(tmp_path), cluster="tcp://127.0.0.1:9")
