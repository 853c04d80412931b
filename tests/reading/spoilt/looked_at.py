"""One located scan of the virtual press, and what is told of it with other pixels in its place."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tackside.press.printer.stock_model import cotton_etching
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.scanner.scanning import scan
from tackside.reading.scan.colours import Sampled, is_inside, sample_boxes
from tackside.reading.scan.locate import Located, locate
from tackside.reading.spoilt.examine import examine, refuse_what_is_no_scan
from tackside.reading.spoilt.told import Told
from tackside.records import Patch
from tests.reading.scan import prints, scans

Pixels = NDArray[Any]
FLATBED = ScannerModel(ppi=300, space="srgb", bits=8, compression="none", noise=0.004)


@cache
def located(bits: int = 8, grainy: bool = False) -> Located:
    """The scan as the scanner saves it, marks found; of a card whose even areas are ``grainy``, or of one whose are
    not.
    """
    flatbed = replace(FLATBED, bits=bits)  # type: ignore[arg-type]
    stock = cotton_etching() if grainy else None
    pixels = np.asarray(scan(prints.printed(stock=stock), flatbed).image)
    with TemporaryDirectory() as folder:
        return locate(scans.save(pixels, Path(folder) / "scan.tif"), prints.planned(), prints.TRIAL)


def with_pixels(pixels: Pixels, bits: int = 8, grainy: bool = False) -> Located:
    """The same with other pixels: what is done to them moves no mark."""
    one = located(bits, grainy)
    return replace(one, scan=replace(one.scan, pixels=pixels))


def sampled(one: Located) -> tuple[list[Patch], Sampled]:
    patches = [patch for patch in one.plan.patches if is_inside(one.scan.pixels, one.sheet.map, patch.box_mm)]
    return patches, sample_boxes(one.scan, one.sheet.map, [patch.box_mm for patch in patches])


def told_of(pixels: Pixels, bits: int = 8, grainy: bool = False) -> dict[str, Told]:
    """What is told, by its code. Raises BadScan as reading does."""
    one = with_pixels(pixels, bits, grainy)
    patches, seen = sampled(one)
    refuse_what_is_no_scan(one.scan, patches, seen)
    return {each.message.code: each for each in examine(one.scan, one.sheet, patches, seen, 0.0)}
