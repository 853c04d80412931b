"""Warnings about the fold itself: card too stout for it, and flaps that do not lie flat."""

from __future__ import annotations

from tackside.fit.fold.folds import TUCK_MM, fold_of, grid_of
from tackside.messages.message import Message
from tackside.records import Stock

# Four layers fold flat only of thin stuff (docs/sources.md, S9): about writing paper, at most a light card.
QUARTER_MOST_GSM = 170.0
QUARTER_MOST_MM = 0.22


def on_fold(stock: Stock) -> list[Message]:
    """What is wrong with the card for the way that it folds, and the mend."""
    kind = fold_of(stock.open_size_mm, stock.creases)
    if kind == "quarter":
        return _on_quarter(stock)
    if kind == "roll":
        return _on_roll(stock)
    return []


def _on_quarter(stock: Stock) -> list[Message]:
    heavy = stock.weight_gsm is not None and stock.weight_gsm > QUARTER_MOST_GSM
    thick = stock.caliper_mm is not None and stock.caliper_mm > QUARTER_MOST_MM
    if not heavy and not thick:
        return []
    has = (
        Message("fit.weight", weight=stock.weight_gsm)
        if stock.weight_gsm is not None and heavy
        else Message("fit.caliper", caliper_mm=stock.caliper_mm or 0.0)
    )
    return [
        Message(
            "fit.too-stout-for-a-quarter-fold", weight=QUARTER_MOST_GSM, caliper_mm=QUARTER_MOST_MM, has=has
        )
    ]


def _on_roll(stock: Stock) -> list[Message]:
    columns, rows = grid_of(stock.open_size_mm, stock.creases)
    flap, middle, front = (length for _, length in (columns if len(columns) == 3 else rows))
    most = min(middle, front)
    if flap < most:
        return []
    return [
        Message(
            "fit.flap-buckles",
            flap_mm=_rounded(flap),
            inside_mm=_rounded(most),
            most_mm=_rounded(most - TUCK_MM),
        )
    ]


def _rounded(mm: float) -> float:
    """To four digits."""
    return float(f"{mm:.4g}")
