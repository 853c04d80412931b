"""Keep stocks and printers from a person's files."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from tackside.bench.repositories.revisions import Added
from tackside.bench.store import Bench
from tackside.records import Printer, Stock
from tackside.records.load import load_printer, load_stock
from tackside.typed.doubts import doubts_of_printer, doubts_of_stock
from tackside.workflow.stocks.describe import DescribedPrinter, DescribedStock


def stock_of(file: Path) -> DescribedStock:
    """What a stock's TOML file describes, and what in it may be a slip; nothing is kept. Raises BadRecord."""
    stock = load_stock(file)
    return DescribedStock(stock, doubts_of_stock(stock))


def printer_of(file: Path) -> DescribedPrinter:
    """The same of a printer."""
    printer = load_printer(file)
    return DescribedPrinter(printer, doubts_of_printer(printer))


def add_stock(bench: Callable[[], Bench], file: Path) -> tuple[Stock, Added]:
    """Keep a stock from its TOML file; the same content again is nothing new.

    The bench is opened, or begun, once the file holds together. Raises BadRecord, StorageTrouble.
    """
    stock = load_stock(file)
    return stock, bench().stocks.add(stock, file)


def add_printer(bench: Callable[[], Bench], file: Path) -> tuple[Printer, Added]:
    """Keep a printer, as a stock is kept."""
    printer = load_printer(file)
    return printer, bench().printers.add(printer, file)
