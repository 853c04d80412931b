"""A personalised run: one card, made once for each row of a list, on all cores or on a cluster."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tackside.card.file.design import Card
from tackside.card.make import (
    AS_THE_CARD_SAYS,
    CardSheet,
    files_of,
    lay_out_for,
    refuse_other_kinds,
)
from tackside.card.pixels.conversion import Output
from tackside.card.pixels.shared_ground import expect
from tackside.card.series.row_work import asked_of_all, asked_of_row, make_row
from tackside.card.series.rows import ListRow, Rows, naming, personalised
from tackside.errors import StorageTrouble
from tackside.files.atomic import sha256_of
from tackside.fit.placement.measured import UNKNOWN_PATH, PrintPath
from tackside.records import Printer, Stock
from tackside.tasks.parallel import spread
from tackside.tasks.workers import Plain

# So many are soon made by threads of this process: other processes would take longer to start.
FEW = 16


@dataclass(frozen=True)
class RowSheet:
    """What was made of a row."""

    row: ListRow
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
    workers: int | None = None,
    cluster: str | None = None,
    finished: Path | None = None,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> tuple[RowSheet, ...]:
    """Make ``NAME-001.pdf``, ``NAME-002.pdf`` … beside ``out``, a file a row.

    All rows are laid out before the first is written, so that a name too long for its place is refused at once.
    ``workers``, ``cluster``, ``finished`` and ``tell`` are as for ``tasks.parallel.spread``; a file that is there as it
    was made from the same row, pictures and fonts is not made again. Workers of a cluster must reach the card's folder
    and that of ``out`` under the same paths as this process. Raises what ``make_card`` does, the row named.
    """
    refuse_other_kinds(out)
    width = max(3, len(str(len(rows.rows))))
    sheets: list[RowSheet] = []
    items: list[Plain] = []
    for row, each in zip(rows.rows, personalised(card, rows), strict=True):
        file = out.with_name(f"{out.stem}-{row.number:0{width}d}{out.suffix}")
        with naming(rows.file, row.number):
            laid = lay_out_for(each, stock, printer, output=output, path=path)
        sheets.append(RowSheet(row, CardSheet(files_of(laid.faces, file), laid.faces, laid.warnings, path)))
        items.append(asked_of_row(row, each, file))
    made = spread(
        make_row,
        items,
        common=asked_of_all(card, rows, stock, printer, output, path),
        workers=workers,
        cluster=cluster,
        few=FEW if workers is None else 0,
        finished=finished,
        holds=_is_there,
        tell=tell,
    )
    try:
        for result, sheet in zip(made, sheets, strict=True):
            _refuse_elsewhere(result, sheet)
    finally:
        expect(())  # threads of this process may have kept pictures
    return tuple(sheets)


def _is_there(result: Plain) -> bool:
    """Whether the files of a row are there as they were made."""
    return all(Path(file).is_file() and sha256_of(file) == sha256 for file, sha256 in result["files"].items())


def _refuse_elsewhere(result: Plain, sheet: RowSheet) -> None:
    for file in result["files"]:
        if not Path(file).is_file():
            raise StorageTrouble("card-rows.not-here", row=sheet.row.number, file=file)
