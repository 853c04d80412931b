"""A picture laid at a place of its own: it stands where it is put, and the rest of it is cut off."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import pyvips

from tackside.card.file.design import Card, CardPicture
from tackside.card.layout.zones import Frame
from tackside.card.make import make_card
from tackside.errors import DoesNotFit
from tackside.messages.message import Message
from tackside.records import Margins
from tackside.units import Box
from tests.card.designs import BLUE, GREEN, RED, YELLOW, colour_at, printer, stock, write_corners
from tests.refusals import refused

PPI = 150
WHITE = (255, 255, 255)


def made(folder: Path, placed_mm: tuple[float, float, float], **more: object) -> np.ndarray:
    write_corners(folder)
    asked = CardPicture.model_validate(
        {"panel": "front", "file": "corners.png", "placed_mm": placed_mm, **more}
    )
    card = Card(stock="Harbour Satin 300", printer="Tern 8", pictures=(asked,), folder=folder)
    make_card(card, stock("vertical"), printer(), folder / "card.tif")
    return pyvips.Image.new_from_file(str(folder / "card.tif")).numpy()


def test_a_picture_stands_where_it_is_placed(tmp_path: Path) -> None:
    # The front begins at the crease, 148.5 mm from the left; 600 × 400 pixels in 90 mm are 60 mm high.
    pixels = made(tmp_path, (20, 30, 90))
    x, y = 148.5 + 20, 30
    for dx, dy, colour in ((1, 1, RED), (89, 1, GREEN), (1, 59, BLUE), (89, 59, YELLOW)):
        assert colour_at(pixels, x + dx, y + dy, PPI) == colour
    for dx, dy in ((-1, 30), (91, 30), (45, -1), (45, 61)):
        assert colour_at(pixels, x + dx, y + dy, PPI) == WHITE


def test_what_lies_past_the_panel_is_cut_off_and_the_rest_stays_in_place(tmp_path: Path) -> None:
    pixels = made(tmp_path, (-45, 30, 90))
    assert colour_at(pixels, 148.5 - 1, 40, PPI) == WHITE  # nothing runs over the crease
    assert colour_at(pixels, 148.5 + 1, 31, PPI) == GREEN  # the right half begins at the crease
    assert colour_at(pixels, 148.5 + 44, 89, PPI) == YELLOW


def test_a_border_is_a_window_that_a_placed_picture_shows_through(tmp_path: Path) -> None:
    pixels = made(tmp_path, (-20, -20, 400), border_mm=12)
    assert colour_at(pixels, 148.5 + 11, 100, PPI) == WHITE
    assert colour_at(pixels, 148.5 + 13, 100, PPI) == RED
    assert colour_at(pixels, 297 - 11, 100, PPI) == WHITE


def test_a_placed_picture_that_runs_past_a_cut_edge_has_its_bleed(tmp_path: Path) -> None:
    write_corners(tmp_path)
    asked = CardPicture(panel="front", file="corners.png", placed_mm=(20, 30, 300))
    card = Card(
        stock="Harbour Satin 300", printer="Tern 8", pictures=(asked,), folder=tmp_path, cut_to_mm=(200, 150)
    )
    sheet = make_card(card, stock("vertical"), printer(), tmp_path / "card.tif")
    # The card is cut from (48.5, 30) to (248.5, 180); 3 mm of bleed (docs/sources.md, S18).
    assert sheet.faces[0].pictures[0].box_mm == pytest.approx((168.5, 60, 83, 123))


def test_a_picture_placed_off_its_panel_is_refused_with_the_mend(tmp_path: Path) -> None:
    with refused(DoesNotFit, "card.picture-outside-panel", panel=Message("panel.front")):
        made(tmp_path, (200, 30, 90))


def test_its_resolution_is_that_of_the_pixels_that_show(tmp_path: Path) -> None:
    write_corners(tmp_path)
    asked = CardPicture(panel="front", file="corners.png", placed_mm=(-45, 30, 90))
    card = Card(stock="Harbour Satin 300", printer="Tern 8", pictures=(asked,), folder=tmp_path)
    sheet = make_card(
        card, stock("vertical"), printer(Margins(top=0, bottom=0, left=0, right=0)), tmp_path / "a.pdf"
    )
    placed = sheet.faces[0].pictures[0]
    assert placed.ppi == pytest.approx(600 / (90 / 25.4))
    assert placed.part_px == pytest.approx((300, 0, 300, 400))


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_box_comes_back_from_the_sheet_as_it_went(turn: int) -> None:
    frame = Frame(Box(10, 20, 100, 140), turn)  # type: ignore[arg-type]
    box = Box(3, 7, 22, 31)
    assert frame.box_on_panel(frame.box_on_sheet(box)) == pytest.approx(box)
