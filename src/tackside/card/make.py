"""From a card design to print-ready files."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from tackside.bench.records import Printer, Stock
from tackside.bench.records.sheet_plan import Side
from tackside.card.design import Card
from tackside.card.layout import SIDES, CardFace, lay_out
from tackside.card.pdf import write_pdf
from tackside.card.raster import render
from tackside.card.remarks import remarks
from tackside.card.tiff import write_tiff
from tackside.errors import BadRequest, DoesNotFit
from tackside.fit.fit_stock import fit_stock
from tackside.fit.model import Fit
from tackside.profile import working_space_profile
from tackside.units import Box

SUFFIXES = (".pdf", ".tif", ".tiff")


@dataclass(frozen=True)
class CardSheet:
    """What was made. ``files`` maps each face to its file; a PDF holds all faces, outside first."""

    files: dict[str, Path]
    faces: tuple[CardFace, ...]
    warnings: tuple[str, ...]


def make_card(card: Card, stock: Stock, printer: Printer, out: Path | str) -> CardSheet:
    """Lay the card out and write the open sheet at true size: ``.pdf``, or ``.tif`` at the printer's grid.

    The outside is the file asked for. What stands inside becomes a second page of a PDF, or a second TIFF
    beside the first, ``NAME-inside.tif``. Nothing is written where anything is wrong with the card.
    Raises BadRequest, BadRecord, BadImage, DoesNotFit, StorageTrouble.
    """
    out = Path(out)
    suffix = out.suffix.lower()
    if suffix not in SUFFIXES:
        raise BadRequest(f"{out.name} is neither a PDF nor a TIFF", "end the name of --out in .pdf or .tif")
    fits = {side: fit_stock(stock, printer, side=side) for side in SIDES}
    _refuse_unfed(fits, stock, printer)
    faces = lay_out(card, stock, fits)
    files = _files(faces, out)
    if suffix == ".pdf":
        write_pdf(faces, printer.grid_ppi, card.space, out)
    else:
        # All faces are rendered before the first is written: a broken picture leaves no half of a card
        # behind.
        sheets = {face.name: render(face, printer.grid_ppi, card.space) for face in faces}
        for name, pixels in sheets.items():
            write_tiff(pixels, printer.grid_ppi, working_space_profile(card.space), files[name])
    found = [remark for face in faces for remark in (*face.fit.warnings, *remarks(face, printer.grid_ppi))]
    return CardSheet(files, faces, tuple(dict.fromkeys(found)))


def boxes_mm(faces: Sequence[CardFace]) -> dict[str, object]:
    """Where everything stands, as plain data: boxes are [x, y, w, h] in mm on the face as fed."""
    size = faces[0].fit.size_mm
    return {
        "sheet": [0.0, 0.0, *size],
        "panels": {
            panel.name: {
                "face": face.name,
                "trim": _plain(panel.trim),
                "printable": _plain(panel.printable),
                "turn_deg": panel.turn_deg,
            }
            for face in faces
            for panel in face.panels
        },
        "pictures": [
            {
                "panel": placed.asked.panel,
                "file": placed.asked.file,
                "face": face.name,
                "box": _plain(placed.box_mm),
                "turn_deg": placed.frame.turn_deg,
                "ppi": round(placed.ppi, 1),
            }
            for face in faces
            for placed in face.pictures
        ],
        "texts": [
            {
                "panel": text.asked.panel,
                "face": face.name,
                "box": _plain(text.box_mm),
                "turn_deg": text.frame.turn_deg,
                "lines": [line.text for line in text.lines],
            }
            for face in faces
            for text in face.texts
        ],
    }


def _plain(box: Box) -> list[float]:
    return [round(length, 4) for length in box]


def _files(faces: Sequence[CardFace], out: Path) -> dict[str, Path]:
    if out.suffix.lower() == ".pdf" or len(faces) == 1:
        return {face.name: out for face in faces}
    first, second = faces
    return {first.name: out, second.name: out.with_name(f"{out.stem}-{second.name}{out.suffix}")}


def _refuse_unfed(fits: dict[Side, Fit], stock: Stock, printer: Printer) -> None:
    fit = fits["front"]
    if fit.feed is None:
        reasons = " ".join(fit.warnings[:2]) or f"{printer.name} cannot be fed with {stock.name}"
        raise DoesNotFit(reasons.rstrip("."), "tackside fit says what would do")
