"""Pictures on panels: the box is covered or the picture kept whole, its shape never bent, borders equal."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tackside.card.file.design import CardPicture
from tackside.card.layout.placed import place_picture
from tackside.errors import DoesNotFit
from tackside.fit.model import Panel
from tackside.picture.file.open import Picture
from tackside.units import Box
from tests.refusals import refused

pixels = st.integers(20, 12_000)
lengths = st.floats(60, 330)
turns = st.sampled_from([0, 90, 180, 270])
shares = st.floats(0, 1)


def picture(width: int, height: int) -> Picture:
    return Picture(Path("boats.jpg"), (width, height), turned=False, bits=8, profile=None, warnings=())


def panel(width: float, height: float, turn: int) -> Panel:
    trim = Box(7.5, 11.0, width, height)
    return Panel(name="front", trim=trim, printable=trim, turn_deg=turn)


def seen_size(box: Box, turn: int) -> tuple[float, float]:
    return (box.w, box.h) if turn in (0, 180) else (box.h, box.w)


@given(pixels, pixels, lengths, lengths, turns, st.floats(0, 25), shares, shares)
def test_fill_covers_the_box_with_equal_borders_and_true_shape(
    w: int, h: int, panel_w: float, panel_h: float, turn: int, border: float, focus_x: float, focus_y: float
) -> None:
    asked = CardPicture(panel="front", file="boats.jpg", border_mm=border, focus=(focus_x, focus_y))
    on = panel(panel_w, panel_h, turn)
    placed = place_picture(asked, picture(w, h), on)
    box, trim = placed.box_mm, on.trim
    borders = (box.x - trim.x, box.y - trim.y, trim.right - box.right, trim.bottom - box.bottom)
    assert borders == pytest.approx([border] * 4, abs=1e-9)
    part = placed.part_px
    assert Box(0, 0, w, h).contains(part, slack=1e-6)
    seen_w, seen_h = seen_size(box, turn)
    assert part.w / seen_w == pytest.approx(part.h / seen_h, rel=1e-9)
    # One of its edges reaches both sides of the picture: no more is cropped than must be.
    assert part.w == pytest.approx(w) or part.h == pytest.approx(h)


@given(pixels, pixels, lengths, lengths, turns, st.floats(0, 25))
def test_fit_keeps_the_whole_picture_in_the_middle(
    w: int, h: int, panel_w: float, panel_h: float, turn: int, border: float
) -> None:
    asked = CardPicture(panel="front", file="boats.jpg", fit="fit", border_mm=border)
    on = panel(panel_w, panel_h, turn)
    assume(min(panel_w, panel_h) - 2 * border > 2 * max(w, h) / min(w, h))
    placed = place_picture(asked, picture(w, h), on)
    assert placed.part_px == Box(0, 0, w, h)
    seen_w, seen_h = seen_size(placed.box_mm, turn)
    assert seen_w / seen_h == pytest.approx(w / h, rel=1e-9)
    assert on.trim.shrunk(border).contains(placed.box_mm)
    assert placed.box_mm.centre == pytest.approx(on.trim.centre)
    room = on.trim.shrunk(border)
    assert placed.box_mm.w == pytest.approx(room.w) or placed.box_mm.h == pytest.approx(room.h)


def test_focus_moves_the_crop_until_the_edge_stops_it() -> None:
    on = panel(100, 100, 0)

    def cropped(x: float) -> float:
        asked = CardPicture(panel="front", file="boats.jpg", focus=(x, 0.5))
        return place_picture(asked, picture(3000, 1000), on).part_px.x

    assert cropped(0.0) == 0
    assert cropped(0.5) == pytest.approx(1000)
    assert cropped(0.4) == pytest.approx(700)
    assert cropped(1.0) == pytest.approx(2000)


def test_true_resolution_counts_what_shows() -> None:
    asked = CardPicture(panel="front", file="boats.jpg")
    # 1000 pixels of a picture cropped to a square fill 100 mm: 1000 ÷ (100 ÷ 25.4) = 254 an inch.
    assert place_picture(asked, picture(3000, 1000), panel(100, 100, 0)).ppi == pytest.approx(254)


def test_a_border_that_leaves_no_room_is_refused() -> None:
    asked = CardPicture(panel="front", file="boats.jpg", border_mm=50)
    with refused(DoesNotFit, "card.border-leaves-no-room"):
        place_picture(asked, picture(300, 200), panel(148, 100, 0))


def test_a_picture_too_narrow_to_be_seen_is_refused() -> None:
    asked = CardPicture(panel="front", file="boats.jpg", fit="fit")
    with refused(DoesNotFit, "card.picture-too-narrow"):
        place_picture(asked, picture(30_000, 100), panel(148, 100, 0))
