"""What a printer can do with a stock, by the postal limits that the bench has."""

from __future__ import annotations

from tackside.bench.store import Bench
from tackside.fit.fit_stock import fit_stock
from tackside.fit.mail.post_file import limits_for
from tackside.fit.model import Fit
from tackside.records.sheet_plan import Side


def fit(bench: Bench, stock: str, printer: str, feed: str | None = None, side: Side = "front") -> Fit:
    """The fit by names, in the feed that is named or in the best one. Raises NotFound, BadRecord."""
    limits = limits_for(bench.folder)
    return fit_stock(bench.stocks.get(stock), bench.printers.get(printer), feed, side, limits)
