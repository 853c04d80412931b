"""Which way round the sheet goes in, in words."""

from __future__ import annotations

from tackside.fit.fit_stock import fit_stock
from tests.fit.stocks import horizontal, printer, stock, vertical


def test_the_edge_the_face_and_the_panel_that_goes_in_first_are_named() -> None:
    top = fit_stock(stock((210, 297), horizontal(148.5)), printer())
    assert top.way_round == (
        "Feed the sheet with a 210 mm edge first and its outside as the printed face; back goes in first."
    )
    side = fit_stock(stock((254, 178), vertical(127)), printer(), side="back")
    assert "its inside as the printed face" in side.way_round
    assert "from left to right inside-left and inside-right go in first" in side.way_round
    flat = fit_stock(stock((105, 148)), printer())
    assert flat.way_round == "Feed the sheet with a 105 mm edge first and its front as the printed face."


def test_what_stands_upside_down_on_the_open_sheet_is_said() -> None:
    top = fit_stock(stock((210, 297), horizontal(148.5)), printer())
    assert any("upside down on back" in note for note in top.notes)
    quarter = fit_stock(stock((200, 280), vertical(100), horizontal(140)), printer())
    assert any("upside down on inside-right and inside-left" in note for note in quarter.notes)
    side = fit_stock(stock((254, 178), vertical(127)), printer())
    assert not any("upside down" in note for note in side.notes)
