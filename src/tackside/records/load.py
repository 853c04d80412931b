"""Records from the TOML files in which people keep them."""

from __future__ import annotations

import os

from tackside.files.toml_records import load_record
from tackside.records.printer import Printer
from tackside.records.stock import Stock


def load_stock(path: str | os.PathLike[str]) -> Stock:
    """A stock from its TOML file. Raises BadRecord."""
    return load_record(path, Stock)


def load_printer(path: str | os.PathLike[str]) -> Printer:
    """A printer from its TOML file. Raises BadRecord."""
    return load_record(path, Printer)
