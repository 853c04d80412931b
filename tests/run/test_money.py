"""Money is exact and follows ISO 4217."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from babel.core import get_global
from babel.numbers import get_currency_precision
from hypothesis import given
from hypothesis import strategies as st

from tackside.errors import BadRecord
from tackside.records import Pack
from tackside.records.money import digits, price_a_sheet, refuse_unknown, rounded, said, sheet_price
from tackside.run.money.pricing import raised_to
from tests.refusals import refused


@pytest.mark.parametrize(
    ("currency", "places"), [("GBP", 2), ("EUR", 2), ("USD", 2), ("JPY", 0), ("KWD", 3), ("CLF", 4)]
)
def test_the_minor_units_of_iso_4217(currency: str, places: int) -> None:
    # ISO 4217, list one, column "minor unit" (docs/sources.md, S62).
    assert digits(currency) == places


def test_the_cldr_agrees_where_it_follows_the_standard() -> None:
    # The CLDR (in babel) drops digits that shops no longer use, as for IQD, LAK and AFN; it adds none.
    others = "BHD JOD KWD LYD OMR TND CLF UYW BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX VND VUV XAF XOF XPF"
    assert [each for each in others.split() if get_currency_precision(each) != digits(each)] == []
    assert [
        each for each in get_global("all_currencies") if get_currency_precision(each) > digits(each)
    ] == []


def test_a_code_that_is_none_is_refused() -> None:
    with refused(BadRecord, "money.no-such-currency", currency="GPB"):
        refuse_unknown("GPB")


@given(st.integers(-(10**9), 10**9), st.integers(1, 10**6))
def test_rounding_is_to_the_nearest_cent_and_halves_go_away_from_zero(cents: int, parts: int) -> None:
    amount = Fraction(cents, parts)
    told = rounded(amount, "GBP")
    assert abs(Fraction(told) - amount) <= Fraction(1, 200)
    assert told.as_tuple().exponent == -2
    assert rounded(-amount, "GBP") == -told


def test_a_third_of_a_pound_three_times_is_a_pound() -> None:
    assert rounded(sum([Fraction(1, 3)] * 3, Fraction(0)), "GBP") == Decimal("1.00")
    assert rounded(Fraction(5, 1000), "GBP") == Decimal("0.01")


@given(st.fractions(0, 10**6), st.sampled_from(["0.01", "0.05", "0.25", "1"]))
def test_a_raised_price_is_the_next_step(amount: Fraction, step: str) -> None:
    raised = raised_to(amount, Decimal(step))
    assert (raised / Fraction(step)).denominator == 1
    assert amount <= raised < amount + Fraction(step)


def test_amounts_are_said_with_their_currency() -> None:
    assert said(Decimal("1234.5"), "GBP") == "1,234.50 GBP"
    assert said(Decimal(900), "JPY") == "900 JPY"


@pytest.mark.parametrize(
    ("price", "count", "currency", "told"),
    [
        ("14.50", 25, "GBP", "0.58 GBP"),
        ("4.20", 50, "GBP", "0.08 GBP"),
        ("14.50", 40, "GBP", "0.36 GBP"),
        ("10", 3, "EUR", "3.33 EUR"),
        ("0.25", 10, "GBP", "0.03 GBP"),  # 0.025: halves away from zero
        ("2200", 25, "JPY", "88 JPY"),
        ("1.2345", 10, "KWD", "0.123 KWD"),
    ],
)
def test_a_sheet_costs_its_share_of_the_pack_in_the_currencys_own_digits(
    price: str, count: int, currency: str, told: str
) -> None:
    pack = Pack(count=count, price=Decimal(price), currency=currency)
    assert str(price_a_sheet(pack)) == told
    assert sheet_price(pack) == Fraction(price) / count  # exact, wherever it is added up


def test_a_pack_without_a_price_has_none_a_sheet() -> None:
    assert price_a_sheet(None) is sheet_price(None) is None
    assert price_a_sheet(Pack(count=25)) is None
