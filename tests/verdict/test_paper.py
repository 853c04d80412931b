"""Paper white is named by its tint and by the papers of ISO 12647-2."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.messages.message import Message
from tackside.verdict.explain.words import PAPER_CLASSES, TOLERANCE, PaperClass, paper_classes, tint_of


# docs/sources.md, S29 and S105: ISO 12647-2:2004, table 1, paper types 1 to 5, on black and on white backing;
# tolerance ±3/±2/±2.
@pytest.mark.parametrize(
    ("lab", "name"),
    [
        ((93, 0, -3), "gloss-coated"),
        ((95, 0, -2), "gloss-coated"),
        ((92, 0, -3), "matt-coated"),
        ((94, 0, -2), "matt-coated"),
        ((87, -1, 3), "gloss-coated-web"),
        ((92, 0, 5), "gloss-coated-web"),
        ((92, 0, -3), "uncoated-white"),
        ((95, 0, -2), "uncoated-white"),
        ((88, 0, 6), "uncoated-yellowish"),
        ((90, 0, 9), "uncoated-yellowish"),
    ],
)
def test_standard_whites_are_named(lab: tuple[float, float, float], name: str) -> None:
    assert Message(f"measure.paper.{name}") in paper_classes(lab)


@pytest.mark.parametrize("paper", PAPER_CLASSES, ids=[paper.name.code for paper in PAPER_CLASSES])
@given(shares=st.tuples(*[st.floats(-1, 1)] * 3))
def test_whites_within_the_tolerance_are_of_the_class(paper: PaperClass, shares: tuple[float, ...]) -> None:
    lab = tuple(
        aim + share * allowed * 0.999
        for aim, share, allowed in zip(paper.on_white, shares, TOLERANCE, strict=True)
    )
    assert paper.name in paper_classes((lab[0], lab[1], lab[2]))


def test_white_does_not_pretend_to_tell_coated_from_uncoated() -> None:
    # The standard's table gives both of them 95/0/−2 on white backing (docs/sources.md, S29).
    both = {Message("measure.paper.gloss-coated"), Message("measure.paper.uncoated-white")}
    assert both <= set(paper_classes((95, 0, -2)))


def test_coated_paper_for_the_web_is_likened_to_it_before_uncoated_yellowish() -> None:
    # ANSI/CGATS TR 005-2007, grade 5 coated paper: 90.1/0/4.1 on white backing (its file's first patch).
    assert paper_classes((90.1, 0.0, 4.1))[0] == Message("measure.paper.gloss-coated-web")


def test_kraft_is_no_standard_white() -> None:
    # A brown of our own choice, far from every row of the standard's table.
    assert paper_classes((62, 8, 22)) == ()


# Where a white begins to look coloured is common practice; the words and their limits are our own
# (docs/sources.md, S34).
@pytest.mark.parametrize(
    ("lab", "words"),
    [
        ((95, 0, -2.4), "bright and slightly bluish"),
        ((96, 0.2, 0.4), "bright and neutral"),
        ((90, 0, 9), "fairly bright and yellowish"),
        ((88, 1.5, 5.5), "fairly bright and yellowish"),
        ((91, 3, 3), "fairly bright and slightly warm"),
        ((62, 8, 22), "dark and strongly yellowish"),
        ((92, 3, -1), "fairly bright and slightly pinkish"),
        ((92, -4, 1), "fairly bright and slightly greenish"),
    ],
)
def test_the_tint_in_words(lab: tuple[float, float, float], words: str) -> None:
    assert str(tint_of(lab)) == words
