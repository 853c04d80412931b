"""How much full tone one sheet of a card takes: the card made small, then counted by the ink model."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tackside.card.file.design import Card
from tackside.card.make import lay_out_for, make_card
from tackside.fit.fit_stock import fit_stock
from tackside.fit.fold.panels import outside_of
from tackside.fit.model import Fit
from tackside.fit.placement.measured import UNKNOWN_PATH, PrintPath
from tackside.messages.message import Message
from tackside.records import Printer, Stock
from tackside.run.ink.ink import MetColours, full_tones_m2
from tackside.run.ink.kept_tones import KeptTones
from tackside.units import mm_to_px

# Fine enough for the mean of a picture, coarse enough to be made in a moment.
COUNTING_PPI = 72.0


@dataclass(frozen=True)
class Coverage:
    """``tones_m2``: full tone of one sheet, all inks and faces added, m². ``faces``: how many are printed."""

    tones_m2: float
    faces: int
    warnings: tuple[Message, ...]


def coverage_of(
    card: Card,
    stock: Stock,
    printer: Printer,
    *,
    path: PrintPath = UNKNOWN_PATH,
    known: KeptTones | None = None,
    met: MetColours | None = None,
) -> Coverage:
    """The coverage of a card as it is printed: cut by the margins, or enlarged past the edges where borderless.

    ``path`` is what is known of the way into the printer, for the warnings; ``known`` what was counted before, and
    ``met`` what the colours of other cards in the same working space take. Raises what ``card.make.make_card`` raises.
    """
    laid = lay_out_for(card, stock, printer, path=path)
    tones = None if known is None else known.find(card, stock, printer)
    if tones is None:
        tones = _counted(card, stock, printer, met or MetColours(card.space))
        if known is not None:
            known.keep(card, stock, printer, tones)
    return Coverage(tones, len(laid.faces), laid.warnings)


def _counted(card: Card, stock: Stock, printer: Printer, met: MetColours) -> float:
    """Full tone of one sheet, all faces, in m²."""
    coarse = printer.model_copy(update={"grid_ppi": COUNTING_PPI})
    fit = fit_stock(stock, printer, side=card.outside_on or outside_of(stock))
    with tempfile.TemporaryDirectory(prefix="tackside-") as folder:
        made = make_card(card, stock, coarse, Path(folder) / "card.tif")
        faces = [_pixels(file) for file in made.files.values()]
    tones = sum(full_tones_m2(_printed(pixels, fit), COUNTING_PPI, met) for pixels in faces)
    return tones * _enlarged(fit)


def _pixels(file: Path) -> NDArray[np.uint8]:
    from PIL import Image

    with Image.open(file) as image:
        return np.asarray(image.convert("RGB"))


def _printed(pixels: NDArray[np.uint8], fit: Fit) -> NDArray[np.uint8]:
    margins = fit.margins_mm
    left, top, right, bottom = (
        round(mm_to_px(edge, COUNTING_PPI))
        for edge in (margins.left, margins.top, margins.right, margins.bottom)
    )
    return pixels[top : pixels.shape[0] - bottom, left : pixels.shape[1] - right]


def _enlarged(fit: Fit) -> float:
    """The area that a borderless print covers, over the sheet's own."""
    grow = 2 * (fit.enlargement_mm or 0.0)
    width, height = fit.size_mm
    return (width + grow) * (height + grow) / (width * height)
