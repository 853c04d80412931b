"""Cost and price agree with sums done by hand, to the cent."""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from typing import Any

import pytest

from tackside.errors import BadRecord
from tackside.messages.message import Message
from tackside.run.money.costing import BatchSheets
from tackside.run.plan.document import document
from tackside.run.plan.run_file import Run
from tests.refusals import refused
from tests.run.invented import CRAFT, PACKS, SATIN, TERN, card, line, plan, run

# Worked by hand: 40 good sheets at 5 % spoilage: 40 ÷ 0.95 = 42.1, so 43 printed, and 3 to set up: 46 sheets.
#   card        46 × 14.50 ÷ 25                            26.68
#   ink         46 × 0.9 ml × 120.00 ÷ 100 ml              49.68
#   envelopes   40 × 6.00 ÷ 50                              4.80
#   sleeves     40 × 4.50 ÷ 100                             1.80
#   labour      (15 + 46 × 1 + 40 × 2) min × 14.00 ÷ 60    32.90
#   equipment   46 × 600.00 ÷ 6000                          4.60
#   postage     40 × 0.87                                  34.80
#   extras      12.00 for the stall + 40 × 0.05            14.00
#   in all                                                169.26; ÷ 40 = 4.2315, a card
WHOLE: dict[str, Any] = {
    "envelopes": {"count": 50, "price": "6.00", "currency": "GBP"},
    "sleeves": {"count": 100, "price": "4.50", "currency": "GBP"},
    "labour": {"rate": "14.00", "setup_minutes": 15, "minutes_per_sheet": 1, "minutes_per_card": 2},
    "equipment": {TERN: {"price": "600.00", "lifetime_sheets": 6000}},
    "postage": {"service": "letter", "price": "0.87", "dated": date(2026, 4, 7)},
    "extras": [
        {"name": "stall", "price": "12.00", "per": "run"},
        {"name": "ribbon", "price": "0.05", "per": "card"},
    ],
}


def test_a_whole_run_worked_by_hand() -> None:
    told = document(plan(run(**WHOLE)))
    assert told["parts"] == {
        "stock": "26.68",
        "ink": "49.68",
        "envelopes": "4.80",
        "sleeves": "1.80",
        "labour": "32.90",
        "equipment": "4.60",
        "postage": "34.80",
        "extras": "14.00",
    }
    assert (told["total_cost"], told["unit_cost"]) == ("169.26", "4.23")
    assert (told["sheets"], told["packs"], told["ink_ml"]) == (46, 2, 41.4)
    # Wholesale 4.2315 × 1.2 = 5.0778; retail twice that (docs/sources.md, S60).
    assert told["price"] == {"wholesale": "5.08", "retail": "10.16"}


def test_what_is_bought_and_what_is_left_over() -> None:
    (stock,) = plan(run(**WHOLE)).stocks
    assert (stock.needed, stock.packs, stock.left_over, stock.outlay) == (46, 2, 4, Decimal("29.00"))
    in_the_drawer = plan(run(**WHOLE, on_hand={SATIN: 25})).stocks[0]
    assert (in_the_drawer.packs, in_the_drawer.left_over) == (1, 4)
    enough = plan(run(**WHOLE, on_hand={SATIN: 60})).stocks[0]
    assert (enough.packs, enough.left_over, enough.outlay) == (0, 14, Decimal("0.00"))


def test_break_even_by_hand() -> None:
    # Fixed: set-up 15 + 3 min at 14.00 an hour = 4.20; 3 sheets of card 1.74, ink 3.24, wear 0.30; stall 12.00: 21.48.
    # A card: (169.26 − 21.48) ÷ 40 = 3.6945. Wholesale 5.08 leaves 1.3855: 21.48 ÷ 1.3855 = 15.5; retail 10.16: 3.3.
    assert plan(run(**WHOLE)).break_even == {"wholesale": 16, "retail": 4}
    no_profit = run(**WHOLE, pricing={"profit": 0, "retail_factor": 1, "step": "0.01"})
    assert plan(no_profit).break_even["wholesale"] == 40  # what it costs is paid back by the last card


def test_all_that_is_paid_for_by_hand() -> None:
    # Packs whole: card 2 × 14.50, envelopes 6.00, sleeves 4.50: 39.50. With ink 49.68, labour 32.90, wear 4.60, postage
    # 34.80 and extras 14.00: 175.48.
    found = plan(run(**WHOLE))
    assert found.paid == Decimal("175.48")
    assert found.paid_back == {"wholesale": 35, "retail": 18}  # 175.48 ÷ 5.08 = 34.5; ÷ 10.16 = 17.3
    # 25 sheets were in the drawer, and were paid for too: one pack of 14.50, and 25 × 0.58.
    assert plan(run(**WHOLE, on_hand={SATIN: 25})).paid == Decimal("175.48")


def test_no_quantity_helps_where_a_card_brings_less_than_it_costs() -> None:
    taxed = run(pricing={"profit": 0, "retail_factor": 1, "tax": 0.0}, extras=[])
    cheap = plan(taxed)
    assert cheap.break_even["retail"] is not None
    from tackside.records.money import Exact
    from tackside.run.money.costing import Cost
    from tackside.run.money.pricing import break_even

    assert break_even(Cost({"stock": Exact(10)}, Exact(0)), 10, Decimal("0.90")) is None


def test_two_designs_share_what_is_common_and_pay_for_their_own_ink() -> None:
    two = plan(run(card("Boats", 30, ink_ml=0.5), card("Gulls", 10, ink_ml=1.5)))
    # 46 sheets: card 26.68; ink 46 ÷ 40 × (30 × 0.5 + 10 × 1.5) ml × 1.20 = 41.40; in all 68.08.
    assert two.total == Decimal("68.08")
    boats, gulls = two.cards
    # Boats: 46 ÷ 40 × (0.58 + 0.60) = 1.357; Gulls: 46 ÷ 40 × (0.58 + 1.80) = 2.737.
    assert (boats.unit_cost, gulls.unit_cost) == (Decimal("1.36"), Decimal("2.74"))
    assert two.sheets == (BatchSheets(good=40, spoiled=3, setup=3),)


def test_only_sheets_with_a_second_face_go_through_twice() -> None:
    hands = {"rate": "60.00", "setup_minutes": 0, "minutes_per_sheet": 1, "minutes_per_card": 0}
    mixed = plan(run(card("Boats", 30), card("Gulls", 10, faces=2), labour=hands))
    # 46 sheets, a quarter of them twice: 57.5 passes at a minute, at 1.00 a minute.
    assert mixed.parts["labour"] == Decimal("57.50")
    assert mixed.labour_minutes == 57.5


def test_prices_are_raised_to_the_step_and_tax_goes_on_retail() -> None:
    told = plan(run(**WHOLE, pricing={"profit": 0.2, "retail_factor": 2, "tax": 0.2, "step": "0.25"}))
    # 5.0778 raised to 5.25; 5.25 × 2 × 1.2 = 12.60, raised to 12.75.
    assert (told.price.wholesale, told.price.retail) == (Decimal("5.25"), Decimal("12.75"))


def test_what_if_the_other_card() -> None:
    told = plan(run(instead=[CRAFT]))
    other = next(each for each in told.what_if if each.what == Message("run.if-on-stock", stock=CRAFT))
    # 46 sheets at 0.58 or at 0.12: 46 × 0.46 ÷ 40 = 0.529 less a card.
    assert other.more == Decimal("-0.53")
    dearer = next(
        each for each in told.what_if if each.what == Message("run.if-dearer", part=Message("run.part-stock"))
    )
    assert dearer.more == Decimal("0.07")  # 26.68 ÷ 40 ÷ 10 = 0.0667


def test_the_range_holds_the_likely_cost_and_widens_with_doubt() -> None:
    sure = plan(run())
    doubtful = plan(run(), doubt=0.3)
    low, high = doubtful.unit_range
    assert low < doubtful.unit_cost < high
    assert high - low > sure.unit_range[1] - sure.unit_range[0]
    # What is left of the packs is in the highest: 4 sheets at 0.58 over 40 cards.
    assert sure.unit_range[1] - sure.unit_cost == Decimal("0.06")


def test_cards_that_share_a_sheet_need_fewer_sheets() -> None:
    told = plan(run(card("Tags", 41, cards_per_sheet=4)))
    assert told.sheets[0].good == 11


def test_a_currency_without_cents_is_told_in_whole_units() -> None:
    yen = {"ml": 100, "price": "18000", "currency": "JPY"}
    pack = {"count": 25, "price": "2200", "currency": "JPY"}
    told = plan(run(currency="JPY", inks={TERN: yen}, stock_prices={SATIN: pack}))
    # 46 × 88 + 46 × 0.9 × 180 = 4048 + 7452 = 11500; ÷ 40 = 287.5, halves away from zero.
    assert (str(told.total), str(told.unit_cost)) == ("11500", "288")


@pytest.mark.parametrize(
    ("priced", "what"), [("inks", "ink"), ("envelopes", "envelopes"), ("stock_prices", "pack")]
)
def test_mixed_currencies_are_refused(priced: str, what: str) -> None:
    euro = {"count": 50, "price": "6.00", "currency": "EUR"}
    mixed: dict[str, Any] = {
        "inks": {TERN: {"ml": 100, "price": "120.00", "currency": "EUR"}},
        "envelopes": euro,
        "stock_prices": {SATIN: euro},
    }
    with pytest.raises(ValueError, match=f"run.{what}-in-another-currency"):
        run(**{priced: mixed[priced]})


def test_a_stock_in_another_currency_is_refused_with_the_fix() -> None:
    with refused(BadRecord, "money.stock-in-another-currency", currency="GBP", run_currency="EUR"):
        plan(run(currency="EUR", inks={TERN: {"ml": 100, "price": "9", "currency": "EUR"}}))


def test_missing_prices_are_refused_with_the_fix() -> None:
    from tackside.run.plan.plan import plan_run

    bare = run()
    with refused(BadRecord, "money.no-pack-price"):
        plan_run(bare, [line(each) for each in bare.cards], {SATIN: None}, {})
    with refused(BadRecord, "money.no-ink-price", printer="Tern 8"):
        plan_run(run(inks={}), [line(each) for each in bare.cards], PACKS, {})


@pytest.mark.parametrize("quantity", [0, -1, -40])
def test_zero_and_negative_quantities_are_refused(quantity: int) -> None:
    with pytest.raises(ValueError, match="greater than 0"):
        card(quantity=quantity)


def test_money_is_never_a_float() -> None:
    with pytest.raises(ValueError, match=r"run\.money-without-quotes"):
        Run.model_validate({**run().model_dump(), "labour": {"rate": 14.5}})
