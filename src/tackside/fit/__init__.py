"""What a printer can do with a stock: feed, margins, panels, fold, envelope."""

from tackside.fit.fit_stock import fit_stock
from tackside.fit.folds import FoldKind, OpenSheet, fold_of, folded_size, opened
from tackside.fit.model import Envelope, Fit, Panel
from tackside.fit.panels import creases_on, panels

__all__ = [
    "Envelope",
    "Fit",
    "FoldKind",
    "OpenSheet",
    "Panel",
    "creases_on",
    "fit_stock",
    "fold_of",
    "folded_size",
    "opened",
    "panels",
]
