"""The report as a person opens it: nothing spills over, nothing is fetched, and it prints."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pikepdf
import pytest

from tackside.report.pages.page import render_report
from tests import services
from tests.report.invented import four

pytestmark = [
    pytest.mark.browser,
    pytest.mark.skipif(services.browser() is None, reason="no Chromium on this machine"),
]

# Written into the page's own markup, since the report itself has no script.
MEASURE = (
    "<script>document.documentElement.dataset.spill = "
    "document.documentElement.scrollWidth - document.documentElement.clientWidth;</script></body>"
)


def chromium(folder: Path, *arguments: str) -> str:
    command = [
        services.browser() or "chromium",
        *("--headless", "--no-sandbox", "--disable-gpu", "--no-first-run", "--disable-background-networking"),
        *("--disable-component-update", "--disable-sync", f"--user-data-dir={folder / 'profile'}"),
        *arguments,
    ]
    done = subprocess.run(command, capture_output=True, text=True, timeout=120, check=False)
    return done.stdout


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    file = tmp_path_factory.mktemp("report") / "report.html"
    file.write_text(render_report(four()), encoding="utf-8")
    return file


@pytest.mark.parametrize("width", [500, 768, 1280, 2560])
def test_nothing_spills_sideways_and_nothing_is_fetched(page: Path, width: int) -> None:
    measured = page.with_name(f"measured-{width}.html")
    measured.write_text(page.read_text(encoding="utf-8").replace("</body>", MEASURE), encoding="utf-8")
    dom = chromium(page.parent, f"--window-size={width},900", "--dump-dom", measured.as_uri())
    spill = re.search(r'data-spill="(-?\d+)"', dom)
    assert spill is not None
    assert int(spill[1]) == 0
    assert not re.search(r'(src|href)="(https?:)?//', dom)


def test_it_prints_on_paper(page: Path) -> None:
    pdf = page.with_name("report.pdf")
    chromium(page.parent, f"--print-to-pdf={pdf}", "--no-pdf-header-footer", page.as_uri())
    with pikepdf.open(pdf) as printed:
        assert 1 <= len(printed.pages) <= 30
