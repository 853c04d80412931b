"""Marks and tags, found by the libraries that a reader would use."""

from __future__ import annotations

import cv2
import numpy as np
import pytest
import zxingcpp
from numpy.typing import NDArray

from tackside.sheet.plan import plan_sheet
from tests.sheet.sheets import STOCKS, TRIAL, image, plan, printer, stock


def seen_at(pixels: NDArray[np.uint8], ppi: float, wanted: float) -> NDArray[np.uint8]:
    """Grey, at another resolution, each pixel the mean of what it covers: a scanner at its plainest."""
    grey = cv2.cvtColor(pixels, cv2.COLOR_RGB2GRAY)
    return np.asarray(cv2.resize(grey, None, fx=wanted / ppi, fy=wanted / ppi, interpolation=cv2.INTER_AREA))


def washed_out(grey: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Black at 42 % of full scale, a weak print on card without coating."""
    return (grey * 0.5 + 108).astype(np.uint8)


def found(grey: NDArray[np.uint8]) -> dict[int, NDArray[np.float32]]:
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    corners, ids, _ = cv2.aruco.ArucoDetector(dictionary).detectMarkers(grey)
    if ids is None:
        return {}
    return {int(number): corner.reshape(4, 2) for number, corner in zip(ids.ravel(), corners, strict=True)}


@pytest.mark.parametrize("name", STOCKS)
def test_each_panel_has_four_marks_at_least_and_no_id_twice(name: str) -> None:
    sheet = plan(name)
    ids = [mark.id for mark in sheet.marks]
    assert len(set(ids)) == len(ids)
    assert set(ids) <= set(range(50))
    for panel in sheet.panels:
        assert sum(mark.panel == panel.name for mark in sheet.marks) >= 4


@pytest.mark.parametrize("name", STOCKS)
def test_marks_are_five_mm_at_least_and_whole_dots(name: str) -> None:
    for mark in plan(name).marks:
        assert mark.box_mm.w >= 5
        dots = mark.box_mm.w * 600 / 25.4 / 6
        assert dots == pytest.approx(round(dots), abs=1e-9)


@pytest.mark.parametrize("name", ["small", "a5-folded", "10x7", "small-folded"])
@pytest.mark.parametrize("faded", [False, True])
def test_every_mark_is_found_at_150_ppi_where_the_plan_says(name: str, faded: bool) -> None:
    sheet = plan(name, ppi=300)
    grey = seen_at(image(name, ppi=300), 300, 150)
    marks = found(washed_out(grey) if faded else grey)
    assert set(marks) == {mark.id for mark in sheet.marks}
    for mark in sheet.marks:
        centre = (marks[mark.id].mean(axis=0) + 0.5) * 25.4 / 150
        assert centre == pytest.approx(np.array(mark.box_mm.centre), abs=0.1)


@pytest.mark.parametrize("name", ["small", "a5-folded", "10x7"])
@pytest.mark.parametrize("ppi", [150, 300])
def test_tags_read_at_150_and_300_ppi(name: str, ppi: float) -> None:
    sheet = plan(name, ppi=300)
    grey = seen_at(image(name, ppi=300), 300, ppi)
    for tag in sheet.tags:
        window = tag.box_mm.shrunk(-4)
        left, top, right, bottom = (
            max(round(edge * ppi / 25.4), 0) for edge in (window.x, window.y, window.right, window.bottom)
        )
        read = zxingcpp.read_barcodes(np.ascontiguousarray(grey[top:bottom, left:right]))
        assert [code.text for code in read] == [f"TACKSIDE/1/{TRIAL}"]
        assert read[0].ec_level == "Q"


def test_tags_read_from_the_whole_sheet() -> None:
    grey = seen_at(image("a5-folded", ppi=300), 300, 200)
    texts = [code.text for code in zxingcpp.read_barcodes(grey)]
    assert texts == [f"TACKSIDE/1/{TRIAL}"] * 2


def test_modules_of_a_tag_are_half_a_mm_at_least() -> None:
    for name in STOCKS:
        for tag in plan(name).tags:
            assert tag.box_mm.w / 25 >= 0.5  # 25 modules: version 2 holds the text at level Q (ISO/IEC 18004)


def test_many_panels_share_the_fifty_ids() -> None:
    folded = stock(330, 330, ("vertical", 110), ("vertical", 220), ("horizontal", 110), ("horizontal", 220))
    sheet = plan_sheet(folded, printer(), trial_id=TRIAL)
    assert len(sheet.panels) == 9
    for panel in sheet.panels:
        assert sum(mark.panel == panel.name for mark in sheet.marks) >= 4
    assert len({mark.id for mark in sheet.marks}) == len(sheet.marks) <= 50
