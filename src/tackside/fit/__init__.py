"""What a printer can do with a stock: feed, margins, panels, fold, envelope."""

from tackside.fit.fit_stock import fit_stock
from tackside.fit.model import Envelope, Fit, Panel
from tackside.fit.panels import creases_on, folded_size, panels, turn_of

__all__ = ["Envelope", "Fit", "Panel", "creases_on", "fit_stock", "folded_size", "panels", "turn_of"]
