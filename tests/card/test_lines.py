"""Lines are broken where Unicode allows it, as full as the room takes."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.card.type.fonts import Fonts
from tackside.card.type.paragraphs import broken, paragraph
from tackside.card.type.typeface import typeface

FONTS = Fonts(folders=())


def lines(text: str, room_em: float) -> list[str]:
    part, missing = paragraph(text, FONTS, "sans")
    assert not missing
    return [line.text for line in broken(part, room_em)]


def narrowest(text: str) -> list[str]:
    """Every chance taken."""
    return lines(text, 0.01)


@pytest.mark.parametrize(
    ("text", "parts"),
    [
        # UAX #14 by rule: LB7/LB18 spaces, LB12 no-break space (GL), LB13 closing marks, LB14 opening ones,
        # LB21 hyphens stay with what stands before, LB25 numbers, LB11 word joiner, LB8 zero width space.
        ("one two", ["one", "two"]),
        ("10\u00a0May now", ["10\u00a0May", "now"]),
        ("(one) two!", ["(one)", "two!"]),
        ("well-known", ["well-", "known"]),
        ("e.g. 1,234.56 or 50%", ["e.g.", "1,234.56", "or", "50%"]),
        ("one\u2060two three", ["one\u2060two", "three"]),
        ("one\u200btwo", ["one\u200b", "two"]),
        ("quite—so", ["quite", "—", "so"]),
        ("$(12.35) due", ["$(12.35)", "due"]),
        ("can't won’t", ["can't", "won’t"]),
    ],
)
def test_breaks_stand_where_the_annex_puts_them(text: str, parts: list[str]) -> None:
    assert narrowest(text) == parts


def test_a_soft_hyphen_shows_only_where_a_line_ends_with_it() -> None:
    font = typeface("sans")
    hyphen = {font.shaper.get_nominal_glyph(ord(each)) for each in "-\u2010"}
    part, _ = paragraph("hyphen\u00adation", FONTS, "sans")
    whole = broken(part, 100)[0]
    assert not hyphen & {glyph.gid for run in whole.runs for glyph in run.glyphs}
    first, second = broken(part, 3.6)
    assert first.runs[-1].glyphs[-1].gid in hyphen
    assert second.text == "ation"


@given(st.lists(st.text("abcdefghij", min_size=1, max_size=9), min_size=1, max_size=30), st.floats(5, 30))
def test_no_line_could_have_taken_the_next_word(words: list[str], room: float) -> None:
    part, _ = paragraph(" ".join(words), FONTS, "serif")
    found = broken(part, room)
    assert " ".join(line.text for line in found).split() == words
    for line, following in pairwise(found):
        assert line.width <= room or " " not in line.text
        longer, _ = paragraph(f"{line.text} {following.text.split()[0]}", FONTS, "serif")
        assert broken(longer, 1e9)[0].width > room
