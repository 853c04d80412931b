"""Benches and clients for the tests of the workbench."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tackside.bench.store import Bench
from tackside.web.phone import door as doors
from tests import services
from tests.web.clock import Clock
from tests.web.workshop import TestClient, client_of, furnish


@pytest.fixture(autouse=True)
def _ports_of_our_own(monkeypatch: pytest.MonkeyPatch) -> None:
    """For the address that a phone opens: what listens on a port, or no more, is this test's own doing, and not that of
    a test beside it."""
    worker = int(os.environ.get("PYTEST_XDIST_WORKER", "gw0").removeprefix("gw"))
    monkeypatch.setattr(doors, "FIRST_PORT", doors.FIRST_PORT + doors.TRIED * (worker + 1))


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return furnish(tmp_path / "bench")


@pytest.fixture
def client(bench: Bench) -> TestClient:
    return client_of(bench)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture(scope="module")
def chromium() -> Iterator[Any]:
    """A browser for the module's tests."""
    path = services.browser()
    if path is None:
        pytest.skip("no Chromium on this machine")
    from playwright.sync_api import sync_playwright

    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-gpu"])
        yield browser
        browser.close()
