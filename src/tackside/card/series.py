"""A personalised run: one card, made once for each row of a list."""

from __future__ import annotations

import contextlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from tackside.bench.records import Printer, Stock
from tackside.card.batch import made_together
from tackside.card.design import Card
from tackside.card.make import AS_THE_CARD_SAYS, UNKNOWN_PATH, CardSheet, PrintPath, lay_out_for, make_card
from tackside.card.output import Output
from tackside.card.rows import Row, Rows, personalised
from tackside.errors import TacksideError


@dataclass(frozen=True)
class RowSheet:
    """What was made of a row."""

    row: Row
    sheet: CardSheet


def make_series(
    card: Card,
    rows: Rows,
    stock: Stock,
    printer: Printer,
    out: Path,
    *,
    output: Output = AS_THE_CARD_SAYS,
    path: PrintPath = UNKNOWN_PATH,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> tuple[RowSheet, ...]:
    """Make ``NAME-001.pdf``, ``NAME-002.pdf`` … beside ``out``, a file a row.

    All rows are laid out before the first is written, so that a name too long for its place is told at once.
    ``tell`` hears how many are done, of how many. Raises what ``make_card`` does, the row named.
    """
    pairs = list(zip(rows.rows, personalised(card, rows), strict=True))
    for row, each in pairs:
        with _naming(rows, row):
            lay_out_for(each, stock, printer, output=output, path=path)
    width = max(3, len(str(len(pairs))))

    def one(row: Row, each: Card) -> CardSheet:
        file = out.with_name(f"{out.stem}-{row.number:0{width}d}{out.suffix}")
        with _naming(rows, row):
            return make_card(each, stock, printer, file, output=output, path=path)

    made: list[RowSheet] = []
    for (row, _), sheet in zip(pairs, made_together(partial(one, *pair) for pair in pairs), strict=True):
        made.append(RowSheet(row, sheet))
        tell(len(made), len(pairs))
    return tuple(made)


@contextlib.contextmanager
def _naming(rows: Rows, row: Row) -> Iterator[None]:
    """Errors say which row they come from."""
    try:
        yield
    except TacksideError as error:
        raise type(error)(f"{rows.file}, row {row.number}: {error.what}", error.mend) from error
