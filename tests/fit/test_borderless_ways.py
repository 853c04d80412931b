"""What must change to print to the edge, the least change first."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from tackside.cautions import BLADES
from tackside.fit.borderless import BLEED_MM
from tackside.fit.full_fit import fit_in_full
from tackside.fit.model import BorderlessWay
from tackside.messages.message import Message
from tackside.records import Printer, Stock
from tests.fit.stocks import feed, horizontal, printer, stock, vertical


def ways(card: Stock, machine: Printer, feed: str | None = None) -> dict[str, BorderlessWay]:
    return {way.kind: way for way in fit_in_full(card, machine, feed).borderless_ways}


def test_a_card_that_prints_to_the_edge_needs_no_change() -> None:
    assert ways(stock(), printer(feed(borderless_sizes_mm=((210, 297),)))) == {}


def test_turning_comes_first_where_the_turned_size_is_listed_and_fits() -> None:
    found = ways(stock((297, 210), vertical(148.5)), printer(feed(borderless_sizes_mm=((210, 297),))))
    assert next(iter(found)) == "turn"
    assert list(found["turn"].size_mm) == [210, 297]
    too_long = feed(borderless_sizes_mm=((210, 297),), max_size_mm=(329, 250))
    assert "turn" not in ways(stock((297, 210)), printer(too_long))


def test_another_feed_that_lists_the_size_is_named_unless_it_refuses_the_card() -> None:
    rear, tray = feed("rear"), feed("tray", borderless_sizes_mm=((210, 297),))
    assert ways(stock(), printer(rear, tray), feed="rear")["other-feed"].feed == "tray"
    thin = feed("tray", borderless_sizes_mm=((210, 297),), max_caliper_mm=0.2)
    assert "other-feed" not in ways(stock(), printer(rear, thin), feed="rear")


def test_the_listed_size_nearest_to_the_card_is_named() -> None:
    lists = feed(borderless_sizes_mm=((102, 152), (210, 297), (329, 483)))
    found = ways(stock((200, 290), horizontal(145)), printer(lists))
    assert list(found["other-size"].size_mm) == [210, 297]
    assert found["other-size"].sentence.value("size") == Message(
        "fit.size-named", size_mm=(210.0, 297.0), name="A4"
    )


def test_card_too_stout_for_a_feed_is_not_sent_there_by_its_list() -> None:
    thin = feed("tray", borderless_sizes_mm=((210, 297),), max_caliper_mm=0.2)
    assert "other-size" not in ways(stock((200, 290)), printer(feed("rear"), thin))


def test_printing_larger_and_trimming_names_the_smallest_sheet_with_a_name() -> None:
    # 148 × 210 and 3 mm of bleed all round need 160.8 × 224 mm within margins of 3, 5, 3.4 and 3.4: B5 is the smallest.
    found = ways(stock((148, 210), horizontal(105)), printer())["trim"]
    assert list(found.size_mm) == [176, 250]
    assert found.sentence.value("bleed_mm") == 3
    assert found.sentence.value("caution") == BLADES


@given(st.floats(90, 320), st.floats(130, 480))
def test_a_sheet_to_trim_holds_card_bleed_and_margins_and_can_be_fed(width: float, height: float) -> None:
    machine = printer()
    way = ways(stock((width, height)), machine).get("trim")
    fed, margins = machine.feeds[0], machine.feeds[0].margins_mm
    assert margins is not None
    least = (
        width + 2 * BLEED_MM + margins.left + margins.right,
        height + 2 * BLEED_MM + margins.top + margins.bottom,
    )
    if way is None:
        assert least[0] > fed.max_size_mm[0]
        return
    for length, needed, most in zip(way.size_mm, least, fed.max_size_mm, strict=True):
        assert needed - 0.55 <= length <= most + 0.55


def test_a_card_that_no_feed_takes_has_other_troubles() -> None:
    assert ways(stock(caliper_mm=0.9), printer()) == {}
