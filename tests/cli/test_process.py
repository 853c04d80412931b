"""How seldom a process looks through its objects: seldom where it answers one call, as ever where it stays."""

from __future__ import annotations

import gc
import sys
from collections.abc import Iterator

import pytest

from tackside import __main__
from tackside.cli import main, process


@pytest.fixture(autouse=True)
def _put_back() -> Iterator[None]:
    before = gc.get_threshold()
    yield
    gc.unfreeze()
    gc.set_threshold(*before)


def test_one_call_is_looked_through_seldom_and_not_at_its_end(monkeypatch: pytest.MonkeyPatch) -> None:
    seen = []

    def call() -> int:
        seen.append((gc.get_threshold()[0], gc.isenabled(), gc.get_freeze_count()))
        return 3

    monkeypatch.setattr(main, "main", call)
    assert __main__.run() == 3
    assert seen == [(process.OBJECTS, True, 0)]
    assert gc.get_freeze_count() > 1000


def test_a_call_that_ends_in_an_error_ends_so() -> None:
    with pytest.raises(SystemExit):
        process.answered(lambda: sys.exit(2))
    assert gc.get_freeze_count() > 1000


def test_what_stays_collects_as_usual() -> None:
    process.collect_seldom()
    process.collect_as_usual()
    assert gc.get_threshold() == process.USUAL
