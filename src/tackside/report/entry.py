"""What the report is made from: one entry a trial."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.records import Printer, Reading, Stock, Trial, Verdict


@dataclass(frozen=True)
class Entry:
    """A trial with the stock and printer as they were that day, what was read and what was concluded."""

    trial: Trial
    stock: Stock
    printer: Printer
    reading: Reading
    verdict: Verdict
