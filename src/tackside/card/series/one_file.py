"""The cards of all rows in one PDF: a page a face, named after the row, and what they share in it once."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from types import MappingProxyType

import pyvips

from tackside.card.file.design import Card
from tackside.card.make import AS_THE_CARD_SAYS, CardSheet, refuse_broken_pictures
from tackside.card.pdf.document import PdfPage, save_pages
from tackside.card.pixels.conversion import Output, sharpening_for
from tackside.card.series.lay_rows import LaidRow, lay_rows
from tackside.card.series.row_faults import Rows, naming
from tackside.card.series.rows import in_its_column
from tackside.card.series.series import RowSheet
from tackside.errors import BadRequest, StorageTrouble
from tackside.files.atomic import atomic_path, require_free
from tackside.fit.placement.measured import UNKNOWN_PATH, PrintPath
from tackside.records import Printer, Stock

TITLES: Mapping[str, str] = MappingProxyType({"outside": "Outside", "inside": "Inside", "back": "Back"})


def make_one_file(
    card: Card,
    rows: Rows,
    stock: Stock,
    printer: Printer,
    out: Path,
    *,
    output: Output = AS_THE_CARD_SAYS,
    path: PrintPath = UNKNOWN_PATH,
    named_by: str | None = None,
    faces_apart: bool = False,
    titles: Mapping[str, str] = TITLES,
    force: bool = True,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> tuple[RowSheet, ...]:
    """Write the cards of all rows into one PDF, ``out``, its pages labelled and bookmarked by number and name.

    Card by card, or with ``faces_apart`` all first faces, then all second ones, as they go through a printer that does
    not turn sheets itself. ``titles`` say what faces are called there. A picture or font that several cards show is in
    the file once. ``named_by`` is as for ``make_series``; ``tell`` hears how many pages are done. Raises what
    ``make_card`` does, the rows named.
    """
    if out.suffix.lower() != ".pdf":
        raise BadRequest("card-rows.one-file-not-pdf", file=out.name)
    require_free(
        out, force=force, inputs=(Path(rows.file), *(card.folder / each.file for each in card.pictures))
    )
    laid = lay_rows(card, rows, stock, printer, output=output, path=path, named_by=named_by)
    pages = _pages(laid, titles, faces_apart=faces_apart)
    try:
        with atomic_path(out) as temporary:
            save_pages(
                pages,
                printer.grid_ppi,
                laid[0].laid.colour,
                temporary,
                sharpening=sharpening_for(stock, output),
                jpeg_quality=output.pdf_quality,
                tell=tell,
            )
    except pyvips.Error as error:
        for each in laid:
            with naming(rows.file, each.row.number), in_its_column(card, each.row, rows.names):
                refuse_broken_pictures(each.laid.faces)
        raise StorageTrouble("card.not-written", file=str(out)) from error
    return tuple(
        RowSheet(
            each.row,
            CardSheet(
                {face.name: out for face in each.laid.faces},
                each.laid.faces,
                each.laid.warnings,
                each.laid.path,
                each.laid.outside_on,
            ),
            each.name,
        )
        for each in laid
    )


def _pages(laid: Sequence[LaidRow], titles: Mapping[str, str], *, faces_apart: bool) -> list[PdfPage]:
    found: list[tuple[int, int, PdfPage]] = []
    two = any(len(each.laid.faces) > 1 for each in laid)
    for place, each in enumerate(laid):
        for face in each.laid.faces:
            title = titles.get(face.name, face.name)
            page = PdfPage(
                face,
                each.laid.path.correction(face.side, face.fit.size_mm),
                label=f"{each.title}, {title.lower()}" if two else each.title,
                chapter=title if faces_apart and two else each.title,
                title=each.title if faces_apart and two else title,
            )
            found.append((int(face.side != "front"), place, page))
    if faces_apart:
        found.sort(key=lambda each: each[:2])
    return [page for _, _, page in found]
