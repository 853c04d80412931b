"""A page costs no more on a full bench: what it asks of the records is counted, with few trials and with many."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import event
from sqlalchemy.engine import Engine

from tackside.bench.database.storage import Vault
from tests.extent import share
from tests.web.test_many_clients import benchmark
from tests.web.workshop import client_of

FEW, MANY = 8, 60
# Records that a page may bring to life beyond those that it does with few: a list shows up to a screenful.
A_SCREENFUL = 60


@contextmanager
def counted() -> Iterator[dict[str, int]]:
    """Records brought to life, and statements sent to the database, meanwhile."""
    counts = {"records": 0, "statements": 0}

    def one_more(*_: Any) -> None:
        counts["statements"] += 1

    revive = Vault.revive

    def one_record(self: Vault, kind: Any, body: dict[str, Any]) -> Any:
        counts["records"] += 1
        return revive(self, kind, body)

    event.listen(Engine, "before_cursor_execute", one_more)
    Vault.revive = one_record  # type: ignore[method-assign]
    try:
        yield counts
    finally:
        Vault.revive = revive  # type: ignore[method-assign]
        event.remove(Engine, "before_cursor_execute", one_more)


def counts_of(folder: Path, trials: int) -> dict[str, dict[str, int]]:
    """What each page costs on a bench of so many trials of one stock, at its second look."""
    module = benchmark()
    module.TRIALS, module.STOCKS = trials, 3
    bench, known = module.filled(folder)
    client, found = client_of(bench), {}
    for name, path in share(list(known.items()), 2):
        client.get(path).raise_for_status()
        with counted() as counts:
            client.get(path)
        found[name] = dict(counts)
    return found


@pytest.mark.slow
def test_no_page_asks_more_of_a_bench_with_many_trials(tmp_path: Path) -> None:
    few, many = counts_of(tmp_path / "few", FEW), counts_of(tmp_path / "many", MANY)
    assert len(few) >= 15
    assert sum(each["statements"] > 0 for each in few.values()) >= 10
    assert [
        (name, few[name], many[name])
        for name in few
        if many[name]["statements"] > few[name]["statements"] + 2
        or many[name]["records"] > few[name]["records"] + A_SCREENFUL
    ] == []
