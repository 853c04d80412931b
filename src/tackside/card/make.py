"""From a card design to print-ready files."""

from __future__ import annotations

import contextlib
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import pyvips

from tackside.card.checks.remarks import of_fit, on_faces, remarks, stock_side
from tackside.card.file.design import Card
from tackside.card.layout.layout import CardFace, lay_out
from tackside.card.pdf.document import save_pdf
from tackside.card.pixels.conversion import Output, OutputColour, output_colour, sharpening_for
from tackside.card.pixels.jpeg import EDGE_PX, save_jpeg
from tackside.card.pixels.raster import DrawnPart, render
from tackside.card.pixels.tiff import save_tiff
from tackside.card.type.fonts import Fonts
from tackside.errors import BadImage, BadRequest, StorageTrouble
from tackside.files.atomic import atomic_path, require_free
from tackside.fit.fit_stock import fit_stock
from tackside.fit.fold.panels import outside_of, with_outside
from tackside.fit.model import Fit
from tackside.fit.placement.measured import UNKNOWN_PATH, PrintPath
from tackside.fit.refusal import refused
from tackside.messages.message import Message
from tackside.records import Margins, Printer, Stock
from tackside.records.sheet_plan import Side

SUFFIXES = (".pdf", ".tif", ".tiff", ".jpg", ".jpeg")


AS_THE_CARD_SAYS = Output()


@dataclass(frozen=True)
class CardSheet:
    """What was made. ``files`` maps each face to its file; a PDF holds all faces, outside first.

    ``path`` is what was known of the way into the printer, by the card's own sides, and is corrected for;
    ``outside_on`` the face of the stock that its outside lies on.
    """

    files: dict[str, Path]
    faces: tuple[CardFace, ...]
    warnings: tuple[Message, ...]
    path: PrintPath = UNKNOWN_PATH
    outside_on: Side = "front"

    @property
    def printed_on(self) -> dict[str, Side]:
        """The face of the stock that each face of the card is printed on."""
        return {face.name: stock_side(face, self.outside_on) for face in self.faces}


@dataclass(frozen=True)
class LaidOut:
    """A card laid out for a printer, before anything is drawn.

    ``outside_on`` is the face of the stock that its outside lies on, ``path`` the way into the printer, by the card's
    own sides.
    """

    faces: tuple[CardFace, ...]
    colour: OutputColour
    warnings: tuple[Message, ...]
    outside_on: Side = "front"
    path: PrintPath = UNKNOWN_PATH


def make_card(
    card: Card,
    stock: Stock,
    printer: Printer,
    out: Path | str,
    *,
    output: Output = AS_THE_CARD_SAYS,
    path: PrintPath = UNKNOWN_PATH,
    force: bool = True,
) -> CardSheet:
    """Lay the card out and write the open sheet at true size: ``.pdf``, or ``.tif`` or ``.jpg`` at the printer's grid.

    The outside is the file asked for. What stands inside becomes a second page of a PDF, or a second image
    beside the first, ``NAME-inside.tif``. Nothing is written where anything is wrong with the card: all files are
    finished before the first takes its name, and none over a picture of the card, nor, without ``force``, over anything
    that is there already. Raises BadRequest, BadRecord, BadImage, BadProfile, DoesNotFit,
    StorageTrouble.
    """
    out = Path(out)
    refuse_other_kinds(out)
    laid = lay_out_for(card, stock, printer, output=output, path=path)
    files = files_of(laid.faces, out)
    require_free(*files.values(), force=force, inputs=(card.folder / each.file for each in card.pictures))
    _write(laid, stock, printer, files, output)
    return CardSheet(files, laid.faces, laid.warnings, laid.path, laid.outside_on)


def lay_out_for(
    card: Card,
    stock: Stock,
    printer: Printer,
    *,
    output: Output = AS_THE_CARD_SAYS,
    path: PrintPath = UNKNOWN_PATH,
    fonts: Fonts | None = None,
    drawn: bool = False,
) -> LaidOut:
    """The card's faces on this printer, with what its maker should know. Raises as ``make_card``.

    ``path`` is by the stock's sides. ``fonts`` and ``drawn`` are as for ``lay_out``.
    """
    outside = card.outside_on or outside_of(stock)
    stock, path = as_card_sees(stock, path, outside)
    fits = fits_for(stock, printer, path)
    if fits["front"].feed is None:
        raise refused(fits["front"])
    faces = lay_out(card, stock, fits, fonts, drawn=drawn)
    pictures = [placed.picture for face in faces for placed in face.pictures]
    colour = output_colour(output, card.space, pictures)
    found = [
        remark
        for face in faces
        for remark in (
            *of_fit(face.fit),
            *remarks(face, printer.grid_ppi, path.residual_mm(face.side)),
        )
    ]
    found += on_faces(faces, stock, outside, path)
    return LaidOut(faces, colour, tuple(dict.fromkeys(found)), outside, path)


def as_card_sees(stock: Stock, path: PrintPath, outside: Side) -> tuple[Stock, PrintPath]:
    """Stock and way into the printer with the card's outside as their front."""
    return with_outside(stock, outside), path if outside == "front" else path.turned_over()


def fits_for(stock: Stock, printer: Printer, path: PrintPath) -> dict[Side, Fit]:
    """What the printer can do with each side of the sheet, "front" being the card's outside."""
    inside = _half_turned(printer) if path.half_turned else printer
    return {
        "front": fit_stock(stock, printer, side="front", outside="front"),
        "back": fit_stock(stock, inside, side="back", outside="front"),
    }


def _write(laid: LaidOut, stock: Stock, printer: Printer, files: dict[str, Path], output: Output) -> None:
    """All files of a card, or none. Raises BadImage, StorageTrouble."""
    sharpening, ppi = sharpening_for(stock, output), printer.grid_ppi
    corrections = {face.side: laid.path.correction(face.side, face.fit.size_mm) for face in laid.faces}
    targets = list(dict.fromkeys(files.values()))
    try:
        with contextlib.ExitStack() as stack:
            # Renamed when the stack unwinds, and only if every one of them was written.
            temporary = {target: stack.enter_context(atomic_path(target)) for target in targets}
            if targets[0].suffix.lower() == ".pdf":
                save_pdf(
                    laid.faces,
                    ppi,
                    laid.colour,
                    temporary[targets[0]],
                    sharpening=sharpening,
                    corrections=corrections,
                    jpeg_quality=output.pdf_quality,
                )
                return
            for face in laid.faces:
                sheet = render(
                    face, ppi, laid.colour, sharpening=sharpening, correction=corrections[face.side]
                )
                _save_image(sheet, laid.colour.profile, temporary[files[face.name]], output)
    except pyvips.Error as error:
        refuse_broken_pictures(laid.faces)
        raise StorageTrouble("card.not-written", file=str(targets[0])) from error


def _save_image(sheet: DrawnPart, profile: bytes, path: Path, output: Output) -> None:
    if path.suffix.lower() in (".tif", ".tiff"):
        save_tiff(sheet.image, profile, path)
        return
    if max(sheet.image.width, sheet.image.height) > EDGE_PX:
        raise BadRequest("card.too-large-for-jpeg")
    save_jpeg(sheet, profile, path, output.quality)


def refuse_broken_pictures(faces: Sequence[CardFace]) -> None:
    """Find out which picture it was. Raises BadImage; returns where all of them can be read to their end."""
    for face in faces:
        for placed in face.pictures:
            try:
                placed.picture.stream().avg()
            except pyvips.Error as error:
                raise BadImage(
                    "picture.breaks-off", place=placed.part, file=str(placed.picture.path)
                ) from error


def refuse_other_kinds(out: Path) -> None:
    """Raise BadRequest where the name of a file says that it is none of those that a card is written as."""
    if out.suffix.lower() not in SUFFIXES:
        raise BadRequest("card.unknown-kind-of-file", file=out.name)


def files_of(faces: Sequence[CardFace], out: Path) -> dict[str, Path]:
    """The file of each face: a PDF holds all of them, an image one."""
    if out.suffix.lower() == ".pdf" or len(faces) == 1:
        return {face.name: out for face in faces}
    first, second = faces
    return {first.name: out, second.name: out.with_name(f"{out.stem}-{second.name}{out.suffix}")}


def _half_turned(printer: Printer) -> Printer:
    """The printer as a sheet sees it that goes in the other end first."""
    feeds = tuple(
        feed.model_copy(update={"margins_mm": _opposite(feed.margins_mm)}) if feed.margins_mm else feed
        for feed in printer.feeds
    )
    return printer.model_copy(update={"feeds": feeds})


def _opposite(margins: Margins) -> Margins:
    return Margins(top=margins.bottom, bottom=margins.top, left=margins.right, right=margins.left)
