"""Numbers, lengths, sizes, weights and prices as people type them."""

from __future__ import annotations

import csv
from decimal import Decimal
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.typed.length import UNITS, Unit, caliper_mm, length_mm, size_mm
from tackside.typed.number import exact, number, whole
from tackside.typed.price import price
from tackside.typed.weight import weight_gsm

MM = {"mm": Fraction(1), "cm": Fraction(10), "in": Fraction("25.4")}
REFERENCE = Path(__file__).parents[1] / "reference" / "paper-and-envelope-sizes.csv"
decimals = st.decimals(min_value=0, max_value=2000, places=3, allow_nan=False, allow_infinity=False)


@given(decimals, st.sampled_from(".,"), st.sampled_from(UNITS), st.booleans())
def test_a_length_is_the_number_in_its_unit(value: Decimal, point: str, unit: Unit, spaced: bool) -> None:
    typed = f"{str(value).replace('.', point)}{' ' * spaced}{unit}"
    assert length_mm(typed, "cm") == round(float(Fraction(value) * MM[unit]), 4)
    bare = str(value).replace(".", point)
    assert length_mm(bare, unit) == length_mm(typed)


@given(st.integers(0, 40), st.integers(1, 63), st.sampled_from([2, 4, 8, 16, 32, 64]), st.sampled_from(" -"))
def test_a_fraction_of_an_inch_is_exact(inches: int, over: int, under: int, between: str) -> None:
    typed = f"{inches}{between}{over}/{under}"
    assert exact(typed) == inches + Fraction(over, under)
    assert length_mm(f"{typed} in") == round(float((inches + Fraction(over, under)) * MM["in"]), 4)


@given(decimals, decimals, st.sampled_from(UNITS), st.sampled_from([" x ", "x", " × ", " by "]))
def test_a_size_is_two_lengths_and_a_unit_said_once_holds_for_both(
    width: Decimal, height: Decimal, unit: Unit, times: str
) -> None:
    both = (length_mm(f"{width} {unit}"), length_mm(f"{height} {unit}"))
    assert size_mm(f"{width}{times}{height} {unit}") == both
    assert size_mm(f"{width} {unit}{times}{height} {unit}") == both
    assert size_mm(f"{width}{times}{height}", unit) == both


@given(
    st.decimals(0, 99_999, places=2),
    st.sampled_from([("£", "GBP"), ("€", "EUR"), ("EUR", "EUR"), ("", None)]),
)
def test_a_price_is_the_same_before_and_behind_its_currency(
    amount: Decimal, told: tuple[str, str | None]
) -> None:
    sign, currency = told
    for typed in (f"{sign}{amount}", f"{amount} {sign}", str(f"{sign} {amount}").replace(".", ",")):
        found = price(typed)
        assert found is not None
        assert (found.amount, found.currency) == (amount, currency)


@given(st.text(max_size=60))
def test_whatever_is_typed_is_understood_or_refused_and_never_breaks(typed: str) -> None:
    for unit in UNITS:
        length_mm(typed, unit)
        size_mm(typed, unit)
        caliper_mm(typed, unit)
    weight_gsm(typed)
    price(typed)
    whole(typed)
    number(typed)


@pytest.mark.parametrize(
    ("typed", "size"),
    [
        ("A5", (148, 210)), ("din a4", (210, 297)), ("A5 landscape", (210, 148)), ("21 x 29.7 cm", (210, 297)),
        ("5 1/2 x 8 1/2 in", (139.7, 215.9)), ('5½" x 8½"', (139.7, 215.9)), ("US letter", (215.9, 279.4)),
        ("150 mm square", (150, 150)), ("148,5 × 210", (148.5, 210)), ("A3+", (329, 483)),
    ],
)  # fmt: skip
def test_sizes_as_packs_state_them(typed: str, size: tuple[float, float]) -> None:
    assert size_mm(typed) == size


@pytest.mark.parametrize("typed", ["", "12.5 in", "A99", "210 x", "x 297", "210 x 297 furlongs", "1/0 x 3"])
def test_what_is_no_size_is_none(typed: str) -> None:
    assert size_mm(typed) is None


# ISO 216 and US trade sizes, tests/reference/paper-and-envelope-sizes.csv, which says where each is from.
def test_named_sheets_are_those_of_the_reference_table() -> None:
    with REFERENCE.open(encoding="utf-8", newline="") as file:
        rows = [row for row in csv.DictReader(file) if row["kind"] == "sheet"]
    assert len(rows) >= 4
    for row in rows:
        found = size_mm(row["name"])
        assert found == pytest.approx((float(row["short_mm"]), float(row["long_mm"])), abs=0.06), row["name"]


@pytest.mark.parametrize(
    ("typed", "gsm"),
    [
        ("300gsm", 300), ("300 g/m²", 300), ("300", 300), ("297,5 g/m2", 297.5), ("110lb", None), ("heavy", None),
        # A basis weight and its grammage, common practice of the paper trade with no source: cover of 80 lb is
        # 216 g/m², of 100 lb 270 g/m²; text of 80 lb is 118 g/m²; bond of 20 lb is 75 g/m².
        ("80 lb cover", 216.3), ("100# cover", 270.4), ("80 lb text", 118.4), ("20 lb bond", 75.2),
    ],
)  # fmt: skip
def test_weights(typed: str, gsm: float | None) -> None:
    found = weight_gsm(typed)
    assert found == (None if gsm is None else pytest.approx(gsm, abs=0.15))


@pytest.mark.parametrize(
    ("typed", "mm"),
    [("320 µm", 0.32), ("12 mil", 0.3048), ("12pt", 0.3048), ("0,32", 0.32), ("0.0125 in", 0.3175)],
)
def test_calipers(typed: str, mm: float) -> None:
    assert caliper_mm(typed) == mm


@pytest.mark.parametrize(
    ("typed", "amount", "currency"),
    [
        ("£38", "38", "GBP"), ("14,50 €", "14.50", "EUR"), ("1.234,50 EUR", "1234.50", "EUR"), ("38.-", "38", None),
        ("A$ 12", "12", "AUD"), ("usd 9.99", "9.99", "USD"), ("1,234.50", "1234.50", None),
    ],
)  # fmt: skip
def test_prices(typed: str, amount: str, currency: str | None) -> None:
    found = price(typed)
    assert found is not None
    assert (found.amount, found.currency) == (Decimal(amount), currency)


@pytest.mark.parametrize("typed", ["1,000", "cheap", "£", "£38 EUR", "12 kr", "-3"])
def test_a_price_that_may_be_two_or_none_is_refused(typed: str) -> None:
    assert price(typed) is None


@pytest.mark.parametrize(
    ("typed", "count"), [("25", 25), ("25 sheets", 25), ("pack of 25", 25), ("2.5", None)]
)
def test_counts(typed: str, count: int | None) -> None:
    assert whole(typed) == count
