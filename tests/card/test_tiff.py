"""The TIFF: the whole open sheet, exact size, resolution and profile, the picture where and how it should
stand.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tackside.card.file.design import Card, CardPicture, CardText
from tackside.card.make import make_card
from tackside.profile.icc.working_space import working_space_profile
from tackside.records import Crease
from tests.card.designs import BLUE, GREEN, RED, YELLOW, colour_at, printer, stock, write_corners

WHITE = (255, 255, 255)
# Where the head of the picture lies on the front panel as fed, and the corners' colours there, from the top
# left clockwise. Worked out by folding paper.
FRONT_CORNERS = {
    ("horizontal", "top"): (RED, GREEN, YELLOW, BLUE),
    ("horizontal", "left"): (BLUE, RED, GREEN, YELLOW),
    ("vertical", "left"): (RED, GREEN, YELLOW, BLUE),
    ("vertical", "top"): (GREEN, YELLOW, BLUE, RED),
}


def read(path: Path) -> tuple[np.ndarray, Image.Image]:
    image = Image.open(path)
    return np.asarray(image.convert("RGB")), image


def made(folder: Path, direction: str, fold: str | None, panel: str = "front", **more: object) -> Path:
    write_corners(folder)
    asked = CardPicture(panel=panel, file="corners.png", **more)
    card = Card(stock="Harbour Satin 300", printer="Tern 8", fold=fold, pictures=(asked,), folder=folder)
    make_card(card, stock(direction), printer(), folder / "card.tif")
    return folder / "card.tif"


@pytest.mark.parametrize(("direction", "fold"), list(FRONT_CORNERS))
def test_the_front_stands_on_its_panel_the_right_way_up(tmp_path: Path, direction: str, fold: str) -> None:
    pixels, _ = read(made(tmp_path, direction, fold, border_mm=12))
    left, top = (0.0, 148.5) if direction == "horizontal" else (148.5, 0.0)
    width, height = (210.0, 148.5) if direction == "horizontal" else (148.5, 210.0)
    near = 14.0  # just inside a border of 12 mm
    places = ((near, near), (width - near, near), (width - near, height - near), (near, height - near))
    found = tuple(colour_at(pixels, left + x, top + y, 150) for x, y in places)
    assert found == FRONT_CORNERS[direction, fold]
    # Nothing on the back panel, nothing in the border.
    assert colour_at(pixels, left + 6, top + 6, 150) == WHITE
    back = (
        pixels[: int(148 / 25.4 * 150)] if direction == "horizontal" else pixels[:, : int(148 / 25.4 * 150)]
    )
    assert (back == 255).all()


def test_the_back_of_a_top_fold_is_upside_down_on_the_open_sheet(tmp_path: Path) -> None:
    pixels, _ = read(made(tmp_path, "horizontal", None, panel="back"))
    assert colour_at(pixels, 5, 5, 150) == YELLOW
    assert colour_at(pixels, 205, 143, 150) == RED
    assert (pixels[int(149 / 25.4 * 150) :] == 255).all()


def test_borders_are_equal_to_the_pixel_the_crease_being_an_edge(tmp_path: Path) -> None:
    pixels, _ = read(made(tmp_path, "horizontal", None, border_mm=12))
    inked = np.argwhere((pixels != 255).any(axis=2))
    (top, left), (bottom, right) = inked.min(axis=0), inked.max(axis=0) + 1
    dots = 150 / 25.4
    edges = (left, pixels.shape[1] - right, top - 148.5 * dots, pixels.shape[0] - bottom)
    assert edges == pytest.approx([12 * dots] * 4, abs=1.0)


def test_a_picture_to_the_edge_covers_the_edge(tmp_path: Path) -> None:
    pixels, _ = read(made(tmp_path, "horizontal", None))
    front = pixels[round(148.5 * 150 / 25.4) :]
    assert (front != 255).any(axis=2).all()


@pytest.mark.parametrize("space", ["srgb", "adobe-rgb"])
def test_size_resolution_and_profile_are_exact(tmp_path: Path, space: str) -> None:
    write_corners(tmp_path)
    asked = CardPicture(panel="front", file="corners.png")
    card = Card(stock="Harbour Satin 300", printer="Tern 8", space=space, pictures=(asked,), folder=tmp_path)
    make_card(card, stock(), printer(grid_ppi=300), tmp_path / "card.tif")
    _, image = read(tmp_path / "card.tif")
    # ISO 216: A4 is 210 × 297 mm; at 300 ppi that is 2480.3 × 3507.9 pixels.
    assert image.size == (2480, 3508)
    assert image.info["dpi"] == pytest.approx((300, 300), abs=1e-3)
    assert image.info["icc_profile"] == working_space_profile(space)


def test_same_card_same_bytes(tmp_path: Path) -> None:
    first = made(tmp_path, "vertical", None).read_bytes()
    assert made(tmp_path, "vertical", None).read_bytes() == first


def test_inside_panels_become_a_second_file(tmp_path: Path) -> None:
    write_corners(tmp_path)
    card = Card(
        stock="Harbour Satin 300",
        printer="Tern 8",
        pictures=(CardPicture(panel="front", file="corners.png"),),
        texts=(CardText(panel="inside-right", text="With love"),),
        folder=tmp_path,
    )
    sheet = make_card(card, stock("vertical"), printer(), tmp_path / "card.tif")
    assert sheet.files == {"outside": tmp_path / "card.tif", "inside": tmp_path / "card-inside.tif"}
    pixels, _ = read(tmp_path / "card-inside.tif")
    inked = np.argwhere((pixels < 128).all(axis=2))
    # Text in the middle of the right-hand panel of the inside face.
    assert inked.mean(axis=0) * 25.4 / 150 == pytest.approx([105, 222.75], abs=2)


def test_an_off_centre_crease_moves_the_front(tmp_path: Path) -> None:
    write_corners(tmp_path)
    short = stock("vertical").model_copy(update={"creases": (Crease(direction="vertical", at_mm=180),)})
    asked = CardPicture(panel="front", file="corners.png")
    card = Card(stock=short.name, printer="Tern 8", pictures=(asked,), folder=tmp_path)
    make_card(card, short, printer(), tmp_path / "card.tif")
    pixels, _ = read(tmp_path / "card.tif")
    assert colour_at(pixels, 179, 5, 150) == WHITE
    assert colour_at(pixels, 181, 5, 150) == RED
