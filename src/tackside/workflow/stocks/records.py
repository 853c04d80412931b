"""Keep stocks and printers from a person's files."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Generic, TypeVar

from tackside.bench.repositories.revisions import Added
from tackside.bench.store import Bench
from tackside.errors import TacksideError
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


AnyRecord = TypeVar("AnyRecord", Stock, Printer)


@dataclass(frozen=True)
class AddedMany(Generic[AnyRecord]):
    """``added``: each record kept, and as which revision. ``faults``: the files that were not kept, and why."""

    added: tuple[tuple[AnyRecord, Added], ...]
    faults: tuple[tuple[Path, TacksideError], ...]


def add_many(
    add: Callable[[Callable[[], Bench], Path], tuple[AnyRecord, Added]],
    bench: Callable[[], Bench],
    files: Sequence[Path],
) -> AddedMany[AnyRecord]:
    """Keep each of several files with ``add``; one that does not hold together does not keep the others out."""
    added: list[tuple[AnyRecord, Added]] = []
    faults: list[tuple[Path, TacksideError]] = []
    for file in files:
        try:
            added.append(add(bench, file))
        except TacksideError as error:
            faults.append((file, error))
    return AddedMany(tuple(added), tuple(faults))


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
