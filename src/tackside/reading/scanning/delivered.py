"""What a scanner really gave, told by the file itself: its words count for nothing where the two disagree."""

from __future__ import annotations

import contextlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import pyvips

from tackside.errors import BadImage, BadScan, ScannerTrouble, TacksideError
from tackside.files.image import image_in
from tackside.files.outside import SCAN, suffix_of
from tackside.messages.message import Message
from tackside.reading.document.pages import scanned_pages
from tackside.reading.scan.image_file import most_pixels, stated_ppi
from tackside.reading.scanning.wish import COARSEST_PPI, ScanAsked
from tackside.units import MM_PER_INCH

_FORMATS = {".tif": "image/tiff", ".png": "image/png", ".jpg": "image/jpeg", ".pdf": "application/pdf"}
NAMES = {"image/tiff": "TIFF", "image/png": "PNG", "image/jpeg": "JPEG", "application/pdf": "PDF"}
# Scanners round their areas to whole steps of their motor.
_SAME = 0.02


@dataclass(frozen=True)
class Delivered:
    """``ppi`` None where the file does not say; ``format`` as a media type. ``remarks``: where it is not what was asked
    for."""

    suffix: str
    format: str
    width_px: int
    height_px: int
    bits: int
    ppi: float | None
    remarks: tuple[Message, ...]


def delivered(file: Path, asked: ScanAsked, scanner: str) -> Delivered:
    """Look into a file that just came. Raises ScannerTrouble where it is no whole colour scan, or where its resolution
    and its size contradict each other, so that lengths would be read wrong."""
    suffix = suffix_of(file)
    if suffix not in _FORMATS:
        raise ScannerTrouble("scanning.no-picture-file", scanner=scanner)
    width, height, bits, ppi = _of_pdf(file, scanner) if suffix == ".pdf" else _header(file, scanner)
    form = _FORMATS[suffix]
    remarks = [*_of_size(width, height, ppi, asked, scanner)]
    if asked.for_less:
        remarks.append(Message("scanning.asked-for-less"))
    if bits < asked.bits:
        remarks.append(Message("scanning.fewer-bits", bits=bits, asked=asked.bits))
    if form == "image/jpeg":
        remarks.append(Message("scanning.jpeg-only" if asked.format == form else "scanning.jpeg-instead"))
    return Delivered(suffix, form, width, height, bits, ppi, tuple(remarks))


def _of_size(width: int, height: int, ppi: float | None, asked: ScanAsked, scanner: str) -> list[Message]:
    across, along = (
        pixels / side * MM_PER_INCH for pixels, side in zip((width, height), asked.area_mm, strict=True)
    )
    has_shape = abs(across / along - 1) <= _SAME
    # What the area that was asked for says of the resolution, where it is that area.
    by_size = (across + along) / 2 if has_shape else None
    real = ppi or by_size
    if real is not None and real < COARSEST_PPI * (1 - _SAME):
        raise ScannerTrouble("scanning.came-too-coarse", scanner=scanner, ppi=round(real), asked=asked.ppi)
    if ppi is None:
        return [Message("scanning.no-resolution")]
    is_whole_glass = all(
        abs(pixels / ppi * MM_PER_INCH / side - 1) <= _SAME
        for pixels, side in zip((width, height), asked.glass_mm, strict=True)
    )
    if by_size is not None and not is_whole_glass and abs(by_size / ppi - 1) > _SAME:
        raise ScannerTrouble(
            "scanning.contradicts", scanner=scanner, says=round(ppi), shows=round(by_size), asked=asked.ppi
        )
    remarks = []
    if abs(ppi / asked.ppi - 1) > _SAME:
        remarks.append(Message("scanning.other-ppi", ppi=round(ppi), asked=asked.ppi))
    if by_size is None or (is_whole_glass and abs(by_size / ppi - 1) > _SAME):
        size = tuple(round(pixels / ppi * MM_PER_INCH) for pixels in (width, height))
        remarks.append(
            Message(
                "scanning.other-size", width=size[0], height=size[1],
                asked_width=round(asked.area_mm[0]), asked_height=round(asked.area_mm[1]),
            )
        )  # fmt: skip
    return remarks


def _header(file: Path, scanner: str) -> tuple[int, int, int, float | None]:
    """Width, height, bits a channel, ppi; every line of the picture is looked at, so that one cut short is seen."""
    try:
        image = image_in(file, SCAN, access="sequential", fail_on="truncated")
        if image.width * image.height > most_pixels(16 if image.format == "ushort" else 8):
            raise ScannerTrouble("scanning.endless", scanner=scanner)
        if image.bands < 3:
            raise ScannerTrouble("scanning.came-grey", scanner=scanner)
        image.avg()
        return image.width, image.height, _bits(image, file), stated_ppi(image, file)
    except pyvips.Error as error:
        raise ScannerTrouble("scanning.cut-short", scanner=scanner) from error
    except (BadImage, BadScan) as error:
        raise ScannerTrouble("scanning.no-picture-file", scanner=scanner) from error


def _bits(image: pyvips.Image, file: Path) -> int:
    """Bits a channel: 8 where 16 are written that repeat the upper eight, or say nothing in the lower."""
    if image.format != "ushort":
        return 8
    middle = image_in(file, SCAN, access="sequential").crop(
        0, image.height // 2, image.width, min(64, image.height - image.height // 2)
    )
    numbers = np.asarray(middle.numpy())
    low, high = numbers & 255, numbers >> 8
    return 8 if bool((low == high).all() or (low == 0).all()) else 16


def _of_pdf(file: Path, scanner: str) -> tuple[int, int, int, float | None]:
    inside = file.with_name(f"{file.name}.page")
    try:
        pages = list(scanned_pages(file, "PDF"))
        if len(pages) != 1 or pages[0].fault is not None:
            raise ScannerTrouble("scanning.odd-pdf", scanner=scanner)
        inside.write_bytes(pages[0].data)
        return _header(inside, scanner)
    except ScannerTrouble:
        raise
    except TacksideError as error:
        raise ScannerTrouble("scanning.cut-short", scanner=scanner) from error
    finally:
        with contextlib.suppress(OSError):
            inside.unlink(missing_ok=True)
