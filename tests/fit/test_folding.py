"""The sheet folded in space: each panel comes to the reader upright, and where its name says."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.errors import BadRecord
from tackside.fit.fold.panels import FoldKind, fold_of, folded_size, layers, opened, panels
from tackside.fit.model import Fold, Panel
from tackside.records import Crease
from tackside.records.load import load_stock
from tackside.records.sheet_plan import Side
from tackside.units import Box
from tests.fit.folding import SHUT_DEG, Array, Plate, plate, strip
from tests.fit.stocks import horizontal, vertical
from tests.refusals import refused

Size = tuple[float, float]
Sheet = tuple[Size, tuple[Crease, ...]]
SIDES: tuple[Side, Side] = ("front", "back")
FOLDS: st.SearchStrategy[Fold] = st.sampled_from(["left", "top"])
OUT: Array = np.array([0.0, 0.0, 1.0])


def named(sheet: Sheet, fold: Fold | None = None) -> dict[str, tuple[Side, Panel]]:
    return {panel.name: (side, panel) for side in SIDES for panel in panels(*sheet, side, fold)}


def trim_on_outside(size: Size, side: Side, panel: Panel) -> Box:
    box = panel.trim
    return box if side == "front" else Box(size[0] - box.right, box.y, box.w, box.h)


def plates(sheet: Sheet, poses: list[Array], fold: Fold | None = None) -> dict[str, Plate]:
    """All panels of both faces of a strip, by name, in these poses."""
    size, creases = sheet
    cuts = sorted(crease.at_mm for crease in creases)
    found = {}
    for name, (side, panel) in named(sheet, fold).items():
        trim = trim_on_outside(size, side, panel)
        at = trim.centre[0 if creases[0].direction == "vertical" else 1]
        found[name] = plate(size, trim, poses[sum(at > cut for cut in cuts)])
    return found


def readers_axes(sheet: Sheet, fold: Fold, to_reader: Array) -> tuple[Array, Array]:
    """Up and right of a reader who holds the shut card with its fold at the left or the top.

    As the sheet was fed, y is up; where the fold is wanted elsewhere the card is turned by a right angle, clockwise to
    bring a left edge up, counter-clockwise to bring the top edge to the left.
    """
    up = np.array([0.0, 1.0, 0.0])
    right = np.cross(up, to_reader)
    lies = "left" if sheet[1][0].direction == "vertical" else "top"
    if fold == lies:
        return up, right
    return (-right, up) if fold == "top" else (right, -up)


def assert_reads(
    sheet: Sheet, fold: Fold, there: dict[str, Plate], names: list[str], to_reader: Array, up: Array
) -> None:
    """These panels face the reader with their contents' heads up."""
    for name in names:
        side, panel = named(sheet, fold)[name]
        assert there[name].looks(side) == pytest.approx(to_reader, abs=0.01), f"{name} faces away"
        assert there[name].up_of_contents(side, panel.turn_deg) == pytest.approx(up, abs=0.01), name


def assert_in_a_row(there: dict[str, Plate], names: list[str], along: Array) -> None:
    places = [float(there[name].middle @ along) for name in names]
    assert places == sorted(places)
    assert min(np.diff(places)) > 1


def assert_order(there: dict[str, Plate], names: list[str], to_reader: Array) -> None:
    """The layers from the reader's side to the far side."""
    depths = [float(there[name].middle @ to_reader) for name in names]
    assert depths == sorted(depths, reverse=True)
    assert len(set(np.round(depths, 6))) == len(depths)


def pages_along(sheet: Sheet, fold: Fold, to_reader: Array) -> tuple[Array, Array]:
    """The reader's up, and the direction in which pages follow: to the right, or down where the fold is at the top."""
    up, right = readers_axes(sheet, fold, to_reader)
    return up, right if fold == "left" else -up


@st.composite
def strips(draw: st.DrawFn, kind: FoldKind) -> Sheet:
    """A sheet of this fold, either way, of any size that a card may have."""
    folded = draw(st.floats(60, 160)), draw(st.floats(60, 200))
    return opened(folded, kind, across=draw(st.booleans()))


@given(
    st.floats(90, 330),
    st.floats(90, 490),
    st.floats(0.2, 0.8),
    st.sampled_from(["vertical", "horizontal"]),
    FOLDS,
)
def test_one_crease_anywhere_gives_front_back_and_two_insides(
    width: float, height: float, share: float, direction: Literal["vertical", "horizontal"], fold: Fold
) -> None:
    at = share * (width if direction == "vertical" else height)
    sheet: Sheet = ((width, height), (Crease(direction=direction, at_mm=at),))
    up, along = pages_along(sheet, fold, OUT)
    # Shut: the front stays, the back goes behind it.
    shut = plates(sheet, strip(*sheet, 1, [SHUT_DEG]), fold)
    assert_reads(sheet, fold, shut, ["front"], OUT, up)
    assert_reads(sheet, fold, shut, ["back"], -OUT, up)
    assert_order(shut, ["front", "back"], OUT)
    # The fold is where it should be: at the reader's left or top of the front.
    assert_in_a_row({**shut, "fold": spine(sheet)}, ["fold", "front"], along)
    # Open: the back lies still, the front is turned or lifted over the fold.
    open_ = plates(sheet, strip(*sheet, 0, [0], start=strip(*sheet, 1, [180])[0]), fold)
    assert_reads(sheet, fold, open_, ["inside-left", "inside-right"], OUT, up)
    assert_in_a_row(open_, ["inside-left", "inside-right"], along)


def spine(sheet: Sheet) -> Plate:
    """The crease itself, as a plate of no width."""
    (width, height), (crease,) = sheet
    box = (
        Box(crease.at_mm, 0, 0, height) if crease.direction == "vertical" else Box(0, crease.at_mm, width, 0)
    )
    return plate((width, height), box, np.eye(4))


@given(strips("roll"), FOLDS)
def test_a_roll_fold_tucks_the_flap_between_front_and_back(sheet: Sheet, fold: Fold) -> None:
    up, along = pages_along(sheet, fold, OUT)
    shut = plates(sheet, strip(*sheet, 2, [SHUT_DEG, SHUT_DEG]), fold)
    assert_reads(sheet, fold, shut, ["front", "flap"], OUT, up)
    assert_reads(sheet, fold, shut, ["back"], -OUT, up)
    assert_order(shut, ["front", "flap", "back"], OUT)
    open_ = plates(sheet, strip(*sheet, 1, [0, 0], start=strip(*sheet, 2, [180, 180])[1]), fold)
    pages = ["inside-left", "inside-middle", "inside-right"]
    assert_reads(sheet, fold, open_, pages, OUT, up)
    assert_in_a_row(open_, pages, along)


@given(strips("accordion"), FOLDS)
def test_an_accordion_has_its_back_cover_on_the_inside_face(sheet: Sheet, fold: Fold) -> None:
    up, along = pages_along(sheet, fold, OUT)
    closed = strip(*sheet, 2, [SHUT_DEG, SHUT_DEG])
    shut = plates(sheet, closed, fold)
    assert_reads(sheet, fold, shut, ["front"], OUT, up)
    assert_reads(sheet, fold, shut, ["back"], -OUT, up)
    assert_order(shut, ["front", "inside-middle", "back"], OUT)
    assert named(sheet)["back"][0] == "back"
    open_ = plates(sheet, strip(*sheet, 1, [0, 0], start=strip(*sheet, 2, [180, 180])[1]), fold)
    assert_reads(sheet, fold, open_, ["inside-left", "inside-middle"], OUT, up)
    assert_in_a_row(open_, ["inside-left", "inside-middle", "back"], along)
    # The whole turned over about the reader's upright axis.
    assert_reads(sheet, fold, open_, ["outside-left", "outside-middle"], -OUT, up)
    reading = np.cross(up, -OUT) if fold == "left" else -up
    follow = (
        ["outside-left", "outside-middle", "front"]
        if fold == "left"
        else ["front", "outside-middle", "outside-left"]
    )
    assert_in_a_row(open_, follow, reading)


@given(strips("gate"), FOLDS)
def test_the_wings_of_a_gate_meet_on_the_middle(sheet: Sheet, fold: Fold) -> None:
    reader = -OUT  # the middle lies still; its inside looks at whoever opens the gate
    up, right = readers_axes(sheet, fold, reader)
    upright = sheet[1][0].direction == "vertical"
    wings = ["front-left", "front-right"] if upright else ["front-upper", "front-lower"]
    pages = (
        ["inside-left", "inside-middle", "inside-right"]
        if upright
        else ["inside-upper", "inside-middle", "inside-lower"]
    )
    along = {
        ("vertical", "left"): right,
        ("vertical", "top"): -up,
        ("horizontal", "top"): -up,
        ("horizontal", "left"): right,
    }[sheet[1][0].direction, fold]
    shut = plates(sheet, strip(*sheet, 1, [SHUT_DEG, SHUT_DEG]), fold)
    assert_reads(sheet, fold, shut, wings, reader, up)
    assert_reads(sheet, fold, shut, ["back"], -reader, up)
    assert_in_a_row(shut, wings, along)
    assert_order(shut, [wings[0], "back"], reader)
    open_ = plates(sheet, strip(*sheet, 1, [0, 0]), fold)
    assert_reads(sheet, fold, open_, pages, reader, up)
    assert_in_a_row(open_, pages, along)


@given(st.floats(60, 150), st.floats(60, 200), FOLDS)
def test_a_quarter_fold_shows_all_four_panels_of_one_face_upright(
    width: float, height: float, fold: Fold
) -> None:
    sheet = opened((width, height), "quarter")
    size, (side_crease, cross) = sheet
    up, along = pages_along(sheet, fold, OUT)
    # First the upper half goes behind the lower one, and shuts the closer as it lies inside.
    upper, lower = strip(size, [cross], 1, [179.99])
    left, right = strip(size, [side_crease], 1, [179.6])
    boxes = {name: panel.trim for name, (side, panel) in named(sheet, fold).items() if side == "front"}
    shut = {
        "front": plate(size, boxes["front"], right @ lower),
        "back": plate(size, boxes["back"], left @ lower),
        "inside-left": plate(size, boxes["inside-left"], right @ upper),
        "inside-right": plate(size, boxes["inside-right"], left @ upper),
    }
    assert_reads(sheet, fold, shut, ["front"], OUT, up)
    assert_reads(sheet, fold, shut, ["back"], -OUT, up)
    assert_order(shut, ["front", "inside-left", "inside-right", "back"], OUT)
    lying = strip(size, [side_crease], 1, [180])[0]
    open_ = {
        "inside-left": plate(size, boxes["inside-left"], lying @ upper),
        "inside-right": plate(size, boxes["inside-right"], lying @ upper),
    }
    assert_reads(sheet, fold, open_, ["inside-left", "inside-right"], OUT, up)
    assert_in_a_row(open_, ["inside-left", "inside-right"], along)
    # Held as the crease lies, the two insides are upside down on the open sheet and nothing else is.
    heads_down = {panel.name for panel in panels(*sheet) if panel.is_upside_down}
    assert heads_down == {"inside-left", "inside-right"}


@pytest.mark.parametrize("kind", ["flat", "side", "top", "gate", "accordion", "roll", "quarter"])
@pytest.mark.parametrize("across", [True, False])
def test_opening_and_folding_undo_each_other(kind: FoldKind, across: bool) -> None:
    size, creases = opened((120, 170), kind, across=across)
    assert fold_of(size, creases) == kind
    assert folded_size(size, creases) == (120, 170)


@given(st.sampled_from(["side", "top", "gate", "accordion", "roll", "quarter"]), st.booleans())
def test_what_lies_behind_is_the_same_place_of_the_sheet(kind: FoldKind, across: bool) -> None:
    sheet = opened((120.0, 170.0), kind, across=across)
    both = named(sheet)
    for name, (side, panel) in both.items():
        assert panel.behind is not None
        other_side, other = both[panel.behind]
        assert other_side != side
        assert other.behind == name
        assert trim_on_outside(sheet[0], side, panel) == pytest.approx(
            trim_on_outside(sheet[0], other_side, other), abs=1e-9
        )


def test_a_short_front_leaves_the_back_standing_out() -> None:
    size, creases = opened((105, 148), "side", short_mm=25)
    widths = {panel.name: panel.trim.w for panel in panels(size, creases)}
    assert widths == {"back": 105, "front": 80}
    assert folded_size(size, creases) == (105, 148)
    with refused(BadRecord, "fold.front-too-short", short_mm=105):
        opened((105, 148), "side", short_mm=105)


def test_wings_that_lie_side_by_side_are_two_layers_and_others_three() -> None:
    assert layers(*opened((120, 170), "gate")) == 2
    assert layers(*opened((120, 170), "accordion")) == layers(*opened((120, 170), "roll")) == 3
    assert layers(*opened((120, 170), "quarter")) == 4


@pytest.mark.parametrize("crease", [vertical(210), vertical(300), horizontal(297)])
def test_a_crease_outside_the_sheet_is_refused(crease: Crease) -> None:
    with pytest.raises(BadRecord, match=r"outside the sheet.*give an at_mm between"):
        panels((210, 297), (crease,))


@pytest.mark.parametrize("folds", [("out",), ("in", "out"), ("out", "out")])
def test_a_crease_that_folds_the_wrong_way_is_refused(folds: tuple[Literal["in", "out"], ...]) -> None:
    creases = [Crease(direction="vertical", at_mm=70 * (n + 1), folds=way) for n, way in enumerate(folds)]
    with refused(BadRecord, "fold.folds-out"):
        panels((210, 297), creases)


def test_an_accordion_is_written_in_the_stock_file(tmp_path: Path) -> None:
    file = tmp_path / "zigzag.toml"
    text = """
name = "Plover Matt 230"
open_size_mm = [297, 210]
creases = [
  { direction = "vertical", at_mm = 99, folds = "out" },
  { direction = "vertical", at_mm = 198 },
]
"""
    file.write_text(text, encoding="utf-8")
    stock = load_stock(file)
    assert fold_of(stock.open_size_mm, stock.creases) == "accordion"
    file.write_text(text.replace('"out"', '"outwards"'), encoding="utf-8")
    with pytest.raises(BadRecord, match=r"folds.*out"):
        load_stock(file)
