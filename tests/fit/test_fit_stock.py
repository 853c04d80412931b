"""The fit of a stock on a printer: feed, reach, page size and what to mind."""

from __future__ import annotations

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.cautions import DAMP_FINGERTIP
from tackside.errors import NotFound
from tackside.fit.fit_stock import SAFE_MARGIN_MM, fit_stock
from tackside.fit.full_fit import fit_in_full
from tackside.fit.model import Fit, FullFit
from tackside.messages.message import Message
from tackside.records import Margins, Pack
from tackside.units import Box
from tests import refusals
from tests.fit.stocks import feed, horizontal, printer, stock, vertical


def warned(fit: Fit, code: str, **values: object) -> bool:
    """Whether there is a warning of that code with these values among its own."""
    return any(
        each.code == code and values.items() <= each.values.items()  # all values here are hashable
        for each in fit.warnings
    )


def refused(fit: Fit, code: str, **values: object) -> bool:
    """Whether a feed refuses the card for that reason."""
    return any(
        reason.code == code and values.items() <= reason.values.items()
        for each in fit.warnings
        if each.code == "fit.feed-refuses"
        for reason in each.values["reasons"]  # type: ignore[union-attr]
    )


def noted(fit: FullFit) -> set[str]:
    return {each.code for each in fit.notes}


@given(
    st.floats(90, 330),
    st.floats(90, 490),
    st.floats(0.02, 0.98),
    st.sampled_from(["horizontal", "vertical"]),
    st.tuples(*[st.floats(0, 60)] * 4),
    st.sampled_from(["front", "back"]),
)
def test_printable_is_inside_trim_and_margins_for_any_sheet(
    width: float, height: float, share: float, direction: str, edges: tuple[float, ...], side: str
) -> None:
    crease = horizontal(share * height) if direction == "horizontal" else vertical(share * width)
    margins = Margins(top=edges[0], bottom=edges[1], left=edges[2], right=edges[3])
    taker = feed(min_size_mm=(90, 90), max_size_mm=(330, 490), margins_mm=margins)
    found = fit_stock(stock((width, height), crease), printer(taker), side=side)  # type: ignore[arg-type]
    assert found.feed == "rear"
    reach = Box(margins.left, margins.top, width - margins.left - margins.right, height - edges[0] - edges[1])
    for panel in found.panels:
        assert panel.trim.contains(panel.printable)
        assert not panel.is_reached or reach.contains(panel.printable)
        # Nothing that could be printed is given away.
        best = panel.trim.intersection(reach) if reach.w > 0 and reach.h > 0 else None
        assert (best or Box(panel.trim.x, panel.trim.y, 0, 0)) == panel.printable


def test_margins_are_kept_off_the_sheets_edges_but_not_off_the_crease() -> None:
    found = fit_stock(stock((210, 297), horizontal(148.5)), printer())
    by_name = {panel.name: panel.printable for panel in found.panels}
    assert by_name["back"] == pytest.approx((3.4, 3.0, 203.2, 145.5))
    assert by_name["front"] == pytest.approx((3.4, 148.5, 203.2, 143.5))


@pytest.mark.parametrize(
    ("size", "borderless"),
    [
        ((210, 297), True),
        ((210.4, 296.6), True),
        ((210, 297.6), False),
        ((210.6, 297), False),
        ((209.4, 297), False),
        ((297, 210), False),
    ],
)
def test_borderless_only_on_a_listed_size_as_fed(size: tuple[float, float], borderless: bool) -> None:
    listing = feed(borderless_sizes_mm=((210, 297),), borderless_enlargement_mm=2.5)
    found = fit_stock(stock(size), printer(listing))
    assert found.borderless is borderless
    assert found.enlargement_mm == (2.5 if borderless else None)
    assert (found.margins_mm == Margins()) is borderless


def test_a_size_listed_only_turned_is_said_and_not_taken_as_borderless() -> None:
    found = fit_stock(stock((297, 210)), printer(feed(borderless_sizes_mm=((210, 297),))))
    assert not found.borderless
    assert warned(found, "fit.borderless-if-turned")


def test_an_unknown_enlargement_is_to_be_read_off_a_test_sheet() -> None:
    found = fit_stock(stock(), printer(feed(borderless_sizes_mm=((210, 297),))))
    assert found.borderless
    assert warned(found, "fit.enlargement-unknown")


def test_unknown_margins_are_taken_as_a_quarter_inch_and_said() -> None:
    # docs/sources.md, S13.
    found = fit_stock(stock(), printer(feed(margins_mm=None)))
    assert found.margins_assumed
    assert found.margins_mm.top == SAFE_MARGIN_MM == 25.4 / 4
    assert warned(found, "fit.margins-unknown", safe_mm=6.35)


def test_card_over_the_caliper_limit_is_not_to_be_fed() -> None:
    found = fit_stock(stock(caliper_mm=0.7), printer())
    assert found.feed is None
    assert refused(found, "fit.too-thick", caliper_mm=0.7, limit_mm=0.6)


def test_card_over_the_weight_limit_is_not_to_be_fed() -> None:
    found = fit_stock(stock(weight_gsm=450), printer())
    assert found.feed is None
    assert refused(found, "fit.too-heavy", weight=450.0, limit=400.0)


def test_card_at_the_limits_is_taken() -> None:
    assert fit_stock(stock((329, 1000), caliper_mm=0.6, weight_gsm=400), printer()).feed == "rear"


def test_an_unknown_caliper_is_asked_for_and_never_inferred_from_the_weight() -> None:
    found = fit_in_full(stock(caliper_mm=None), printer())
    assert found.feed == "rear"
    assert found.thickness_mm is None
    assert warned(found, "fit.caliper-unknown-under-limit")


def test_an_unknown_caliper_limit_is_to_be_looked_up() -> None:
    assert warned(fit_stock(stock(), printer(feed(max_caliper_mm=None))), "fit.caliper-limit-unknown")


def test_a_sheet_that_is_too_wide_is_refused_with_the_turn_that_helps() -> None:
    found = fit_stock(stock((400, 200), vertical(200)), printer())
    assert found.feed is None
    assert refused(found, "fit.too-wide", length_mm=400.0, limit_mm=329.0)
    assert warned(found, "fit.turned-feed-takes-it", width="200", height="400")


def test_no_turn_is_advised_where_it_would_not_help() -> None:
    found = fit_stock(stock((400, 200), caliper_mm=0.9), printer())
    assert not warned(found, "fit.turned-feed-takes-it")


def test_without_a_feed_the_fit_still_has_panels_inside_a_safe_margin() -> None:
    found = fit_stock(stock((400, 200), vertical(200)), printer())
    assert not found.borderless
    assert {panel.name for panel in found.panels} == {"front", "back"}
    assert found.margins_assumed


def test_the_feed_whose_limits_allow_the_card_is_chosen() -> None:
    thin, thick = feed("cassette", max_caliper_mm=0.25), feed("rear", max_caliper_mm=1.3)
    assert fit_stock(stock(), printer(thin, thick)).feed == "rear"


def test_a_feed_with_proven_limits_goes_before_one_whose_limits_are_unknown() -> None:
    unknown = feed("cassette", max_caliper_mm=None, borderless_sizes_mm=((210, 297),))
    assert fit_stock(stock(), printer(unknown, feed())).feed == "rear"


def test_among_equal_feeds_the_borderless_one_is_chosen_then_the_first() -> None:
    plain, listing = feed("a"), feed("b", borderless_sizes_mm=((210, 297),))
    assert fit_stock(stock(), printer(plain, listing)).feed == "b"
    assert fit_stock(stock((200, 300)), printer(plain, listing)).feed == "a"


def test_a_named_feed_is_held_to_even_where_another_would_do() -> None:
    thin, thick = feed("cassette", max_caliper_mm=0.25), feed("rear")
    found = fit_stock(stock(), printer(thin, thick), "cassette")
    assert found.feed is None
    assert warned(found, "fit.feed-refuses", feed="cassette")
    assert not warned(found, "fit.feed-refuses", feed="rear")


def test_a_feed_that_is_not_there_gives_the_nearest_name() -> None:
    with refusals.refused(NotFound, "fit.no-feed", hint=Message("file.did-you-mean", near="rear")):
        fit_stock(stock(), printer(), "raer")


def test_a_panel_that_the_margins_cover_is_named() -> None:
    found = fit_stock(stock((210, 297), horizontal(2)), printer())
    back = next(panel for panel in found.panels if panel.name == "back")
    assert not back.is_reached
    assert warned(found, "fit.panel-not-reached", panel=Message("panel.back"))


@pytest.mark.parametrize(
    ("size", "custom"),
    [
        ((210, 297), None),
        ((148, 210), None),
        ((210, 200), "210 × 200 mm (8.268 × 7.874 in)"),
        ((297, 210), "297 × 210 mm (11.693 × 8.268 in)"),  # the driver's A4 stands upright
        ((176, 250), "176 × 250 mm (6.929 × 9.843 in)"),  # a driver's B5 is often the JIS one
    ],
)
def test_the_page_size_to_type_is_given_in_both_units(size: tuple[float, float], custom: str | None) -> None:
    assert fit_stock(stock(size), printer()).custom_size == custom


def test_a_size_that_shares_one_edge_with_a_standard_size_is_warned_of() -> None:
    assert warned(
        fit_stock(stock((210, 200), horizontal(100)), printer()),
        "fit.one-edge-of-a-size",
        size="A4 (210 × 297 mm)",
    )


def test_a_size_nearly_standard_is_warned_of() -> None:
    assert warned(fit_stock(stock((208, 295)), printer()), "fit.nearly-a-size", size="A4 (210 × 297 mm)")


def test_a_us_card_is_kept_apart_from_its_iso_namesake() -> None:
    found = fit_in_full(stock((254, 178), vertical(127)), printer())
    assert found.folded_size_name == "US A7"
    assert warned(found, "fit.not-the-iso-size", name="US A7", iso="A7 (74 × 105 mm)")
    assert found.envelope is not None
    assert found.envelope.name == "US A7"


def test_the_feed_takes_the_open_size_and_the_notes_say_so() -> None:
    found = fit_in_full(stock((210, 297), horizontal(148.5)), printer())
    assert any(
        each.value("folded_mm") == (210.0, 148.5) for each in found.notes if each.code == "fit.page-size-open"
    )
    small = fit_in_full(stock((105, 148)), printer())
    assert "fit.page-size-unless-it-folds" in noted(small)


@pytest.mark.parametrize(
    ("coated", "side", "code"),
    [
        ("unknown", "front", "fit.coated-side-unknown"),
        ("none", "front", "fit.not-coated"),
        ("front", "back", "fit.back-not-coated"),
        ("back", "front", "fit.front-not-coated"),
    ],
)
def test_a_doubtful_surface_is_warned_of(coated: str, side: str, code: str) -> None:
    assert warned(fit_stock(stock(coated=coated), printer(), side=side), code)  # type: ignore[arg-type]


def test_who_looks_for_the_coated_side_is_told_where() -> None:
    said = [str(each) for each in fit_stock(stock(coated="unknown"), printer()).warnings]
    assert any(str(DAMP_FINGERTIP) in each for each in said)


def test_a_card_not_sold_for_inkjet_is_warned_of_with_its_price() -> None:
    cheap = stock(sold_for_inkjet=False, pack=Pack(count=50, price="4.20", currency="GBP"))
    assert warned(
        fit_stock(cheap, printer()), "fit.not-for-inkjet-and-cheap", price=Decimal("0.08"), currency="GBP"
    )


def test_a_card_with_nothing_doubtful_has_no_warning() -> None:
    assert fit_stock(stock((210, 297), horizontal(148.5)), printer()).warnings == ()


def test_creases_are_those_of_the_face_that_is_printed() -> None:
    found = fit_stock(stock((210, 297), vertical(90)), printer(), side="back")
    assert [crease.at_mm for crease in found.creases] == [120]
    assert [panel.name for panel in found.panels] == ["inside-left", "inside-right"]


def test_an_off_centre_crease_is_noted() -> None:
    assert "fit.crease-off-centre" in noted(fit_in_full(stock((210, 297), horizontal(100)), printer()))
    assert "fit.crease-off-centre" not in noted(fit_in_full(stock((210, 297), horizontal(148.5)), printer()))


def test_the_limits_are_always_said_to_be_the_makers() -> None:
    assert "fit.feeding" in noted(fit_in_full(stock(), printer()))


def test_thickness_counts_every_layer_of_the_folded_card() -> None:
    assert fit_in_full(stock((210, 297), horizontal(148.5)), printer()).thickness_mm == pytest.approx(0.6)
