"""Work spread over processes and over a cluster: the same result, nothing twice, nothing lost with a worker."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tackside.bench.spread import spread
from tackside.errors import BadRequest, StorageTrouble
from tests.bench import spread_work

ROOT = Path(__file__).parents[2]
CLUSTER = """
import sys
from distributed import LocalCluster

if __name__ == "__main__":
    with LocalCluster(n_workers=2, threads_per_worker=1, processes=True, dashboard_address=None) as cluster:
        print(cluster.scheduler_address, flush=True)
        sys.stdin.readline()
"""


def items(marks: Path, count: int = 5) -> list[dict[str, Any]]:
    return [{"n": number, "marks": str(marks)} for number in range(count)]


SQUARES = [{"n": number**2} for number in range(5)]


def test_results_come_in_order_and_progress_is_told(tmp_path: Path) -> None:
    told: list[tuple[int, int]] = []
    found = spread(
        spread_work.square, items(tmp_path), workers=2, tell=lambda done, of: told.append((done, of))
    )
    assert found == SQUARES
    assert told == [(done, 5) for done in range(6)]
    assert spread(spread_work.square, [], workers=2) == []


def test_a_run_that_was_stopped_goes_on_and_does_nothing_twice(tmp_path: Path) -> None:
    kept, marks = tmp_path / "kept", tmp_path / "marks"
    marks.mkdir()

    class Stop(Exception):
        pass

    def stop(done: int, _: int) -> None:
        if done == 2:
            raise Stop

    with pytest.raises(Stop):
        spread(spread_work.square, items(marks), workers=1, finished=kept, tell=stop)
    assert len(list(kept.glob("*.json"))) == 2
    first = min(kept.glob("*.json"))
    assert spread(spread_work.square, items(marks), workers=1, finished=kept) == SQUARES
    assert (marks / "0").read_text() == "x"
    first.write_bytes(b'{"n": ')  # damaged: done again
    assert spread(spread_work.square, items(marks), workers=1, finished=kept) == SQUARES


def test_what_a_lost_worker_held_is_done_again(tmp_path: Path) -> None:
    assert spread(spread_work.die_once, items(tmp_path), workers=2) == SQUARES


def test_work_that_takes_every_worker_down_is_told(tmp_path: Path) -> None:
    with pytest.raises(StorageTrouble, match=r"died 3 times .*what was finished is kept"):
        spread(spread_work.die_always, items(tmp_path), workers=1, finished=tmp_path / "kept")
    assert len(list((tmp_path / "kept").glob("*.json"))) >= 1


def test_an_error_of_the_work_comes_through_in_its_own_words(tmp_path: Path) -> None:
    with pytest.raises(BadRequest, match="two is one too many; leave it out"):
        spread(spread_work.refuse, items(tmp_path), workers=2)


@pytest.fixture(scope="module")
def cluster() -> Iterator[str]:
    """The address of a real scheduler with two workers, in processes of their own."""
    call = [sys.executable, "-c", CLUSTER]
    with subprocess.Popen(
        call, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as process:
        assert process.stdin is not None
        assert process.stdout is not None
        yield process.stdout.readline().strip()
        process.stdin.write("\n")
        process.stdin.flush()
        process.wait(timeout=60)


@pytest.mark.slow
def test_a_cluster_gives_the_same_and_survives_a_lost_worker(cluster: str, tmp_path: Path) -> None:
    here = spread(spread_work.square, items(tmp_path), workers=1)
    assert spread(spread_work.square, items(tmp_path), cluster=cluster, finished=tmp_path / "kept") == here
    assert len(list((tmp_path / "kept").glob("*.json"))) == 5
    assert spread(spread_work.die_once, items(tmp_path), cluster=cluster) == here
    with pytest.raises(BadRequest, match="two is one too many"):
        spread(spread_work.refuse, items(tmp_path), cluster=cluster)


@pytest.mark.slow
def test_a_cluster_of_another_version_is_refused(
    cluster: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("tackside.bench.spread.__version__", "9.9")
    with pytest.raises(BadRequest, match=r"run Tackside .*; bring all to 9\.9"):
        spread(spread_work.square, items(tmp_path), cluster=cluster)


@pytest.mark.slow
def test_a_cluster_that_is_not_there_is_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tackside.bench.spread.CONNECT_SECONDS", 1)
    with pytest.raises(BadRequest, match=r"no cluster answers at tcp://127\.0\.0\.1:9"):
        spread(spread_work.square, items(tmp_path), cluster="tcp://127.0.0.1:9")
