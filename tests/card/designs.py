"""Invented stocks, printers and pictures for the card's tests. Colours tell the picture's corners."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from PIL import Image

from tackside.records import Crease, Feed, Margins, Printer, Stock
from tackside.records.stock import Direction

RED, GREEN, BLUE, YELLOW = (200, 30, 30), (30, 160, 40), (40, 50, 190), (230, 210, 40)


def stock(direction: Direction | None = "horizontal", at_mm: float | None = None) -> Stock:
    """A4 with a crease in its middle, fed on its side where the crease is vertical."""
    size = (297.0, 210.0) if direction == "vertical" else (210.0, 297.0)
    creases = () if direction is None else (Crease(direction=direction, at_mm=at_mm or 148.5),)
    return Stock(name="Harbour Satin 300", open_size_mm=size, creases=creases, coated="both", caliper_mm=0.32)


def printer(margins: Margins | None = None, *, borderless: bool = False, grid_ppi: float = 150) -> Printer:
    """A printer that takes A4 either way."""
    sizes = ((210.0, 297.0), (297.0, 210.0)) if borderless else ()
    return Printer(
        name="Tern 8",
        grid_ppi=grid_ppi,
        feeds=(
            Feed(
                name="rear",
                min_size_mm=(50, 50),
                max_size_mm=(330, 500),
                max_caliper_mm=0.6,
                margins_mm=margins or Margins(top=3, bottom=5, left=3.4, right=3.4),
                borderless_sizes_mm=sizes,
                borderless_enlargement_mm=2.5 if borderless else None,
            ),
        ),
    )


def corners(width: int = 600, height: int = 400) -> np.ndarray:
    """A picture whose quarters are red, green (above), blue, yellow (below), each from the left."""
    image = np.zeros((height, width, 3), dtype=np.uint8)
    top, left = height // 2, width // 2
    image[:top, :left], image[:top, left:] = RED, GREEN
    image[top:, :left], image[top:, left:] = BLUE, YELLOW
    return image


def write_corners(folder: Path, name: str = "corners.png", width: int = 600, height: int = 400) -> Path:
    path = folder / name
    Image.fromarray(corners(width, height)).save(path)
    return path


def colour_at(pixels: np.ndarray, x_mm: float, y_mm: float, ppi: float) -> tuple[int, ...]:
    """The nearest of the four colours, or white, at a place on the sheet; (-1,) for any other."""
    found = pixels[int(y_mm * ppi / 25.4), int(x_mm * ppi / 25.4)].astype(int)
    for colour in (RED, GREEN, BLUE, YELLOW, (255, 255, 255)):
        if np.abs(found - colour).max() <= 6:
            return colour
    return (-1,)
