"""Contents stand upright on the folded card: checked by folding the sheet in space and looking at it."""

from __future__ import annotations

import math
from itertools import product

import numpy as np
import pytest

from tackside.card.layout.zones import Frame
from tackside.fit.fold.panels import panels
from tackside.units import Box
from tests.card.designs import stock

# Vectors are (right, up) as seen on the face in question.
MIRROR_X, MIRROR_Y = np.diag([-1.0, 1.0]), np.diag([1.0, -1.0])
AS_IT_IS = np.eye(2)
CLOCKWISE = np.array([[0.0, 1.0], [-1.0, 0.0]])
ANTICLOCKWISE = CLOCKWISE.T
WAYS = list(product(("vertical", "horizontal"), ("left", "top")))
UP = np.array([0.0, 1.0])


def up_on_sheet(turn_deg: int) -> np.ndarray:
    """Where the head of contents points on the face as fed, turned clockwise from the top edge."""
    return np.array([math.sin(math.radians(turn_deg)), math.cos(math.radians(turn_deg))])


def held(direction: str, fold: str) -> np.ndarray:
    """How the folded card is turned in the hand so that its fold comes to the left or the top, seen from
    before.

    Folded, a vertical crease lies left of the front (the front is right of it), a horizontal one above it.
    """
    if direction == "vertical":
        return AS_IT_IS if fold == "left" else CLOCKWISE
    return AS_IT_IS if fold == "top" else ANTICLOCKWISE


def seen_up(panel: str, turn_deg: int, direction: str, fold: str) -> np.ndarray:
    """Where the head of a panel's contents points for somebody who holds the card."""
    hand = held(direction, fold)
    folded_back = MIRROR_X if direction == "vertical" else MIRROR_Y
    up = up_on_sheet(turn_deg)
    if panel == "front":
        return hand @ up
    if panel == "back":  # folded behind, then the card is turned over about its upright axis
        return MIRROR_X @ hand @ folded_back @ up
    through_the_card = MIRROR_X @ up  # the inside face is the outside seen through the sheet
    if panel == "behind the back":  # stays where it is when the front is opened
        return hand @ folded_back @ through_the_card
    opened = MIRROR_X if fold == "left" else MIRROR_Y
    return opened @ hand @ through_the_card


@pytest.mark.parametrize(("direction", "fold"), WAYS)
def test_front_and_back_stand_upright_on_the_folded_card(direction: str, fold: str) -> None:
    card = stock(direction)
    for panel in panels(card.open_size_mm, card.creases, "front", fold):
        np.testing.assert_allclose(seen_up(panel.name, panel.turn_deg, direction, fold), UP, atol=1e-12)


@pytest.mark.parametrize(("direction", "fold"), WAYS)
def test_inside_panels_read_as_one_open_card(direction: str, fold: str) -> None:
    card = stock(direction)
    front = next(p for p in panels(card.open_size_mm, card.creases, "front", fold) if p.name == "front")
    for panel in panels(card.open_size_mm, card.creases, "back", fold):
        # Seen from the inside the front lies mirrored about the upright axis of the sheet as fed.
        mirrored = Box(card.open_size_mm[0] - panel.trim.right, *panel.trim[1:])
        where = "behind the front" if mirrored == front.trim else "behind the back"
        np.testing.assert_allclose(seen_up(where, panel.turn_deg, direction, fold), UP, atol=1e-12)


@pytest.mark.parametrize("turn", [0, 90, 180, 270])
def test_a_frame_keeps_sizes_and_corners(turn: int) -> None:
    frame = Frame(Box(10, 20, 100, 60), turn)  # type: ignore[arg-type]
    width, height = frame.size
    assert frame.box_on_sheet(Box(0, 0, width, height)) == pytest.approx(frame.trim)
    # The head of the upright panel lies on the sheet where the turn says.
    x, y = frame.point_on_sheet(width / 2, 0)
    to_head = np.array([x - frame.trim.centre[0], -(y - frame.trim.centre[1])])
    np.testing.assert_allclose(to_head / np.linalg.norm(to_head), up_on_sheet(turn), atol=1e-12)
