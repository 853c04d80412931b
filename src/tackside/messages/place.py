"""A place in a record: which field, which row."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Place:
    """Where in a record something stands: the kind of record, and its fields and rows from the outside in.

    ``Place("stock", ("open_size_mm", 0))`` is the width of a stock's open size. Rows count from 0.
    """

    kind: str
    path: tuple[str | int, ...]
