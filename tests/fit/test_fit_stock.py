"""The fit of a stock on a printer: feed, reach, page size and what to mind."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.cautions import DAMP_FINGERTIP
from tackside.errors import NotFound
from tackside.fit.feeds import SAFE_MARGIN_MM
from tackside.fit.fit_stock import fit_stock
from tackside.fit.model import Fit
from tackside.records import Margins, Pack
from tackside.units import Box
from tests.fit.stocks import feed, horizontal, printer, stock, vertical


def warned(fit: Fit, *words: str) -> bool:
    """Whether one warning holds all the words."""
    return any(all(word in warning for word in words) for warning in fit.warnings)


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
    assert warned(found, "borderless", "90°")


def test_an_unknown_enlargement_is_to_be_read_off_a_test_sheet() -> None:
    found = fit_stock(stock(), printer(feed(borderless_sizes_mm=((210, 297),))))
    assert found.borderless
    assert warned(found, "enlarges", "test sheet")


def test_unknown_margins_are_taken_as_a_quarter_inch_and_said() -> None:
    # docs/sources.md, S13.
    found = fit_stock(stock(), printer(feed(margins_mm=None)))
    assert found.margins_assumed
    assert found.margins_mm.top == SAFE_MARGIN_MM == 25.4 / 4
    assert warned(found, "margins", "6.35 mm")


def test_card_over_the_caliper_limit_is_not_to_be_fed() -> None:
    found = fit_stock(stock(caliper_mm=0.7), printer())
    assert found.feed is None
    assert warned(found, "0.7 mm", "0.6 mm", "do not feed it")


def test_card_over_the_weight_limit_is_not_to_be_fed() -> None:
    found = fit_stock(stock(weight_gsm=450), printer())
    assert found.feed is None
    assert warned(found, "450 g/m²", "400 g/m²", "do not feed it")


def test_card_at_the_limits_is_taken() -> None:
    assert fit_stock(stock((329, 1000), caliper_mm=0.6, weight_gsm=400), printer()).feed == "rear"


def test_an_unknown_caliper_is_asked_for_and_never_inferred_from_the_weight() -> None:
    found = fit_stock(stock(caliper_mm=None), printer())
    assert found.feed == "rear"
    assert found.thickness_mm is None
    assert warned(found, "measure", "caliper", "cannot be told from the weight")


def test_an_unknown_caliper_limit_is_to_be_looked_up() -> None:
    assert warned(fit_stock(stock(), printer(feed(max_caliper_mm=None))), "limit", "manual")


def test_a_sheet_that_is_too_wide_is_refused_with_the_turn_that_helps() -> None:
    found = fit_stock(stock((400, 200), vertical(200)), printer())
    assert found.feed is None
    assert warned(found, "width, 400 mm", "329 mm")
    assert warned(found, "90°", "open_size_mm = [200, 400]")


def test_no_turn_is_advised_where_it_would_not_help() -> None:
    found = fit_stock(stock((400, 200), caliper_mm=0.9), printer())
    assert not warned(found, "90°")


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
    assert warned(found, "Feed cassette")
    assert not warned(found, "Feed rear")


def test_a_feed_that_is_not_there_gives_the_nearest_name() -> None:
    with pytest.raises(NotFound, match="did you mean 'rear'"):
        fit_stock(stock(), printer(), "raer")


def test_a_panel_that_the_margins_cover_is_named() -> None:
    found = fit_stock(stock((210, 297), horizontal(2)), printer())
    back = next(panel for panel in found.panels if panel.name == "back")
    assert not back.is_reached
    assert warned(found, "nothing of the back panel")


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
    assert warned(fit_stock(stock((210, 200), horizontal(100)), printer()), "one edge of A4", "not that size")


def test_a_size_nearly_standard_is_warned_of() -> None:
    assert warned(fit_stock(stock((208, 295)), printer()), "nearly, but not, A4")


def test_a_us_card_is_kept_apart_from_its_iso_namesake() -> None:
    found = fit_stock(stock((254, 178), vertical(127)), printer())
    assert found.folded_size_name == "US A7"
    assert warned(found, "US A7", "not the ISO A7 (74 × 105 mm)")
    assert found.envelope is not None
    assert found.envelope.name == "US A7"


def test_the_feed_takes_the_open_size_and_the_notes_say_so() -> None:
    found = fit_stock(stock((210, 297), horizontal(148.5)), printer())
    assert any("not the folded 210 × 148.5 mm" in note for note in found.notes)
    small = fit_stock(stock((105, 148)), printer())
    assert any("if this card folds" in note for note in small.notes)


@pytest.mark.parametrize(
    ("coated", "side", "words"),
    [
        ("unknown", "front", ("damp fingertip", str(DAMP_FINGERTIP))),
        ("none", "front", ("no inkjet coating",)),
        ("front", "back", ("not the coated side", "--side front")),
        ("back", "front", ("not the coated side", "--side back")),
    ],
)
def test_a_doubtful_surface_is_warned_of(coated: str, side: str, words: tuple[str, ...]) -> None:
    assert warned(fit_stock(stock(coated=coated), printer(), side=side), *words)  # type: ignore[arg-type]


def test_a_card_not_sold_for_inkjet_is_warned_of_with_its_price() -> None:
    cheap = stock(sold_for_inkjet=False, pack=Pack(count=50, price="4.20", currency="GBP"))
    assert warned(fit_stock(cheap, printer()), "not say that it is for inkjet", "0.08 GBP a sheet")


def test_a_card_with_nothing_doubtful_has_no_warning() -> None:
    assert fit_stock(stock((210, 297), horizontal(148.5)), printer()).warnings == ()


def test_creases_are_those_of_the_face_that_is_printed() -> None:
    found = fit_stock(stock((210, 297), vertical(90)), printer(), side="back")
    assert [crease.at_mm for crease in found.creases] == [120]
    assert [panel.name for panel in found.panels] == ["inside-left", "inside-right"]


def test_an_off_centre_crease_is_noted() -> None:
    assert any(
        "off centre" in note for note in fit_stock(stock((210, 297), horizontal(100)), printer()).notes
    )


def test_the_limits_are_always_said_to_be_the_makers() -> None:
    assert any("maker's own" in note for note in fit_stock(stock(), printer()).notes)


def test_thickness_counts_every_layer_of_the_folded_card() -> None:
    assert fit_stock(stock((210, 297), horizontal(148.5)), printer()).thickness_mm == pytest.approx(0.6)
