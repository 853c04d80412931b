"""Benches and clients for the tests of the workbench."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from tackside.bench.store import Bench
from tests import services
from tests.web.clock import Clock
from tests.web.workshop import TestClient, client_of, furnish


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
