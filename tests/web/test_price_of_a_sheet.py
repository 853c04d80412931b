"""A sheet costs the same wherever its price is told: 14.50 for 40 is 0.3625, 0.36 in whole pence."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from tackside.cli.commands.stocks.stock import _pack
from tackside.fit.fit_stock import fit_stock
from tackside.picture.choose.candidates import WantedCard, candidates
from tackside.records import Pack
from tackside.report import facts
from tackside.report.pages.cards_table import HEADINGS, card_rows
from tackside.report.pages.short import short_view
from tackside.report.pages.summary import for_photographs
from tackside.report.ranking import groups_of
from tackside.web.i18n.preferences import person_of
from tackside.web.views.facts import stock_facts
from tests.report.invented import NOON, entry
from tests.run.invented import SATIN, plan, run

PACK = Pack(count=40, price=Decimal("14.50"), currency="GBP")
ONE = replace(
    entry(), stock=entry().stock.model_copy(update={"pack": PACK, "sold_for_inkjet": False, "creases": ()})
)


def test_the_warning_of_a_cheap_card_and_its_page_say_the_same() -> None:
    (warned,) = (
        each
        for each in fit_stock(ONE.stock, ONE.printer).warnings
        if each.code == "fit.not-for-inkjet-and-cheap"
    )
    assert (warned.value("price"), warned.value("currency")) == (Decimal("0.36"), "GBP")
    assert _pack(PACK) == "40 sheets for 14.50 GBP, 0.36 GBP a sheet"
    in_english, in_german = (person_of({}, language) for language in ("en-GB", "de"))
    assert "0.36 GBP" in dict(stock_facts(ONE.stock, in_english)).values()
    assert "0,36\u00a0£" in dict(stock_facts(ONE.stock, in_german)).values()


def test_a_report_says_it_in_every_place() -> None:
    assert {fact.name: fact.value for fact in facts.card(ONE)}["Price a sheet"] == "0.36 GBP"
    (group,) = groups_of([ONE])
    (row,) = card_rows(group.ranked, {ONE.trial.id: "trial-1"})
    assert dict(zip(HEADINGS[2:], row.cells, strict=True))["Price a card"] == "0.36 GBP"
    assert "0.36 GBP" in {fact.value for fact in short_view(ONE, NOON).card}
    assert " at 0.36 GBP a card." in for_photographs(group)[0]


def test_a_limit_of_price_is_held_against_what_is_told() -> None:
    def left_out(most: str) -> list[str]:
        stocks, printers = {ONE.trial.stock: ONE.stock}, {ONE.trial.printer: ONE.printer}
        wanted = WantedCard(max_price=Decimal(most))
        _, left = candidates([(ONE.trial, ONE.reading)], stocks, printers, wanted)
        return [str(each.why) for each in left]

    assert left_out("0.36") == []
    (why,) = left_out("0.35")
    assert "0.36 GBP" in why


def test_a_run_adds_up_the_exact_price() -> None:
    told = plan(run(stock_prices={SATIN: PACK.model_dump()}))
    # 46 sheets at 0.3625 are 16.675, and no multiple of 0.36.
    assert told.parts["stock"] == Decimal("16.68")
    assert 46 * Fraction("14.50") / 40 == Fraction("16.675")
