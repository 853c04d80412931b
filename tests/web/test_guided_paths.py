"""The guided path in a real browser with real files: from a card nobody knows to its verdict and its report."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import html5lib
import pikepdf
import pytest
import pyvips

from tackside.bench.store import Bench
from tackside.web.app import create_app
from tackside.web.workbench import Options
from tests.web.workshop import laid_on_glass, serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
PATIENCE = 60_000  # ms: the machine that tests may be busy


def test_from_a_new_card_to_its_verdict_and_its_report(chromium: Any, tmp_path: Path) -> None:
    app = create_app(tmp_path / "bench", Options())
    with serving(app) as address:
        context = chromium.new_context(
            locale="en-GB", accept_downloads=True, viewport={"width": 1280, "height": 900}
        )
        page = context.new_page()
        page.set_default_timeout(PATIENCE)
        page.goto(address)
        page.click("text=Test a card")
        page.click("text=A card that is new here")
        _describe_the_card(page)
        page.click("text=A printer that is new here")
        _describe_the_printer(page)
        assert page.locator("svg.fit-drawing").is_visible()
        page.click("text=Make the test sheet")
        page.wait_for_selector("text=Download the TIFF")
        assert "Guides touching the card, not squeezing it" in page.content()
        sheet, pdf = (
            _downloaded(page, words, tmp_path) for words in ("Download the TIFF", "Download the PDF")
        )
        bench = Bench.open(tmp_path / "bench")
        (trial,) = bench.trials.list()
        image = pyvips.Image.new_from_file(str(sheet))
        assert (image.width, image.height) == trial.sheet.size_px
        with pikepdf.open(pdf) as opened:
            assert float(opened.pages[0].mediabox[2]) == pytest.approx(148 / 25.4 * 72, abs=0.01)
        scan = laid_on_glass(sheet, trial.sheet, tmp_path / "my scan.tif")
        page.goto(address)  # the bench keeps the place
        page.click("text=Print and read it")
        page.click("text=It is printed: read it back")
        page.fill("#device", "Flatbed at 300 ppi")
        page.set_input_files("#files", scan)
        page.click("text=Read and judge")
        page.wait_for_url(re.compile(rf"/trials/{trial.id}$"))
        _look_at_the_evidence(page)
        page.click("text=Publish")
        page.fill("#title", "One card on trial")
        page.click("text=Show it so")
        report = _downloaded(page, "Download", tmp_path)
        html5lib.HTMLParser(strict=False).parse(report.read_text(encoding="utf-8"))
        assert "One card on trial" in report.read_text(encoding="utf-8")
        assert page.frame_locator("iframe").locator("h1").inner_text() == "One card on trial"
        context.close()


def _describe_the_card(page: Any) -> None:
    page.fill("#name", "Gannet Smooth 280")
    page.fill("#width", "wide")
    page.fill("#height", "105")
    page.click("text=Save, and choose the printer")
    assert "not a number" in page.locator("#width-fault").inner_text()
    page.fill("#width", "148")
    page.select_option("#folds", "flat")  # else it is asked whether this is the folded size
    page.select_option("#coated", "front")
    page.select_option("#coated_found_by", "damp-fingertip")
    page.click("text=Save, and choose the printer")


def _describe_the_printer(page: Any) -> None:
    page.fill("#name", "Tern 8")
    page.select_option("#grid_ppi", "300")
    for field, value in {
        "min_w": "80",
        "min_h": "80",
        "max_w": "329",
        "max_h": "1000",
        "caliper": "0.6",
    }.items():
        page.fill(f"#feed0_{field}", value)
    for edge in ("top", "bottom", "left", "right"):
        page.fill(f"#feed0_{edge}", "3")
    page.click("text=Save, and see the fit")


def _look_at_the_evidence(page: Any) -> None:
    """A reason points into the scan, and the scan is seen to the pixel."""
    pane = page.locator("svg.scan")
    whole = pane.get_attribute("viewBox")
    assert page.locator("polygon.seen").count() >= 4
    page.click("a[data-show=black]")
    page.wait_for_selector("polygon.shown")
    assert pane.get_attribute("viewBox") != whole
    page.click("button[data-do=pixel]")
    page.wait_for_selector(".tiles image")
    page.click("button[data-do=all]")
    assert pane.get_attribute("viewBox") == whole
    pane.focus()
    page.keyboard.press("+")
    assert pane.get_attribute("viewBox") != whole


def _downloaded(page: Any, words: str, folder: Path) -> Path:
    with page.expect_download() as waiting:
        page.click(f"a:has-text('{words}')")
    file = folder / waiting.value.suggested_filename
    waiting.value.save_as(file)
    return file
