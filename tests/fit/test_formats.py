"""Sizes by name: ISO 216 by its own rule, ISO 269 and the US sizes by their tables."""

from __future__ import annotations

import csv
import itertools
import math
from pathlib import Path

import pytest

from tackside.fit.mail.envelope_sizes import shipped_envelopes
from tackside.fit.sizes.format_tables import (
    CARDS,
    ISO_SHEETS,
    METRIC_CARDS,
    SHEETS,
    US_CARDS,
    Format,
)
from tackside.fit.sizes.formats import SAME_MM, card_of, iso_namesake, near_miss, sharing_a_side, sheet_of

ENVELOPES = tuple(each.format for each in shipped_envelopes())
ISO_ENVELOPES = tuple(each for each in ENVELOPES if each.family == "ISO")
US_ENVELOPES = tuple(each for each in ENVELOPES if each.family == "US")
TABLE = Path(__file__).parents[1] / "reference" / "paper-and-envelope-sizes.csv"
ROWS = list(csv.DictReader(TABLE.read_text(encoding="utf-8").splitlines()))


def halved(size: tuple[int, int], times: int) -> tuple[int, int]:
    """ISO 216: each size is the one before halved along its long side, fractions of a millimetre dropped."""
    for _ in range(times):
        size = size[1] // 2, size[0]
    return size


# ISO 216: A0 has an area of 1 m², B0 a short side of 1 m, both in the ratio 1 : √2; ISO 269 takes its C
# series between the two, C0 their geometric mean.
A0 = (841, 1189)
B0 = (1000, 1414)
C0 = (917, 1297)


def test_the_largest_sizes_follow_from_the_rule() -> None:
    assert A0[0] * A0[1] == pytest.approx(1e6, rel=1e-3)
    for size in (A0, B0, C0):
        assert size[1] / size[0] == pytest.approx(math.sqrt(2), rel=1e-3)
    for place in (0, 1):
        assert C0[place] == pytest.approx(math.sqrt(A0[place] * B0[place]), abs=0.6)


@pytest.mark.parametrize("each", [each for each in ISO_SHEETS + ISO_ENVELOPES if each.name[1:].isdigit()])
def test_iso_sizes_follow_from_halving(each: Format) -> None:
    start = {"A": A0, "B": B0, "C": C0}[each.name[0]]
    assert (each.short_mm, each.long_mm) == halved(start, int(each.name[1:]))


def test_compound_envelopes_take_one_side_from_each_of_their_two_sizes() -> None:
    # ISO 269: C6/C5 is as short as C6 and as long as C5; C7/C6 likewise.
    by_name = {each.name: each for each in ISO_ENVELOPES}
    for short, long in (("C6", "C5"), ("C7", "C6")):
        compound = by_name[f"{short}/{long}"]
        assert (compound.short_mm, compound.long_mm) == (by_name[short].short_mm, by_name[long].long_mm)


@pytest.mark.parametrize("row", ROWS, ids=[f"{row['kind']} {row['name']}" for row in ROWS])
def test_sizes_are_those_of_the_reference_table(row: dict[str, str]) -> None:
    found = next(
        each
        for each in SHEETS + CARDS + ENVELOPES
        if (each.family, each.kind, each.name) == (row["family"], row["kind"], row["name"])
    )
    exact = 1e-9 if row["family"] == "ISO" else 0.6  # the table has US sizes rounded to 1 mm
    assert found.short_mm == pytest.approx(float(row["short_mm"]), abs=exact)
    assert found.long_mm == pytest.approx(float(row["long_mm"]), abs=exact)


def test_no_us_size_passes_for_an_iso_size() -> None:
    # A size is looked up among sheets and cards only; square envelopes of 140 mm and 5.5 in are one and the same.
    others = (*ISO_SHEETS, *ISO_ENVELOPES, *METRIC_CARDS)
    for us, iso in itertools.product((*US_CARDS, *US_ENVELOPES), others):
        apart = max(abs(us.short_mm - iso.short_mm), abs(us.long_mm - iso.long_mm))
        assert apart > 2 * SAME_MM, (us.name, iso.name)


def test_us_cards_have_iso_namesakes_of_another_size() -> None:
    a7 = next(each for each in US_CARDS if each.name == "US A7")
    namesake = iso_namesake(a7)
    assert namesake is not None
    assert (namesake.short_mm, namesake.long_mm) == (74, 105)  # ISO 216


def test_a_size_is_named_either_way_round_within_half_a_millimetre() -> None:
    upright, turned = sheet_of((210.4, 296.6)), sheet_of((297, 210))
    assert upright is not None
    assert turned is not None
    assert (upright.format.name, upright.turned) == ("A4", False)
    assert (turned.format.name, turned.turned) == ("A4", True)
    assert sheet_of((210, 298)) is None


def test_a_folded_card_gets_its_trade_name() -> None:
    found = card_of((127, 178))
    assert found is not None
    assert found.format.name == "US A7"


def test_a_size_near_a_standard_one_is_a_near_miss_and_not_that_size() -> None:
    near = near_miss((208, 296))
    assert near is not None
    assert near.name == "A4"
    assert near_miss((210, 297)) is None


@pytest.mark.parametrize(
    ("size", "name"), [((210, 210), "A4"), ((210, 200), "A4"), ((148, 148), "A5"), ((250, 250), "B4")]
)
def test_a_square_shares_a_side_with_the_sheet_of_its_width(size: tuple[float, float], name: str) -> None:
    shared = sharing_a_side(size)
    assert shared is not None
    assert shared.name == name


def test_a_standard_size_shares_its_side_with_nothing() -> None:
    assert sharing_a_side((148, 210)) is None
