"""Whole faces, grounds, bleed, the card cut out of a larger sheet, and the ticks that show where."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from tackside.card.file.design import Card, CardGround, CardPicture, CardText
from tackside.card.layout.layout import SIDES, CardFace, lay_out
from tackside.card.layout.zones import BLEED_MM, whole_face
from tackside.card.make import make_card
from tackside.errors import BadRecord, DoesNotFit, TacksideError
from tackside.fit.fit_stock import fit_stock
from tackside.messages.message import Message
from tackside.records import Crease, Stock
from tackside.units import Box
from tests.card.designs import BLUE, GREEN, RED, YELLOW, colour_at, printer, stock, write_corners
from tests.refusals import refused

WHITE = (255, 255, 255)


def faces(card: Card, of: Stock, *, borderless: bool = False) -> tuple[CardFace, ...]:
    machine = printer(borderless=borderless)
    return lay_out(card, of, {side: fit_stock(of, machine, side=side) for side in SIDES})


def design(folder: Path, *pictures: CardPicture, **more: object) -> Card:
    write_corners(folder)
    return Card(stock="S", printer="P", pictures=pictures, folder=folder, **more)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("direction", "fold", "corners"),
    [
        # The whole sheet seen with the front upright, its corners clockwise from the top left as fed.
        ("vertical", "left", (RED, GREEN, YELLOW, BLUE)),
        ("vertical", "top", (GREEN, YELLOW, BLUE, RED)),
        ("horizontal", "top", (RED, GREEN, YELLOW, BLUE)),
        ("horizontal", "left", (BLUE, RED, GREEN, YELLOW)),
    ],
)
def test_one_picture_runs_over_front_and_back(
    tmp_path: Path, direction: str, fold: str, corners: tuple[tuple[int, int, int], ...]
) -> None:
    picture = CardPicture(panel="outside", file="corners.png", border_mm=10)
    of = stock(direction)  # type: ignore[arg-type]
    make_card(design(tmp_path, picture, fold=fold), of, printer(), tmp_path / "card.tif")
    pixels = np.asarray(Image.open(tmp_path / "card.tif").convert("RGB"))
    width, height = of.open_size_mm
    places = ((12, 12), (width - 12, 12), (width - 12, height - 12), (12, height - 12))
    assert tuple(colour_at(pixels, x, y, 150) for x, y in places) == corners
    # No seam along the crease: on either side of the middle the picture goes on.
    beside = ((width / 2 - 1, height / 4), (width / 2 + 1, height / 4)) if direction == "vertical" else (
        (width / 4, height / 2 - 1), (width / 4, height / 2 + 1)
    )  # fmt: skip
    assert all(colour_at(pixels, x, y, 150) != WHITE for x, y in beside)


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_picture_turns_clockwise_on_its_panel(tmp_path: Path, turn: int) -> None:
    picture = CardPicture(panel="front", file="corners.png", border_mm=12, turn=turn)  # type: ignore[arg-type]
    make_card(design(tmp_path, picture), stock(), printer(), tmp_path / "card.tif")
    pixels = np.asarray(Image.open(tmp_path / "card.tif").convert("RGB"))
    upright = [RED, GREEN, YELLOW, BLUE]
    steps = turn // 90
    expected = upright[-steps:] + upright[:-steps] if steps else upright
    places = ((14, 162.5), (196, 162.5), (196, 283), (14, 283))
    assert [colour_at(pixels, x, y, 150) for x, y in places] == expected


@given(
    st.floats(60, 150),
    st.floats(0, 20),
    st.sampled_from(["vertical", "horizontal"]),
    st.sampled_from([0, 90]),
)
def test_borders_are_equal_on_every_panel_however_far_off_centre_the_crease(
    tmp_path_factory: pytest.TempPathFactory, at: float, border: float, direction: str, turn: int
) -> None:
    """Worked by hand: a crease at c leaves panels c and L − c; each border is counted from its own panel's edges."""
    folder = tmp_path_factory.getbasetemp()
    of = stock(direction, at)  # type: ignore[arg-type]
    pictures = tuple(
        CardPicture(panel=panel, file="corners.png", border_mm=border, turn=turn)  # type: ignore[arg-type]
        for panel in ("front", "back")
    )
    (face,) = faces(design(folder, *pictures), of)
    for placed in face.pictures:
        trim = face.zones[placed.asked.panel].trim
        box = placed.box_mm
        gaps = (box.x - trim.x, box.y - trim.y, trim.right - box.right, trim.bottom - box.bottom)
        assert gaps == pytest.approx([border] * 4, abs=1e-9)
    lengths = [face.zones[name].trim[2 if direction == "vertical" else 3] for name in ("back", "front")]
    assert lengths == pytest.approx([at, 297 - at])


def test_grounds_lie_under_everything_whole_faces_first(tmp_path: Path) -> None:
    card = design(
        tmp_path,
        CardPicture(panel="front", file="corners.png", border_mm=40),
        background="#204060",
        backgrounds=(
            CardGround(panel="front", colour="#f0e0d0"),
            CardGround(panel="inside", colour="#102030"),
        ),
    )
    made = make_card(card, stock(), printer(), tmp_path / "card.tif")
    outside = np.asarray(Image.open(made.files["outside"]).convert("RGB"))
    inside = np.asarray(Image.open(made.files["inside"]).convert("RGB"))
    assert tuple(outside[int(74 * 150 / 25.4), 600]) == (0x20, 0x40, 0x60)
    assert tuple(outside[int(160 * 150 / 25.4), 600]) == (0xF0, 0xE0, 0xD0)
    assert colour_at(outside, 60, 200, 150) == RED
    assert tuple(inside[900, 600]) == (0x10, 0x20, 0x30)


def test_bleed_goes_past_cut_and_borderless_edges_never_past_a_crease(tmp_path: Path) -> None:
    card = design(tmp_path, CardPicture(panel="front", file="corners.png"))
    with_margins, borderless = faces(card, stock())[0], faces(card, stock(), borderless=True)[0]
    assert with_margins.pictures[0].box_mm == Box(0, 148.5, 210, 148.5)
    # A borderless mode that enlarges by 2.5 mm needs 3.5 mm: it must not run short where the sheet shifts.
    assert borderless.pictures[0].box_mm == pytest.approx(Box(-3.5, 148.5, 217, 152))
    cut = faces(card.model_copy(update={"cut_to_mm": (190.0, 277.0)}), stock())[0]
    assert cut.trim == Box(10, 10, 190, 277)
    assert cut.bleed == pytest.approx(Box(10, 10, 190, 277).shrunk(-BLEED_MM))
    assert cut.pictures[0].box_mm == pytest.approx(Box(7, 148.5, 196, 141.5))
    assert cut.zones["front"].trim == Box(10, 148.5, 190, 138.5)


def test_borders_count_from_the_cut(tmp_path: Path) -> None:
    card = design(
        tmp_path, CardPicture(panel="front", file="corners.png", border_mm=12), cut_to_mm=(190, 277)
    )
    assert faces(card, stock())[0].pictures[0].box_mm == pytest.approx(Box(22, 160.5, 166, 114.5))


def test_ticks_lie_outside_the_bleed_in_line_with_cuts_and_creases(tmp_path: Path) -> None:
    card = design(tmp_path, CardPicture(panel="front", file="corners.png"), cut_to_mm=(180, 267), ticks=True)
    face = faces(card, stock())[0]
    reach = Box(0, 0, 210, 297).inset(3.4, 3, 3.4, 5)  # the invented printer's margins
    for rule in face.rules:
        (x1, y1), (x2, y2) = rule.start, rule.end
        assert x1 == x2 or y1 == y2
        assert reach.contains(Box(min(x1, x2), min(y1, y2), abs(x2 - x1), abs(y2 - y1)))
        if y1 == y2:
            assert min(abs(y1 - line) for line in (15, 282, 148.5)) < 1e-9
            assert max(x1, x2) <= 15 - BLEED_MM + 1e-9 or min(x1, x2) >= 195 + BLEED_MM - 1e-9
        else:
            assert min(abs(x1 - line) for line in (15, 195)) < 1e-9
            assert max(y1, y2) <= 15 - BLEED_MM + 1e-9 or min(y1, y2) >= 282 + BLEED_MM - 1e-9
    # Two at each of four corners, and each end of the crease is broken in two.
    assert len(face.rules) == 8 + 4


@pytest.mark.parametrize(
    ("cut", "error", "code", "values"),
    [
        ((300, 277), BadRecord, "card.cut-larger-than-sheet", {"sheet_mm": (210, 297)}),
        (
            (205, 290),
            DoesNotFit,
            "card.ticks-without-room",
            {"needed_mm": 4, "there_mm": 0, "edge": Message("card.at-left")},
        ),
    ],
)
def test_a_cut_without_room_is_refused(
    tmp_path: Path, cut: tuple[float, float], error: type[TacksideError], code: str, values: dict[str, object]
) -> None:
    card = design(tmp_path, CardPicture(panel="front", file="corners.png"), cut_to_mm=cut, ticks=True)
    with refused(error, code, **values):
        faces(card, stock())


def test_a_crease_outside_the_card_is_refused(tmp_path: Path) -> None:
    short = stock("vertical").model_copy(update={"creases": (Crease(direction="vertical", at_mm=20),)})
    card = design(tmp_path, CardPicture(panel="front", file="corners.png"), cut_to_mm=(200, 200))
    with refused(BadRecord, "card.panel-cut-away", panel=Message("panel.back")):
        faces(card, short)


def test_ticks_want_a_cut() -> None:
    with pytest.raises(ValueError, match=r"card-file\.ticks-without-cut"):
        Card(stock="S", printer="P", texts=(CardText(panel="back", text="A"),), ticks=True)


def test_a_whole_face_of_a_quarter_fold_leaves_the_insides_out() -> None:
    quarter = stock().model_copy(
        update={
            "open_size_mm": (210.0, 297.0),
            "creases": (Crease(direction="horizontal", at_mm=148.5), Crease(direction="vertical", at_mm=105)),
        }
    )
    fit = fit_stock(quarter, printer())
    whole = whole_face(fit.panels, "front")
    assert whole is not None
    assert whole.trim == Box(0, 148.5, 210, 148.5)


def test_texts_stand_on_panels_alone(tmp_path: Path) -> None:
    card = Card(stock="S", printer="P", texts=(CardText(panel="outside", text="A"),))
    with refused(BadRecord, "card.text-on-a-face", name="outside") as caught:
        faces(card, stock())
    panels = caught.value.message.value("panels")
    assert isinstance(panels, tuple)
    assert panels[0] == "back"
    assert "outside" not in panels


@pytest.mark.parametrize("direction", ["vertical", "horizontal"])
def test_a_gates_wings_carry_one_picture_with_the_back_between(tmp_path: Path, direction: str) -> None:
    gate = stock(direction).model_copy(  # type: ignore[arg-type]
        update={"creases": tuple(Crease(direction=direction, at_mm=at) for at in (74, 223))}  # type: ignore[arg-type]
    )
    (face,) = faces(design(tmp_path, CardPicture(panel="outside", file="corners.png")), gate)
    assert face.pictures[0].box_mm == Box(0, 0, *gate.open_size_mm)
    assert face.pictures[0].frame.turn_deg == next(
        panel.turn_deg for panel in face.panels if panel.name.startswith("front")
    )
