"""A PDF that a scanner made, taken apart: the one picture of each page, at the size that the page gives it.

A JPEG stays as it is, byte for byte of its picture, so that what it lost in packing can still be told; only its
statements of size and of colours become the page's. All else that packs without loss becomes a TIFF.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from dataclasses import dataclass
from math import hypot
from pathlib import Path
from typing import BinaryIO

import pikepdf

from tackside.errors import BadImage, BadScan, TacksideError
from tackside.files.image import MOST_HELD_BYTES
from tackside.files.outside import SCAN
from tackside.files.pdf import unpacking_at_most
from tackside.reading.document.painted import PaintedImage, painted_on, require_no_lzw
from tackside.reading.document.picture import picture_of
from tackside.reading.scan.image_file import require_size
from tackside.units import MM_PER_INCH, MM_PER_POINT

# What qpdf mends in a file on the way is nothing to a person: what it can't is an error.
logging.getLogger("pikepdf").addHandler(logging.NullHandler())

# More than anybody feeds at once; a book of drawings is refused before its pages are looked at.
MOST_PAGES = 200
# Of all that is packed in a PDF but its pictures: lists of objects, content, profiles.
_MOST_UNPACKED_BYTES = 16_000_000
# A picture as large as is read, and what its rows say of themselves.
_MOST_PICTURE_BYTES = MOST_HELD_BYTES * 11 // 10
# Scanners scan at whole resolutions: 100, 150, 200, 300, 400, 600, 1200 ppi. A page that gives another was scaled.
_STEP_PPI = 25
# Pages are often stated to whole points: half a point on either side leaves the resolution so unsure.
_ROUNDED_PT = 0.5


@dataclass(frozen=True)
class ScannedPage:
    """The picture of page ``number`` (from 1) as a file's bytes, or why there is none.

    ``suffix``: ``.jpg`` or ``.tif``.
    """

    number: int
    data: bytes = b""
    suffix: str = ""
    fault: TacksideError | None = None


def scanned_pages(path: Path, name: str) -> Iterator[ScannedPage]:
    """Each page of the PDF, called ``name`` in what is said of it. A page that is no scan carries its fault.

    Raises BadImage where the file cannot be opened, and where it has too many pages.
    """
    try:
        with SCAN.open(path) as stream, _opened(stream) as document:
            with unpacking_at_most(_MOST_UNPACKED_BYTES):
                count = len(document.pages)
            if count > MOST_PAGES:
                raise BadImage("scan.pdf-too-many-pages", file=name, count=count, most=MOST_PAGES)
            if not count:
                raise BadImage("scan.pdf-damaged", file=name)
            for number in range(1, count + 1):
                try:
                    yield _page(document.pages[number - 1], name, number)
                except TacksideError as error:
                    yield ScannedPage(number, fault=error)
    except pikepdf.PasswordError as error:
        raise BadImage("scan.pdf-locked", file=name) from error
    except (
        pikepdf.PdfError,
        OSError,
        IndexError,
        RuntimeError,
    ) as error:  # pages that its list promises and has not
        raise BadImage("scan.pdf-damaged", file=name) from error


def _opened(stream: BinaryIO) -> pikepdf.Pdf:
    with unpacking_at_most(_MOST_UNPACKED_BYTES):
        return pikepdf.open(stream)


def _page(page: pikepdf.Page, name: str, number: int) -> ScannedPage:
    try:
        with unpacking_at_most(_MOST_UNPACKED_BYTES):
            painted = painted_on(page)
    except (pikepdf.PdfError, ValueError, TypeError, RuntimeError) as error:  # RuntimeError: qpdf's limits
        raise BadImage("scan.pdf-page-damaged", file=name, page=number) from error
    if painted.draws:
        raise BadScan("scan.pdf-drawn", file=name, page=number)
    if not painted.images:
        raise BadScan("scan.pdf-empty-page", file=name, page=number)
    if len(painted.images) > 1:
        raise BadScan("scan.pdf-several-images", file=name, page=number, count=len(painted.images))
    (image,) = painted.images
    if not _is_upright(image):
        raise BadScan("scan.pdf-flipped", file=name, page=number)
    if "/SMask" in image.image or "/Mask" in image.image:  # a second picture, laid over the first
        raise BadScan("scan.pdf-several-images", file=name, page=number, count=2)
    try:
        size_px = int(image.image.Width), int(image.image.Height)
        require_size(*size_px, name, bits=16 if int(image.image.get("/BitsPerComponent", 8)) > 8 else 8)
        require_no_lzw(image.image)
        with unpacking_at_most(_MOST_PICTURE_BYTES):
            data, suffix = picture_of(image.image, name, number, _ppi(page, image, size_px))
    except (pikepdf.PdfError, AttributeError, ValueError, TypeError, RuntimeError) as error:
        raise BadImage("scan.pdf-page-damaged", file=name, page=number) from error
    return ScannedPage(number, data, suffix)


def _is_upright(image: PaintedImage) -> bool:
    """Whether it is laid on the page as it is stored, turned at most: not as in a mirror."""
    at = image.matrix
    return at.a * at.d - at.b * at.c > 0


def _ppi(page: pikepdf.Page, image: PaintedImage, size_px: tuple[int, int]) -> int | None:
    """The resolution that the page gives its picture, where that is a scanner's; None where it is not."""
    at, unit = image.matrix, float(page.obj.get("/UserUnit", 1))
    sides_pt = hypot(at.a, at.b) * unit, hypot(at.c, at.d) * unit
    if not all(0 < side < 1e6 for side in sides_pt):
        return None
    found = [
        pixels / (side * MM_PER_POINT) * MM_PER_INCH for pixels, side in zip(size_px, sides_pt, strict=True)
    ]
    whole = _STEP_PPI * round(sum(found) / 2 / _STEP_PPI)
    fits = all(
        abs(ppi - whole) <= whole * (_ROUNDED_PT / side + 1e-4)
        for ppi, side in zip(found, sides_pt, strict=True)
    )
    return whole if whole and fits else None
