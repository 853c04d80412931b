"""Warnings about the fold itself: card too stout for it, and flaps that do not lie flat."""

from __future__ import annotations

from tackside.bench.records import Stock
from tackside.fit.folds import TUCK_MM, fold_of, grid_of

# Four layers fold flat only of thin stuff (common practice): about writing paper, at most a light card.
QUARTER_MOST_GSM = 170.0
QUARTER_MOST_MM = 0.22


def on_fold(stock: Stock) -> list[str]:
    """What is wrong with the card for the way that it folds, and the mend."""
    kind = fold_of(stock.open_size_mm, stock.creases)
    if kind == "quarter":
        return _on_quarter(stock)
    if kind == "roll":
        return _on_roll(stock)
    return []


def _on_quarter(stock: Stock) -> list[str]:
    heavy = stock.weight_gsm is not None and stock.weight_gsm > QUARTER_MOST_GSM
    thick = stock.caliper_mm is not None and stock.caliper_mm > QUARTER_MOST_MM
    if not heavy and not thick:
        return []
    has = f"{stock.weight_gsm:g} g/m²" if heavy else f"{stock.caliper_mm:g} mm"
    return [
        f"A quarter fold wants a thin sheet, up to about {QUARTER_MOST_GSM:g} g/m² or {QUARTER_MOST_MM:g} mm: "
        f"with {has} the folds spring open and crack. Take a lighter sheet, or a card of half the size with one crease."
    ]


def _on_roll(stock: Stock) -> list[str]:
    columns, rows = grid_of(stock.open_size_mm, stock.creases)
    flap, middle, front = (length for _, length in (columns if len(columns) == 3 else rows))
    most = min(middle, front)
    if flap < most:
        return []
    return [
        f"The flap is {flap:.4g} mm and lies inside panels of {most:.4g} mm: it will buckle at the fold. Make it "
        f"{most - TUCK_MM:.4g} mm or less, or let the first crease fold out for an accordion."
    ]
