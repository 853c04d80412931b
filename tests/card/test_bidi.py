"""Directions of mixed text: held to the library that reorders whole lines, and to the annex's own examples."""

from __future__ import annotations

from unicodedata import bidirectional

import pytest
from bidi import get_display
from hypothesis import given, settings
from hypothesis import strategies as st

from tackside.card.type.bidi_brackets import bracket_pairs, closing_brackets
from tackside.card.type.bidi_levels import REMOVED, base_level, levels, line_levels, visual_order

# Letters of every direction, both kinds of digits, separators, brackets, marks, and the characters that steer.
ALPHABET = (
    "abc \u05d0\u05d1\u05d2\u0627\u0628\u062c0123\u0660\u0661+-#$%,.:()[]{}!?\u0301\u05b0"
    "\u2066\u2067\u2068\u2069\u202a\u202b\u202c\u202d\u202e\u200e\u200f"
)
TURNED = str.maketrans(")]}", "([{")


def shown(text: str, base: int | None = None) -> tuple[str, list[int]]:
    start = base_level(text) if base is None else base
    found = line_levels(text, levels(text, start), start)
    return "".join(text[place] for place in visual_order(found)), found


def without_steering(text: str) -> str:
    """What is seen, brackets alike whichever way they open: the library turns them, shaping turns them here."""
    return "".join(each for each in text if bidirectional(each) not in REMOVED).translate(TURNED)


@settings(max_examples=400)
@given(st.text(ALPHABET, min_size=1, max_size=24))
def test_lines_are_ordered_as_the_library_orders_them(text: str) -> None:
    """python-bidi, whose engine is the Rust crate unicode-bidi, is the reference."""
    mine, found = shown(text)
    if base_level(text) == 1 and not any(level % 2 for level in levels(text, 1)):
        return  # the library hands a line without any letter from the right back as it came, spaces too
    assert without_steering(mine) == without_steering(get_display(text)), found


def upper_as_hebrew(text: str) -> str:
    """The annex writes letters that run from the right as capitals."""
    return "".join(chr(0x5D0 + ord(each) - 65) if each.isupper() else each for each in text)


@pytest.mark.parametrize(
    ("memory", "display", "base"),
    [
        # UAX #9, 3.4, rule L2: the three examples, memory and display.
        ("car means CAR.", "car means RAC.", 0),
        ("DID YOU SAY 'he said \"car MEANS CAR\"'?", None, 1),
        # UAX #9, 1 and 4.3 (docs/sources.md, S92): numbers keep their own order among letters from the right.
        ("HE SAID 123, 456", "456 ,123 DIAS EH", 1),
    ],
)
def test_the_annexs_examples(memory: str, display: str | None, base: int) -> None:
    seen, _ = shown(upper_as_hebrew(memory), base)
    expected = (
        get_display(upper_as_hebrew(memory), base_dir="LR"[base])
        if display is None
        else upper_as_hebrew(display)
    )
    assert seen.translate(TURNED) == expected.translate(TURNED)


def test_the_first_strong_letter_sets_the_paragraph() -> None:
    assert base_level("123 \u05d0b") == 1
    assert base_level("(b\u05d0") == 0
    assert base_level("12 34") == 0
    # P2 of the annex: what stands isolated does not count.
    assert base_level("\u2067\u05d0\u2069 b") == 0


def test_brackets_go_with_what_they_hold() -> None:
    # UAX #9, N0, first example of the rule's table: AB(CD[&ef]!)gh, paragraph from the right.
    text = upper_as_hebrew("AB(CD[&ef]!)gh")
    found = levels(text, 1)
    assert [found[place] % 2 for place in (2, 5, 9, 11)] == [1, 1, 1, 1]


def test_bracket_pairs_are_those_of_the_annex() -> None:
    # UAX #9, BD16, its table of examples.
    assert bracket_pairs("a)b(c)d") == [(3, 5)]
    assert bracket_pairs("a(b]c)d") == [(1, 5)]
    assert bracket_pairs("a(b[c)d]") == [(1, 5)]
    assert bracket_pairs("a(b)c)d") == [(1, 3)]
    assert bracket_pairs("a(b(c)d)") == [(1, 7), (3, 5)]
    assert bracket_pairs("a(b{c}d)") == [(1, 7), (3, 5)]
    # BidiBrackets.txt holds 64 pairs in Unicode 14 and later (60 before; docs/sources.md, S92); Python's own
    # data decides here.
    assert closing_brackets()["("] == ")"
    assert closing_brackets()["\u300c"] == "\u300d"
    assert "\u00ab" not in closing_brackets()  # quotation marks are mirrored, but are no brackets
