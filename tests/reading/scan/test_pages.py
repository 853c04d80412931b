"""A sheet for a profile in several pages: its scans, one a page or both on one bed, and instrument files of it."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from tackside.colour.difference import delta_e_2000
from tackside.errors import BadScan
from tackside.press.printer.printing import Print, print_sheet
from tackside.press.printer.stock_model import StockModel, craft_card, semi_gloss
from tackside.press.scanner.scan_file import write_scan
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.scanner.scanning import scan
from tackside.reading.files import read_files
from tackside.reading.instrument.file import read_instrument_file
from tackside.reading.quality.evenness import repeatability
from tackside.records import Reading, SheetPlan
from tackside.sheet.chart.lay_out import ChartAsked
from tackside.sheet.plan import plan_sheet
from tackside.sheet.render import render
from tests.extent import share
from tests.reading.instrument.dialects import Dialect, write_cgats
from tests.reading.scan.prints import A_LITTLE_OFF, PRINTER, TRIAL
from tests.reading.scan.scans import errors, lay_pixels, save, side_by_side
from tests.sheet.sheets import stock


@cache
def planned(
    size_mm: tuple[float, float] = (127.0, 178.0), count: int = 200, least_mm: float = 8.0
) -> SheetPlan:
    return plan_sheet(
        stock(*size_mm), PRINTER, trial_id=TRIAL, purpose="device", ppi=300, chart=ChartAsked(count, least_mm)
    )


@cache
def page(number: int, turn: float = 0.0) -> NDArray[np.uint8]:
    """The page on a bed, as a scan of 300 ppi."""
    plan = planned().on_page(number)
    return lay_pixels(render(plan), plan, 300, turn).pixels


def read(tmp_path: Path, *scans: NDArray[np.uint8]) -> Reading:
    files = [save(pixels, tmp_path / f"scan-{number}.png") for number, pixels in enumerate(scans)]
    return read_files(files, planned())


def test_scans_of_two_pages_make_one_reading_in_any_order(tmp_path: Path) -> None:
    plan = planned()
    assert plan.pages == 2
    reading = read(tmp_path, page(2, 180), page(1, 1.5))
    assert [patch.name for patch in reading.patches] == [patch.name for patch in plan.patches]
    assert errors(reading, plan).max() < 0.5  # the sheet's own numbers as sRGB, resampled once
    assert reading.attributes["repeatability"].value < 0.2
    assert "reading.page-not-shown" not in {notice.code for notice in reading.notices}
    assert len(reading.further_sources) == 1


def test_two_pages_on_one_bed_are_both_read(tmp_path: Path) -> None:
    reading = read(tmp_path, side_by_side(page(1), page(2)))
    assert len(reading.patches) == 200
    assert errors(reading, planned()).max() < 0.5
    assert reading.further_sources == ()


def test_a_page_that_is_missing_is_said(tmp_path: Path) -> None:
    reading = read(tmp_path, page(2))
    assert {patch.name for patch in reading.patches} == {patch.name for patch in planned().on_page(2).patches}
    said = next(notice for notice in reading.notices if notice.code == "reading.page-not-shown")
    assert said.values == {"page": 1, "pages": 2, "count": 100}


def test_pages_of_two_cards_are_not_joined(tmp_path: Path) -> None:
    """Both pages hold the same few colours: these must agree."""
    dark = (page(2) * 0.7).astype(np.uint8)
    with pytest.raises(BadScan, match="mixed prints"):
        read(tmp_path, page(1), dark)


@pytest.mark.parametrize("named", [True, False])
def test_an_instrument_reads_row_by_row(tmp_path: Path, named: bool) -> None:
    """By the rows' names, or by RGB: then rows of a repeated colour go to its patches in the order of the sheet."""
    plan = planned()
    rgb = np.array([patch.rgb for patch in plan.patches])
    lab = np.column_stack(
        [20 + 70 * rgb.mean(axis=1), 50 * (rgb[:, 0] - rgb[:, 1]), 50 * (rgb[:, 1] - rgb[:, 2])]
    )
    lab[:, 0] += np.linspace(0, 0.5, len(lab))  # the print darkens along the sheet
    names = [patch.name if named else str(number) for number, patch in enumerate(plan.patches, 1)]
    file = tmp_path / "chart.txt"
    file.write_bytes(write_cgats(Dialect(), rgb, lab, names))
    reading = read_instrument_file(file, plan)
    assert [patch.name for patch in reading.patches] == [patch.name for patch in plan.patches]
    np.testing.assert_allclose([patch.lab for patch in reading.patches], lab, atol=1e-3)
    found = read_files([file], plan).attributes["repeatability"]
    assert 0.05 < found.value < 0.5


def pressed(plan: SheetPlan, card: StockModel, ppi: float) -> list[Print]:
    return [
        print_sheet(render(one), plan.ppi, card, A_LITTLE_OFF, sheet_size_mm=plan.size_mm, at_ppi=ppi)
        for one in plan.by_page
    ]


CARDS = {"semi-gloss": semi_gloss, "craft": craft_card}
# Both cards and both resolutions; how they are paired goes by turns.
BY_TURNS = [(name, ppi) for number, name in enumerate(CARDS) for ppi in share((300, 600), 2, number)]


@pytest.mark.slow
@pytest.mark.parametrize(("name", "ppi"), BY_TURNS)
def test_printed_and_scanned_all_patches_come_back(tmp_path: Path, name: str, ppi: int) -> None:
    """500 patches on two cards of 148 × 210 mm, through the virtual press and scanner."""
    plan = planned((148.0, 210.0), 500, 6.0)
    prints = pressed(plan, CARDS[name](), ppi)
    files = []
    for number, one in enumerate(prints):
        file = tmp_path / f"scan-{number}.tif"
        write_scan(scan(one, replace(ScannerModel(), ppi=ppi, seed=number, compression="none")), file)
        files.append(file)
    reading = read_files(files, plan)
    assert [patch.name for patch in reading.patches] == [patch.name for patch in plan.patches]
    off = delta_e_2000(
        np.array([patch.lab for patch in reading.patches]),
        prints[0].lab_of(np.array([patch.rgb for patch in reading.patches])),
    )
    assert np.median(off) < 0.3
    found = repeatability(reading.patches)
    assert found is not None
    # What repeats say of the noise is what all patches show beside the truth.
    assert reading.attributes["repeatability"].value == found.de00
    assert 0.3 * np.sqrt(np.mean(off**2)) < found.de00 < 2 * np.sqrt(np.mean(off**2))
