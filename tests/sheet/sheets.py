"""Invented stocks and printers, and the sheets that the tests look at."""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tackside.records import Crease, Feed, Margins, Printer, SheetPlan, Stock
from tackside.records.stock import Direction
from tackside.sheet.plan import plan_sheet
from tackside.sheet.render import render
from tackside.units import Box

TRIAL = "T7K2M9AB"
CREASE_CLEAR_MM = 3.0
EDGE_CLEAR_MM = 4.0


def stock(width: float, height: float, *creases: tuple[Direction, float]) -> Stock:
    return Stock(
        name="Harbour Satin 300",
        open_size_mm=(width, height),
        creases=tuple(Crease(direction=direction, at_mm=at) for direction, at in creases),
    )


def printer(*borderless: tuple[float, float], margin: float = 3.4, tail: float = 5.0) -> Printer:
    feed = Feed(
        name="rear",
        min_size_mm=(80, 80),
        max_size_mm=(490, 1000),
        margins_mm=Margins(top=3, bottom=tail, left=margin, right=margin),
        borderless_sizes_mm=borderless,
        borderless_enlargement_mm=2.5 if borderless else None,
    )
    return Printer(name="Tern 8", feeds=(feed,))


STOCKS: dict[str, Stock] = {
    "a4-folded": stock(210, 297, ("horizontal", 148.5)),
    "a5-folded": stock(148, 210, ("horizontal", 105)),
    "10x7": stock(254, 178, ("vertical", 127)),
    "small": stock(90, 90),
    "square": stock(288, 144, ("vertical", 144)),
    "small-folded": stock(90, 90, ("vertical", 45)),
    "a6": stock(105, 148),
}


@lru_cache(maxsize=32)
def plan(name: str, **options: Any) -> SheetPlan:
    return plan_sheet(STOCKS[name], printer(), trial_id=TRIAL, **options)


@lru_cache(maxsize=16)
def image(name: str, **options: Any) -> NDArray[np.uint8]:
    pixels = render(plan(name, **options))
    pixels.flags.writeable = False
    return pixels


def pixels_under(pixels: NDArray[np.uint8], box: Box, ppi: float) -> NDArray[np.uint8]:
    """Rounded here on its own, not by the code under test."""
    left, top, right, bottom = (
        round(edge * ppi / 25.4) for edge in (box.x, box.y, box.x + box.w, box.y + box.h)
    )
    return pixels[top:bottom, left:right]
