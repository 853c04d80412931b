"""A personalised run: one card, made once for each row of a list, on all cores or on a cluster."""

from __future__ import annotations

import json
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from tackside.card.file.design import Card
from tackside.card.make import AS_THE_CARD_SAYS, CardSheet, files_of, refuse_other_kinds
from tackside.card.pixels.conversion import Output
from tackside.card.pixels.resample import expect
from tackside.card.series.lay_rows import lay_rows, row_stem
from tackside.card.series.row_faults import ListRow, Rows
from tackside.card.series.row_work import asked_of_all, asked_of_row, make_row
from tackside.errors import StorageTrouble
from tackside.files.atomic import require_free, sha256_of
from tackside.fit.placement.measured import UNKNOWN_PATH, PrintPath
from tackside.records import Printer, Stock
from tackside.tasks.parallel import spread
from tackside.tasks.workers import Plain

# So many are soon made by threads of this process: other processes would take longer to start.
FEW = 16


@dataclass(frozen=True)
class RowSheet:
    """What was made of a row; ``name`` is what the row is called."""

    row: ListRow
    sheet: CardSheet
    name: str = ""


def make_series(
    card: Card,
    rows: Rows,
    stock: Stock,
    printer: Printer,
    out: Path,
    *,
    output: Output = AS_THE_CARD_SAYS,
    path: PrintPath = UNKNOWN_PATH,
    named_by: str | None = None,
    force: bool = True,
    workers: int | None = None,
    cluster: str | None = None,
    finished: Path | None = None,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> tuple[RowSheet, ...]:
    """Make ``NAME-001-ANN.pdf``, ``NAME-002-BOB.pdf`` … beside ``out``, a file a row, named after what the row says in
    the column ``named_by``, by default the first that the card's words show.

    All rows are laid out before the first is written, so that all that are at fault are refused at once.
    ``workers``, ``cluster``, ``finished`` and ``tell`` are as for ``tasks.parallel.spread``; a file that is there as it
    was made from the same row, pictures and fonts is not made again. Without ``force`` nothing is written over but what
    was made so earlier and has not changed since. Workers of a cluster must reach the card's folder and that of ``out``
    under the same paths as this process. Raises what ``make_card`` does, the rows named, and BadRequest.
    """
    refuse_other_kinds(out)
    sheets: list[RowSheet] = []
    items: list[Plain] = []
    for each in lay_rows(card, rows, stock, printer, output=output, path=path, named_by=named_by):
        stem = row_stem(out.stem, each.row.number, len(rows.rows), each.name)
        file = out.with_name(f"{stem}{out.suffix}")
        faces, warnings = each.laid.faces, each.laid.warnings
        sheets.append(
            RowSheet(
                each.row,
                CardSheet(files_of(faces, file), faces, warnings, each.laid.path, each.laid.outside_on),
                each.name,
            )
        )
        items.append(asked_of_row(each.row, each.card, file))
    _refuse_strangers([file for each in sheets for file in each.sheet.files.values()], finished, force=force)
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


def _refuse_strangers(files: list[Path], finished: Path | None, *, force: bool) -> None:
    """Raise BadRequest for a file that is there and was not made by an earlier call, or was changed since."""
    there = [each for each in files if each.is_file()]
    if force or not there:
        return
    made: set[tuple[str, str]] = set()
    for kept in finished.glob("*.json") if finished is not None else ():
        with suppress(OSError, ValueError, KeyError, AttributeError):  # damaged: as if it were not there
            made |= set(json.loads(kept.read_bytes())["files"].items())
    require_free(*(each for each in there if (str(each.resolve()), sha256_of(each)) not in made), force=False)


def _is_there(result: Plain) -> bool:
    """Whether the files of a row are there as they were made."""
    return all(Path(file).is_file() and sha256_of(file) == sha256 for file, sha256 in result["files"].items())


def _refuse_elsewhere(result: Plain, sheet: RowSheet) -> None:
    for file in result["files"]:
        if not Path(file).is_file():
            raise StorageTrouble("card-rows.not-here", row=sheet.row.number, file=file)
