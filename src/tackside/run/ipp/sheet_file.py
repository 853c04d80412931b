"""One face of a card as the file that goes to the printer: a PDF, else PWG Raster, else a JPEG."""

from __future__ import annotations

import io
import tempfile
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

import numpy as np

from tackside.card.file.design import Card
from tackside.card.make import CardSheet, make_card
from tackside.errors import BadRequest, DoesNotFit
from tackside.fit.placement.measured import UNKNOWN_PATH, PrintPath
from tackside.records import Printer, Stock
from tackside.run.ipp import pwg_raster
from tackside.run.ipp.capabilities import Capabilities
from tackside.units import mm_to_px

PDF = "application/pdf"
JPEG = "image/jpeg"


def kind_for(told: Capabilities, cards: Sequence[Card | Callable[[Path], None]], printer: str) -> str:
    """The MIME type to send these cards as: PDF, else PWG Raster, else JPEG. Raises DoesNotFit where the printer takes
    none of them; a test sheet goes as a PDF alone.

    A JPEG goes only where the printer can be asked not to scale; numbers of a wide space only where it says that it
    reads the profile in the file.
    """
    if PDF in told.formats:
        return PDF
    designs = [card for card in cards if isinstance(card, Card)]
    if len(designs) < len(cards):
        raise DoesNotFit("ipp.sheet-needs-pdf", printer=printer)
    spaces = {card.space for card in designs}
    wanted = {pwg_raster.TYPES[space] for space in spaces}
    if pwg_raster.KIND in told.formats and told.raster_ppi and wanted <= set(told.raster_types):
        return pwg_raster.KIND
    unscaled = "none" in told.scalings and "print-scaling" in (told.job_attributes or ("print-scaling",))
    if JPEG in told.formats and unscaled and (spaces <= {"srgb"} or "icc" in told.jpeg_features):
        return JPEG
    raise DoesNotFit("ipp.no-format-taken", printer=printer)


@contextmanager
def drawn_file(draw: Callable[[Path], None]) -> Iterator[Path]:
    """A sheet that draws itself, as a PDF that is gone afterwards."""
    with tempfile.TemporaryDirectory(prefix="tackside-") as folder:
        out = Path(folder) / "sheet.pdf"
        draw(out)
        yield out


@contextmanager
def sheet_file(
    card: Card,
    name: str,
    stock: Stock,
    printer: Printer,
    *,
    kind: str,
    face: int,
    told: Capabilities,
    media_type: str | None,
    quality: int,
    path: PrintPath = UNKNOWN_PATH,
) -> Iterator[Path]:
    """The face numbered ``face`` (0 the first) at true size, in a file that is gone afterwards; corrected by ``path``
    for where this printer's prints fall.

    Raises BadRequest where the card has no such face, and what ``card.make.make_card`` raises.
    """
    with tempfile.TemporaryDirectory(prefix="tackside-") as folder:
        if kind == PDF:
            out = Path(folder) / "card.pdf"
            made = make_card(card, stock, printer, out, path=path)
            _refuse_missing(made, face, name)
            if len(made.files) > 1:
                _keep_page(out, face)
            yield out
            return
        if kind == JPEG:
            yield _as_jpeg(card, name, stock, printer, told, face, Path(folder), path)
            return
        ppi = _raster_ppi(told, printer)
        at_its_ppi = printer.model_copy(update={"grid_ppi": ppi})
        made = make_card(card, stock, at_its_ppi, Path(folder) / "card.tif", path=path)
        _refuse_missing(made, face, name)
        page = pwg_raster.Page(round(ppi), stock.open_size_mm, card.space, quality, media_type or "")
        out = Path(folder) / "card.pwg"
        with out.open("wb") as file:
            file.writelines(pwg_raster.pwg_raster(_pixels(list(made.files.values())[face]), page))
        yield out


def _as_jpeg(
    card: Card,
    name: str,
    stock: Stock,
    printer: Printer,
    told: Capabilities,
    face: int,
    folder: Path,
    path: PrintPath,
) -> Path:
    """At the finest resolution whose pixels the printer takes. Raises DoesNotFit where none will do."""
    size = stock.open_size_mm
    asked = [ppi for ppi in told.ppi if ppi <= printer.grid_ppi] or [printer.grid_ppi]
    fitting = [ppi for ppi in asked if told.jpeg_px is None or _within(size, ppi, told.jpeg_px)]
    if not fitting:
        raise DoesNotFit("ipp.jpeg-too-many-pixels", card=name, printer=printer.name)
    coarse = printer.model_copy(update={"grid_ppi": max(fitting)})
    made = make_card(card, stock, coarse, folder / "card.jpg", path=path)
    _refuse_missing(made, face, name)
    file = list(made.files.values())[face]
    if told.jpeg_bytes is not None and file.stat().st_size > told.jpeg_bytes:
        most_kb = told.jpeg_bytes // 1024
        raise DoesNotFit("ipp.jpeg-too-large", card=name, most_kb=most_kb, printer=printer.name)
    return file


def _within(size_mm: tuple[float, float], ppi: float, most_px: tuple[int, int]) -> bool:
    return all(round(mm_to_px(edge, ppi)) <= most for edge, most in zip(size_mm, most_px, strict=True))


def _raster_ppi(told: Capabilities, printer: Printer) -> float:
    """The finest raster that the printer takes, up to its own grid."""
    fitting = [ppi for ppi in told.raster_ppi if ppi <= printer.grid_ppi]
    return max(fitting, default=min(told.raster_ppi))


def _pixels(file: Path) -> np.ndarray[tuple[int, ...], np.dtype[np.uint8]]:
    from PIL import Image

    with Image.open(file) as image:
        return np.asarray(image.convert("RGB"))


def _refuse_missing(made: CardSheet, face: int, name: str) -> None:
    if face >= len(made.files):
        raise BadRequest("ipp.no-such-face", card=name, faces=len(made.files))


def _keep_page(file: Path, page: int) -> None:
    import pikepdf

    from tackside.files.pdf import save_patiently

    with pikepdf.open(io.BytesIO(file.read_bytes())) as pdf:
        for number in reversed(range(len(pdf.pages))):
            if number != page:
                del pdf.pages[number]
        save_patiently(pdf, file, deterministic_id=True)
