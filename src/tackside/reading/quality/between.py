"""Inter-colour bleed: how much wider a line is on a wet solid of another ink than on bare card.

Both widths are of the same line in the same band; what the printer and the scanner add to a line's width they add to
both, so the difference is the ink's own. They lie between the edges' halves and not at ISO/IEC 24790's R60, which the
softer edge of a bleeding line would move inwards; raggedness is the standard's. That a line is laid on another ink's
solid beside the same on white is common practice.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

import numpy as np

from tackside.reading.scan.geometry.mapping import SheetMap
from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.lines import ENDS, LEAST_PPI, PrintedLine, measure
from tackside.records import Attribute, Target
from tackside.sheet.blocks.bleed import halves
from tackside.sheet.grid import Grid
from tackside.units import MM_PER_INCH

LUMINOUS = 1  # the band Y: every ink of the block is darker than yellow and than card
# An edge wanders over about this length (this project's own estimate), so that so many of its places are independent.
WANDERS_MM = 0.25
# What the scanner's raster leaves of an edge's place on two grounds, in pixels: seen through the virtual press.
PLACE_PX = 0.04


def between_attributes(
    scan: ScanImage, sheet_map: SheetMap, targets: Sequence[Target], ppi: float, grid: Grid
) -> dict[str, Attribute]:
    """``bleed_between_{ink}_{direction}``: µm that the line has grown, both edges together, over that on bare card;
    ``bleed_between_raggedness_{ink}_{direction}``: raggedness, µm, of its edges in the wet field.
    """
    found: dict[str, Attribute] = {}
    if ppi < LEAST_PPI:
        return found
    pairs: dict[str, list[tuple[PrintedLine, PrintedLine, float]]] = {}
    for target in targets:
        if target.kind != "bleed" or target.direction is None:
            continue
        field, card = halves(target, grid)
        wet, dry = measure(scan, sheet_map, field, LUMINOUS), measure(scan, sheet_map, card, LUMINOUS)
        if wet is None or dry is None:
            continue
        length = field.box_mm.h if target.direction == "vertical" else field.box_mm.w
        name = f"{target.name.split('-')[1]}_{target.direction}"
        pairs.setdefault(name, []).append((wet, dry, length))
    for name, lines in pairs.items():
        growths = [wet.width_half - dry.width_half for wet, dry, _ in lines]
        ragged = [wet.raggedness for wet, _, _ in lines]
        found[f"bleed_between_{name}"] = Attribute(
            value=float(np.mean(growths)), unit="µm", sd=_sd(lines, ppi)
        )
        found[f"bleed_between_raggedness_{name}"] = Attribute(
            value=float(np.mean(ragged)), unit="µm", sd=_ragged_sd(lines)
        )
    return found


def _places(length_mm: float) -> float:
    """About how many independent places an edge of that length has."""
    return max(length_mm * (1 - 2 * ENDS) / WANDERS_MM, 2.0)


def _sd(lines: Sequence[tuple[PrintedLine, PrintedLine, float]], ppi: float) -> float:
    """Of the mean growth: two edges that wander on each ground, what the widths disagree by, and the raster."""
    wander = (
        sum(2 * (wet.raggedness**2 + dry.raggedness**2) / _places(length) for wet, dry, length in lines)
        / len(lines) ** 2
    )
    growths = [wet.width_half - dry.width_half for wet, dry, _ in lines]
    apart = float(np.var(growths, ddof=1)) / len(lines) if len(lines) > 1 else 0.0
    raster = PLACE_PX * 1000 * MM_PER_INCH / ppi
    return sqrt(max(wander, apart) + raster**2)


def _ragged_sd(lines: Sequence[tuple[PrintedLine, PrintedLine, float]]) -> float:
    """A standard deviation of n places is known to a share of 1 / √(2 (n − 1)); two edges a line."""
    places = sum(2 * _places(length) for _, _, length in lines)
    return float(np.mean([wet.raggedness for wet, _, _ in lines])) / sqrt(2 * (places - 1))
