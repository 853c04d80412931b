"""Which way round the sheet goes in, in words."""

from __future__ import annotations

from tackside.fit.full_fit import fit_in_full
from tackside.fit.model import FullFit
from tackside.messages.message import Message
from tests.fit.stocks import horizontal, printer, stock, vertical


def test_the_edge_the_face_and_the_panel_that_goes_in_first_are_named() -> None:
    top = fit_in_full(stock((210, 297), horizontal(148.5)), printer())
    assert str(top.way_round) == (
        "Feed the sheet with a 210 mm edge first and its outside as the printed face; back goes in first."
    )
    side = fit_in_full(stock((254, 178), vertical(127)), printer(), side="back")
    assert side.way_round.code == "fit.fed-panels-first"
    assert side.way_round.value("face") == Message("fit.face-inside")
    assert side.way_round.value("panels") == (Message("panel.inside-left"), Message("panel.inside-right"))
    flat = fit_in_full(stock((105, 148)), printer())
    assert str(flat.way_round) == "Feed the sheet with a 105 mm edge first and its front as the printed face."


def turned(fit: FullFit) -> list[object]:
    """What is said of contents that are turned on the open sheet."""
    return [turn for each in fit.notes if each.code == "fit.contents-turned" for turn in each.values["turns"]]  # type: ignore[union-attr]


def test_what_stands_upside_down_on_the_open_sheet_is_said() -> None:
    top = fit_in_full(stock((210, 297), horizontal(148.5)), printer())
    assert turned(top) == [Message("fit.contents-upside-down", panels=[Message("panel.back")])]
    quarter = fit_in_full(stock((200, 280), vertical(100), horizontal(140)), printer())
    inside = [Message("panel.inside-right"), Message("panel.inside-left")]
    assert turned(quarter) == [Message("fit.contents-upside-down", panels=inside)]
    side = fit_in_full(stock((254, 178), vertical(127)), printer())
    assert turned(side) == []
