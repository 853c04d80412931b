"""The envelope takes the folded card with room to spare, and the families stay apart."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.fit.mail.envelopes import LEAST_CLEARANCE_MM, envelopes_for


@pytest.mark.parametrize(
    ("folded", "opened", "first"),
    [
        # ISO 269 names the C envelope for the A sheet of its number.
        ((148, 210), (297, 210), "C5"),
        ((210, 148.5), (210, 297), "C5"),
        ((105, 148), (210, 148), "C6"),
        ((74, 105), (148, 105), "C7"),
        # US pairs (docs/sources.md, S3): card and envelope of one name.
        ((108, 140), (216, 140), "US A2"),
        ((114.3, 158.75), (228.6, 158.75), "US A6"),
        ((127, 178), (254, 178), "US A7"),
        ((139.7, 215.9), (279.4, 215.9), "US A9"),
        # A4 in thirds and DL (ISO 269) belong together.
        ((99, 210), (297, 210), "DL"),
    ],
)
def test_each_card_goes_into_its_own_family_first(
    folded: tuple[float, float], opened: tuple[float, float], first: str
) -> None:
    assert envelopes_for(folded, opened, 0.6)[0].name == first


@given(st.floats(60, 200), st.floats(60, 300), st.floats(0, 2))
def test_an_envelope_is_larger_than_the_card_by_clearance_and_thickness(
    width: float, height: float, thickness: float
) -> None:
    for found in envelopes_for((width, height), (2 * width, height), thickness):
        long, short = max(width, height), min(width, height)
        left = found.size_mm[0] - long - thickness, found.size_mm[1] - short - thickness
        # Envelope sizes are rounded to 0.1 mm, which can cost 0.05.
        if found.remark is None or found.remark.code != "post.envelope-snug":
            assert min(left) >= LEAST_CLEARANCE_MM - 0.051
        assert min(left) > -0.051
        assert left == pytest.approx(found.clearance_mm, abs=0.11)


def test_a_thick_card_wants_a_larger_envelope_unless_the_two_are_a_pair() -> None:
    thin = envelopes_for((130, 104), (260, 104), 0.2)
    thick = envelopes_for((130, 104), (260, 104), 5.0)
    assert thin[0].size_mm < thick[0].size_mm
    pair = envelopes_for((108, 139.7), (216, 139.7), 1.0)[0]
    assert pair.name == "US A2"
    assert pair.remark is not None
    assert str(pair.remark).startswith("snug: 2.1 mm is left")


def test_a_roomy_envelope_says_so() -> None:
    remark = envelopes_for((140, 190), (280, 190), 0.6)[0].remark
    assert remark is not None
    assert remark.code == "post.envelope-roomy"


@pytest.mark.parametrize(
    ("folded", "first"),
    [
        ((150, 150), "square 155 mm"),
        ((125, 125), "square 130 mm"),
        # Squares of 120, 145 and 160 mm go into the envelopes of 125, 150 and 165 mm (docs/sources.md, S130).
        ((120, 120), "square 125 mm"),
        ((145, 145), "square 150 mm"),
        ((160, 160), "square 165 mm"),
        # 6.25 in go into 6.5 in (docs/sources.md, S3).
        ((158.75, 158.75), "US square 6.5 in"),
        ((98.4, 225.4), "US #10"),
        # A card of 3 1/2 × 4 7/8 in and the envelope of one name (docs/sources.md, S130).
        ((88.9, 123.8), "US 4-bar"),
    ],
)
def test_squares_and_slim_cards_have_envelopes_of_their_own(folded: tuple[float, float], first: str) -> None:
    assert envelopes_for(folded, (2 * folded[0], folded[1]), 0.6)[0].name == first


def test_a_bookmark_does_not_go_into_a_square_envelope() -> None:
    assert "square" not in envelopes_for((50, 150), (50, 150), 0.3)[0].name


def test_a_card_that_no_envelope_takes_has_none() -> None:
    assert envelopes_for((330, 480), (330, 480), None) == ()
