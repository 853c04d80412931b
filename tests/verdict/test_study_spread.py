"""The study of causes is the same wherever its blocks are judged."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest
from training import block, table
from training.stocks import held_out

from tests.cluster import running_cluster

PRINTS, SEED = 6, 5


def untimed(judged: list[table.Judged]) -> list[table.Judged]:
    # To nine digits: how many threads the matrices were multiplied on shows beyond.
    return [replace(one, seconds=0.0, probability=round(one.probability, 9)) for one in judged]


@pytest.fixture(autouse=True)
def _small_blocks(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(block, "BLOCK", 3)


def plainly() -> list[table.Judged]:
    return [one for at in (0, 3) for one in table.run(held_out(), 3, SEED + at)]


@pytest.mark.slow
def test_blocks_give_what_the_study_gives_and_are_kept(tmp_path: Path) -> None:
    told: list[int] = []
    first = block.study(PRINTS, SEED, workers=1, finished=tmp_path)
    assert untimed(first) == untimed(plainly())
    again = block.study(PRINTS, SEED, workers=1, finished=tmp_path, tell=lambda done, of: told.append(done))
    assert again == first, "to the very seconds: nothing was judged again"
    assert told == [2]


@pytest.fixture(scope="module")
def cluster() -> Iterator[str]:
    with running_cluster() as address:
        yield address


@pytest.mark.slow
def test_a_cluster_judges_the_same(cluster: str) -> None:
    assert untimed(block.study(PRINTS, SEED, cluster=cluster)) == untimed(plainly())
