"""Sharpening for the print: ink spreads in the card, so edges are raised a little before it does.

An unsharp mask: the picture plus a share of its difference from a Gaussian blur of itself. Its width is set in mm
on the print, so that it is the same whatever the grid and whatever the picture's resolution.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import pyvips

from tackside.card.output import Output, Surface
from tackside.records import Stock
from tackside.units import mm_to_px

# A blur narrower than this in pixels is hardly one: there is nothing to take a difference from.
NARROWEST_PX = 0.6


@dataclass(frozen=True)
class Sharpening:
    """``sigma_mm`` of the Gaussian on the print; ``amount`` is the share of the difference that is added."""

    sigma_mm: float
    amount: float


# Common practice, no source (docs/sources.md, S23): the radius in pixels is a two hundredth of the ppi (25.4 ÷ 200 =
# 0.127 mm), less on smooth surfaces and more, with a stronger hand, where ink spreads among fibres.
SHARPENING: dict[Surface, Sharpening] = {
    "semi-gloss": Sharpening(0.10, 0.5),
    "matt": Sharpening(0.127, 0.8),
    "cotton": Sharpening(0.15, 1.0),
}


def sharpening_for(stock: Stock, output: Output) -> Sharpening | None:
    """What suits the surface; None where it is not wanted."""
    if not output.sharpen:
        return None
    return SHARPENING[output.surface or surface_of(stock)]


def surface_of(stock: Stock) -> Surface:
    """Which of the three surfaces a stock is nearest to, by its base and what its pack says."""
    said = f"{stock.base} {stock.surface}".casefold()
    if any(word in said for word in ("cotton", "rag", "etching", "texture", "watercolour")):
        return "cotton"
    if any(word in said for word in ("matt", "plain", "uncoated", "craft")):
        return "matt"
    return "semi-gloss"


def sharpened(image: pyvips.Image, ppi: float, how: Sharpening) -> pyvips.Image:
    """An image of 8 or 16 bits, ``ppi`` of its pixels an inch of print, with its edges raised.

    It is read into memory. Flat colour stays what it was, to the number. Raises pyvips.Error.
    """
    pixels = image.numpy()
    sigma = mm_to_px(how.sigma_mm, ppi)
    blurred = cv2.GaussianBlur(pixels, (0, 0), sigma, borderType=cv2.BORDER_REPLICATE)
    cv2.addWeighted(pixels, 1 + how.amount, blurred, -how.amount, 0, dst=blurred)
    return pyvips.Image.new_from_array(blurred).copy(interpretation=image.interpretation)


def is_wide_enough(ppi: float, how: Sharpening) -> bool:
    return mm_to_px(how.sigma_mm, ppi) >= NARROWEST_PX
