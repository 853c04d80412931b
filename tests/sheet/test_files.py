"""The files: exact sizes, profile or none, same input same bytes, refusals before anything is written."""

from __future__ import annotations

import time
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pytest
import pyvips

from tackside.errors import BadRequest, DoesNotFit, StorageTrouble
from tackside.profile.icc.working_space import working_space_profile
from tackside.sheet.plan import native_ppi, plan_sheet
from tackside.sheet.render import render
from tackside.sheet.write import write_pdf, write_sheet, write_tiff
from tests.refusals import refused
from tests.sheet.sheets import STOCKS, TRIAL, image, plan, printer, stock


@pytest.mark.parametrize("space", ["srgb", "adobe-rgb"])
def test_a_sheet_for_the_path_carries_its_profile(tmp_path: Path, space: Any) -> None:
    file = tmp_path / "sheet.tif"
    write_tiff(plan("small", space=space), image("small", space=space), file)
    read = pyvips.Image.new_from_file(str(file))
    assert read.get("icc-profile-data") == working_space_profile(space)
    assert (read.width, read.height) == plan("small").size_px
    assert read.xres * 25.4 == pytest.approx(600, rel=1e-6)
    assert (read.numpy() == image("small", space=space)).all()


def test_a_sheet_of_device_numbers_has_no_profile(tmp_path: Path) -> None:
    sheet = plan("small", purpose="device")
    assert sheet.space is None
    write_tiff(sheet, image("small", purpose="device"), tmp_path / "sheet.tif")
    write_pdf(sheet, image("small", purpose="device"), tmp_path / "sheet.pdf")
    assert "icc-profile-data" not in pyvips.Image.new_from_file(str(tmp_path / "sheet.tif")).get_fields()
    with pikepdf.open(tmp_path / "sheet.pdf") as pdf:
        assert pdf.pages[0].Resources.XObject.Sheet.ColorSpace == pikepdf.Name.DeviceRGB


@pytest.mark.parametrize("name", ["small", "a6"])
def test_pdf_boxes_are_the_sheet_to_a_hundredth_of_a_mm(tmp_path: Path, name: str) -> None:
    sheet = plan(name, ppi=300)
    write_pdf(sheet, image(name, ppi=300), tmp_path / "sheet.pdf")
    with pikepdf.open(tmp_path / "sheet.pdf") as pdf:
        (page,) = pdf.pages
        for box in (page.MediaBox, page.TrimBox):
            assert [float(edge) for edge in list(box)[:2]] == [0, 0]
            size = [float(edge) * 25.4 / 72 for edge in list(box)[2:]]
            assert size == pytest.approx(STOCKS[name].open_size_mm, abs=0.01)
        picture = page.Resources.XObject.Sheet
        assert bytes(picture.ColorSpace[1].read_bytes()) == working_space_profile("srgb")
        pixels = np.frombuffer(picture.read_bytes(), np.uint8).reshape(sheet.size_px[1], sheet.size_px[0], 3)
        assert (pixels == image(name, ppi=300)).all()
        # The image lies on its own grid: 300 dots to the inch, from the top left corner.
        numbers = page.Contents.read_bytes().split()
        width_pt, height_pt, low_pt = float(numbers[1]), float(numbers[4]), float(numbers[6])
        assert width_pt == pytest.approx(sheet.size_px[0] * 72 / 300, abs=1e-3)
        assert height_pt + low_pt == pytest.approx(float(page.MediaBox[3]), abs=1e-3)


@pytest.mark.parametrize(("name", "suffix"), [("a6", ".tif"), ("small", ".pdf")])
def test_same_input_same_bytes(tmp_path: Path, name: str, suffix: str) -> None:
    files = [tmp_path / f"first{suffix}", tmp_path / f"second{suffix}"]
    for file in files:
        sheet = plan_sheet(STOCKS[name], printer(), trial_id=TRIAL, ppi=300)
        write_sheet(sheet, render(sheet), file)
        time.sleep(1.05)  # a date or an identifier made from the clock would differ by now
    assert files[0].read_bytes() == files[1].read_bytes()


@pytest.mark.parametrize(
    ("width", "height", "ppi"), [(90, 90, 600), (210, 297, 600), (254, 178, 720), (123.4, 321.7, 360)]
)
def test_the_pixel_size_is_exact(width: float, height: float, ppi: float) -> None:
    sheet = plan_sheet(stock(width, height), printer(), trial_id=TRIAL, ppi=ppi)
    assert sheet.size_px == (round(width * ppi / 25.4), round(height * ppi / 25.4))


def test_the_pixels_have_the_size_of_the_plan() -> None:
    assert image("small").shape == (*reversed(plan("small").size_px), 3)


@pytest.mark.parametrize(
    ("grid", "ppi"), [(600, 600), (720, 720), (1200, 600), (1440, 720), (4800, 600 * 4800 / 4200)]
)
def test_the_sheet_is_made_on_a_whole_part_of_the_printers_grid(grid: float, ppi: float) -> None:
    assert native_ppi(grid) == pytest.approx(ppi)
    assert grid / native_ppi(grid) == pytest.approx(round(grid / native_ppi(grid)))


@pytest.mark.parametrize(("width", "height"), [(89, 200), (200, 89.9), (331, 400), (300, 491), (500, 330)])
def test_sizes_beyond_the_range_are_refused(width: float, height: float) -> None:
    with refused(DoesNotFit, "sheet.size"):
        plan_sheet(stock(width, height), printer(), trial_id=TRIAL)


def test_a_card_that_no_feed_takes_is_refused() -> None:
    machine = printer()
    narrow = machine.model_copy(
        update={"feeds": (machine.feeds[0].model_copy(update={"max_size_mm": (100, 150)}),)}
    )
    with refused(DoesNotFit, "fit.refused"):
        plan_sheet(stock(210, 297), narrow, trial_id=TRIAL)


@pytest.mark.parametrize("ppi", [10, 199, 1441, 100_000])
def test_resolutions_beyond_the_range_are_refused(ppi: float) -> None:
    with refused(BadRequest, "sheet.ppi"):
        plan_sheet(stock(210, 297), printer(), trial_id=TRIAL, ppi=ppi)


def test_other_kinds_of_file_are_refused(tmp_path: Path) -> None:
    with refused(BadRequest, "sheet.suffix"):
        write_sheet(plan("small"), image("small"), tmp_path / "sheet.jpg")
    assert not list(tmp_path.iterdir())


def test_a_folder_that_is_not_there_is_told_in_words(tmp_path: Path) -> None:
    with pytest.raises(StorageTrouble):
        write_tiff(plan("small"), image("small"), tmp_path / "nowhere" / "sheet.tif")


def test_a_plan_survives_its_own_json() -> None:
    sheet = plan("a4-folded")
    assert type(sheet).model_validate_json(sheet.model_dump_json()) == sheet
