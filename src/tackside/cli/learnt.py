"""A learnt scanner on the inks and the surface of one trial."""

from __future__ import annotations

from tackside.bench.store import Bench
from tackside.reading.scanners.use import ScannerUse
from tackside.records import Trial
from tackside.records.scanner import Scanner


def scanner_use(bench: Bench, scanner: Scanner, trial: Trial) -> ScannerUse:
    """The scanner on the inks and the surface of a trial."""
    stock = bench.stocks.get(trial.stock, trial.stock_revision)
    return ScannerUse(scanner, inks=trial.printer, surface=stock.surface or stock.base, stock=trial.stock)
