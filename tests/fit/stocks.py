"""Invented stocks and printers for the tests of fit."""

from __future__ import annotations

from typing import Any

from tackside.records import Crease, Feed, Margins, Printer, Stock


def stock(size: tuple[float, float] = (210, 297), *creases: Crease, **more: Any) -> Stock:
    """A card with nothing doubtful about it."""
    known: dict[str, Any] = {"caliper_mm": 0.3, "weight_gsm": 300, "coated": "both", "sold_for_inkjet": True}
    return Stock(name="Harbour Satin 300", open_size_mm=size, creases=creases, **{**known, **more})


def feed(name: str = "rear", **more: Any) -> Feed:
    limits: dict[str, Any] = {
        "min_size_mm": (89, 127),
        "max_size_mm": (329, 1000),
        "max_caliper_mm": 0.6,
        "max_weight_gsm": 400,
        "margins_mm": Margins(top=3, bottom=5, left=3.4, right=3.4),
    }
    return Feed(name=name, **{**limits, **more})


def printer(*feeds: Feed) -> Printer:
    return Printer(name="Tern 8", feeds=feeds or (feed(),))


def horizontal(at_mm: float) -> Crease:
    return Crease(direction="horizontal", at_mm=at_mm)


def vertical(at_mm: float) -> Crease:
    return Crease(direction="vertical", at_mm=at_mm)
