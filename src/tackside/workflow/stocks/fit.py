"""What a printer can do with a stock, by the postal limits that the bench has."""

from __future__ import annotations

from tackside.bench.store import Bench
from tackside.fit.full_fit import fit_in_full
from tackside.fit.mail.post_file import limits_for
from tackside.fit.model import FullFit
from tackside.records import Trial
from tackside.records.sheet_plan import Side


def fit(bench: Bench, stock: str, printer: str, feed: str | None = None, side: Side | None = None) -> FullFit:
    """The fit by names, in the feed that is named or in the best one: of the card's outside, unless a side is named.

    Raises NotFound, BadRecord.

    >>> found = fit(bench, "Fulmar Etching 310", "Tern 8")
    >>> found.feed, found.size_name, found.thickness_mm
    ('rear', 'A4', 1.04)
    """
    limits = limits_for(bench.folder)
    return fit_in_full(bench.stocks.get(stock), bench.printers.get(printer), feed, side, limits)


def fit_of_trial(bench: Bench, trial: Trial) -> FullFit:
    """How a trial's sheet was to be fed: by the revisions of stock and printer that it was made with. Raises
    NotFound.
    """
    card = bench.stocks.get(trial.stock, trial.stock_revision)
    printer = bench.printers.get(trial.printer, trial.printer_revision)
    return fit_in_full(card, printer, trial.feed or None, trial.side, limits_for(bench.folder))
