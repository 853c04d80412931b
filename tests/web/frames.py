"""Frames of a page that draws without a graphics card: a browser that does so, and what a frame costs it."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Page, sync_playwright

from tests import services


@contextmanager
def software_page(address: str) -> Iterator[Page]:
    """The page at an address in a window of 1280 × 800, drawn by software alone."""
    with sync_playwright() as player:
        browser = player.chromium.launch(
            executable_path=services.browser(),
            args=["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"],
        )
        page = browser.new_page(viewport={"width": 1280, "height": 800})
        page.goto(address)
        yield page
        browser.close()


def frames(page: Page, script: str, seconds: float, what: str) -> dict[str, Any]:
    """What ``script`` tells of the frames that it draws, with the processor's time for each, and the load."""
    before = processor_ms()
    told: dict[str, Any] = page.evaluate(script, [seconds, what])
    after = processor_ms()
    told["ms"] = None if before is None or after is None else (after - before) / told["frames"]
    told["load"] = os.getloadavg()[0]
    return told


def processor_ms() -> float | None:
    """Processor time of this process's descendants so far, where Linux tells it."""
    try:
        return sum(_ticks(pid) for pid in _descendants(os.getpid())) * 1000 / os.sysconf("SC_CLK_TCK")
    except OSError:
        return None


def _descendants(pid: int) -> Iterator[int]:
    for task in Path(f"/proc/{pid}/task").iterdir():
        for child in (task / "children").read_text().split():
            yield int(child)
            yield from _descendants(int(child))


def _ticks(pid: int) -> int:
    fields = Path(f"/proc/{pid}/stat").read_text().rpartition(")")[2].split()
    return int(fields[11]) + int(fields[12])
