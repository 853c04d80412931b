"""Ink that runs: into fine white lines in a solid, under a finger onto clear card, and into another ink.

Bleed is how far the ink of a solid has grown into each edge of a fine white line in it (this project's own measure;
common practice judges the same lines by eye). Smudge is the colour difference of the clear card beside the solids from
bare card: ink that a finger carried there. A block that nobody wiped is clean.

Inter-colour bleed is how much wider a line is on a wet solid of another ink than on bare card. Both widths are of the
same line in the same band; what the printer and the scanner add to a line's width they add to both, so the difference
is the ink's own. They lie between the edges' halves and not at ISO/IEC 24790's R60, which the softer edge of a bleeding
line would move inwards; raggedness is the standard's. That a line is laid on another ink's solid beside the same on
white is common practice.
"""

from __future__ import annotations

from collections.abc import Sequence
from math import sqrt

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats, xyz_to_lab
from tackside.reading.scan.colours import window
from tackside.reading.scan.geometry.mapping import SheetMap
from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.lines import ENDS, LEAST_PPI, PrintedLine, measure
from tackside.records import Attribute, Target
from tackside.sheet.blocks.bleed import halves
from tackside.sheet.blocks.smudge import INK_NAMES, clear_card, white_lines
from tackside.sheet.canvas import Grid
from tackside.units import MM_PER_INCH

LEAST_LINE_MM = 0.18  # finer ones fill with the scanner's blur
LUMINOUS = 1  # the band Y: every ink of the block is darker than yellow and than card
# An edge wanders over about this length (this project's own estimate), so that so many of its places are independent.
WANDERS_MM = 0.25
# What the scanner's raster leaves of an edge's place on two grounds, in pixels: seen through the virtual press.
PLACE_PX = 0.04


def bleed_attributes(
    scan: ScanImage, sheet_map: SheetMap, target: Target, grid: Grid
) -> dict[str, Attribute]:
    """``bleed_{ink}`` in µm an edge, for the inks of the smudge block."""
    found: dict[str, Attribute] = {}
    for name, lines in zip(INK_NAMES, white_lines(target, grid), strict=True):
        usable = [line for line in lines if (line.width_mm or 0.0) >= LEAST_LINE_MM]
        measured = [one for one in (_measured(scan, sheet_map, line) for line in usable) if one is not None]
        if not measured:
            continue
        spread = float(np.std(measured, ddof=1)) if len(measured) > 1 else None
        found[f"bleed_{name}"] = Attribute(value=float(np.mean(measured)), unit="µm", sd=spread)
    return found


def _measured(scan: ScanImage, sheet_map: SheetMap, line: Target) -> float | None:
    one = measure(scan, sheet_map, line)
    return None if one is None else -one.gain / 2


def smudge_attribute(
    scan: ScanImage, sheet_map: SheetMap, target: Target, paper_lab: Floats
) -> dict[str, Attribute]:
    """``smudge`` in ΔE00: of the clear card right of each solid, the one that is farthest from bare card."""
    found = []
    for box in clear_card(target):
        seen = window(scan, sheet_map, box, margin_mm=0.0)
        if seen is not None:
            mean = xyz_to_lab(seen.xyz.reshape(-1, 3).mean(axis=0))
            found.append(float(delta_e_2000(mean, paper_lab)))
    if not found:
        return {}
    return {"smudge": Attribute(value=max(found), unit="ΔE00", sd=float(np.std(found)))}


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
