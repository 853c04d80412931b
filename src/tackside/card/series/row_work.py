"""One row of a personalised run as a piece of work: plain data in and out, for any process, here or elsewhere.

What all rows share goes out once; a row's own part is its words, and its pictures by path and content, not as pixels.
"""

from __future__ import annotations

from dataclasses import asdict
from functools import lru_cache
from pathlib import Path

from tackside.card.file.design import Card, variables_in
from tackside.card.make import make_card
from tackside.card.pixels.conversion import Output
from tackside.card.pixels.resample import expect
from tackside.card.series.row_faults import ListRow, Rows, naming
from tackside.card.series.rows import in_its_column, personalised
from tackside.files.atomic import explain, sha256_of
from tackside.fit.placement.measured import MeasuredPlacement, PrintPath
from tackside.records import Printer, Stock
from tackside.tasks.workers import Plain


def asked_of_all(
    card: Card, rows: Rows, stock: Stock, printer: Printer, output: Output, path: PrintPath
) -> Plain:
    """What the rows share; ``profile`` in ``output`` stays bytes."""
    absolute = card.model_copy(update={"folder": card.folder.resolve()})
    return {
        "card": absolute.model_dump(mode="json"),
        "fonts": {font.file: _content(absolute.folder / font.file) for font in card.fonts},
        "list": {"file": rows.file, "names": list(rows.names)},
        "stock": stock.model_dump(mode="json"),
        "printer": printer.model_dump(mode="json"),
        "output": asdict(output),
        "placements": {side: each.model_dump(mode="json") for side, each in path.placements.items()},
        "half_turned": path.half_turned,
    }


def asked_of_row(row: ListRow, card: Card, file: Path) -> Plain:
    """What a row alone says: ``card`` is the card that it fills, ``file`` the one to make."""
    return {
        "row": row.number,
        "line": row.line,
        "values": row.values,
        "pictures": {part.file: _content(card.folder.resolve() / part.file) for part in card.pictures},
        "file": str(file.resolve()),
    }


def make_row(asked: Plain, common: Plain) -> Plain:
    """Make a row's card: ``files`` is the SHA-256 of each file made. Raises as ``make_card``, the row named."""
    listed = common["list"]
    row = ListRow(asked["row"], asked["line"], asked["values"])
    design = Card.model_validate(common["card"])
    expect(design.folder / part.file for part in design.pictures if not variables_in(part.file))
    with naming(listed["file"], row.number):
        (card,) = personalised(design, Rows(listed["file"], tuple(listed["names"]), (row,)))
        with in_its_column(design, row, listed["names"]):
            made = make_card(
                card,
                Stock.model_validate(common["stock"]),
                Printer.model_validate(common["printer"]),
                asked["file"],
                output=Output(**common["output"]),
                path=PrintPath(
                    {
                        side: MeasuredPlacement.model_validate(each)
                        for side, each in common["placements"].items()
                    },
                    common["half_turned"],
                ),
            )
    return {"files": {str(file): sha256_of(file) for file in made.files.values()}}


def _content(path: Path) -> str:
    """The file's hash; a picture that all rows show is read once."""
    try:
        known = path.stat()
    except OSError as error:
        raise explain(error, path, "read") from error
    return _hashed(path, known.st_mtime_ns, known.st_size)


@lru_cache(maxsize=1024)
def _hashed(path: Path, changed_ns: int, size: int) -> str:
    return sha256_of(path)
