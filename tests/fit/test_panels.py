"""Panels tile the sheet, bear the right names and stand the right way up once the card is folded."""

from __future__ import annotations

import itertools
from typing import Literal

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from tackside.fit.fold.panels import creases_on, folded_size, layers, panels
from tackside.records import Crease
from tests.fit.stocks import horizontal, vertical

Side = Literal["front", "back"]

# The sizes that a sheet may have, in mm.
WIDTHS = st.floats(90, 330)
HEIGHTS = st.floats(90, 490)
SIDES: st.SearchStrategy[Side] = st.sampled_from(["front", "back"])


@st.composite
def sheets(draw: st.DrawFn) -> tuple[tuple[float, float], tuple[Crease, ...]]:
    """Any size with up to three creases, anywhere and either way."""
    size = draw(WIDTHS), draw(HEIGHTS)
    creases = []
    for _ in range(draw(st.integers(0, 3))):
        share = draw(st.floats(0.01, 0.99))
        creases.append(draw(st.sampled_from([horizontal(share * size[1]), vertical(share * size[0])])))
    return size, tuple(creases)


@given(sheets(), SIDES)
def test_panels_tile_the_sheet_exactly(
    sheet: tuple[tuple[float, float], tuple[Crease, ...]], side: Side
) -> None:
    size, creases = sheet
    parts = panels(size, creases, side)
    assert sum(part.trim.w * part.trim.h for part in parts) == pytest.approx(size[0] * size[1], rel=1e-9)
    for one, other in itertools.combinations(parts, 2):
        shared = one.trim.intersection(other.trim)
        assert shared is None or shared.w * shared.h < 1e-6
    assert min(part.trim.x for part in parts) == 0
    assert min(part.trim.y for part in parts) == 0
    assert max(part.trim.right for part in parts) == pytest.approx(size[0], abs=1e-9)
    assert max(part.trim.bottom for part in parts) == pytest.approx(size[1], abs=1e-9)


@given(sheets(), SIDES)
def test_no_two_panels_have_one_name(
    sheet: tuple[tuple[float, float], tuple[Crease, ...]], side: Side
) -> None:
    names = [part.name for part in panels(*sheet, side)]
    assert len(set(names)) == len(names)


@given(sheets())
def test_turning_the_sheet_over_twice_changes_nothing(
    sheet: tuple[tuple[float, float], tuple[Crease, ...]],
) -> None:
    size, creases = sheet
    there_and_back = creases_on(size, creases_on(size, creases, "back"), "back")
    assert [crease.at_mm for crease in there_and_back] == pytest.approx([crease.at_mm for crease in creases])


@pytest.mark.parametrize(
    ("crease", "side", "names"),
    [
        (None, "front", ["front"]),
        (None, "back", ["back"]),
        (vertical(127), "front", ["back", "front"]),
        (horizontal(89), "front", ["back", "front"]),
        (vertical(127), "back", ["inside-left", "inside-right"]),
        (horizontal(89), "back", ["inside-right", "inside-left"]),
    ],
)
def test_front_lies_right_of_a_vertical_crease_and_below_a_horizontal_one(
    crease: Crease | None, side: Side, names: list[str]
) -> None:
    creases = () if crease is None else (crease,)
    assert [part.name for part in panels((254, 178), creases, side)] == names


def test_the_inside_of_the_front_is_as_wide_as_the_front() -> None:
    outside = {part.name: part.trim.w for part in panels((210, 297), (vertical(90),))}
    inside = {part.name: part.trim.w for part in panels((210, 297), (vertical(90),), "back")}
    assert outside == {"back": 90, "front": 120}
    assert inside == {"inside-left": 120, "inside-right": 90}


@example(((90.0, 90.0), (vertical(67.5), vertical(22.5))))
@given(sheets())
def test_inside_left_is_always_behind_the_front(
    sheet: tuple[tuple[float, float], tuple[Crease, ...]],
) -> None:
    size, creases = sheet
    outside = {part.name: part.trim for part in panels(size, creases)}
    inside = {part.name: part.trim for part in panels(size, creases, "back")}
    if "inside-left" not in inside or "front-left" in outside:  # a gate's front is its two doors
        return
    front, behind = outside["front"], inside["inside-left"]
    assert (behind.x, behind.right) == pytest.approx((size[0] - front.right, size[0] - front.x))
    assert (behind.y, behind.bottom) == pytest.approx((front.y, front.bottom))


def test_two_creases_one_way_make_a_flap_and_a_crease_each_way_makes_a_quarter_fold() -> None:
    roll = panels((300, 100), (vertical(100), vertical(200)))
    assert [part.name for part in roll] == ["flap", "back", "front"]
    quarter = panels((200, 300), (vertical(100), horizontal(150)))
    assert [(part.name, part.turn_deg) for part in quarter] == [
        ("inside-right", 180),
        ("inside-left", 180),
        ("back", 0),
        ("front", 0),
    ]


# What the panels' turns are checked against: the card folded and held, in vectors. The outside face lies in
# the plane, x to the right and y upwards; the front panel stays where it is, the back panel goes behind it.
Vector = tuple[int, int]
LEFT: Vector = (-1, 0)
UP: Vector = (0, 1)


def up_on_the_sheet(direction: str, fold: str, name: str) -> Vector:
    """The way up of a panel's contents, as a direction on the face that it is printed on."""
    to_the_crease = LEFT if direction == "vertical" else UP  # from the front panel's middle
    # The reader turns the closed card until its fold is at the left or at the top: then this is upwards.
    up = to_the_crease if fold == "top" else (to_the_crease[1], -to_the_crease[0])
    if name == "front":
        return up
    # The back panel was mirrored across the crease by folding, and so is the direction on it. Opened like a
    # book or lifted like a calendar's leaf, front and back lie in one plane again: both insides likewise.
    folded = (-up[0], up[1]) if direction == "vertical" else (up[0], -up[1])
    if name == "back":
        return folded
    return (-folded[0], folded[1])  # the inside face, seen with the sheet turned over about its vertical axis


@pytest.mark.parametrize("direction", ["vertical", "horizontal"])
@pytest.mark.parametrize("fold", ["left", "top"])
@pytest.mark.parametrize("side", ["front", "back"])
def test_contents_stand_upright_once_the_card_is_folded(
    direction: Literal["vertical", "horizontal"], fold: Literal["left", "top"], side: Side
) -> None:
    clockwise: dict[Vector, int] = {(0, 1): 0, (1, 0): 90, (0, -1): 180, (-1, 0): 270}
    for part in panels((200, 200), (Crease(direction=direction, at_mm=100),), side, fold):
        assert part.turn_deg == clockwise[up_on_the_sheet(direction, fold, part.name)], part.name


def test_by_default_the_card_stands_as_the_crease_lies() -> None:
    for crease, fold in ((vertical(100), "left"), (horizontal(100), "top")):
        assert panels((200, 200), (crease,)) == panels((200, 200), (crease,), fold=fold)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("size", "creases", "folded", "thicknesses"),
    [
        ((210, 297), (horizontal(148.5),), (210, 148.5), 2),
        ((254, 178), (vertical(127),), (127, 178), 2),
        ((210, 297), (vertical(90),), (120, 297), 2),  # off centre: the larger part
        ((210, 297), (), (210, 297), 1),
        ((200, 300), (vertical(100), horizontal(150)), (100, 150), 4),
    ],
)
def test_the_folded_size_is_the_larger_part_each_way(
    size: tuple[float, float],
    creases: tuple[Crease, ...],
    folded: tuple[float, float],
    thicknesses: int,
) -> None:
    assert folded_size(size, creases) == folded
    assert layers(size, creases) == thicknesses
