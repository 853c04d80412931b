"""The smudge block: fine white lines in solids, and the clear card beside them.

Bleed here is how far the ink of a solid has grown into each edge of a fine white line in it (this project's
own measure; common
practice judges the same lines by eye). Smudge is the colour difference of the clear card beside the solids from bare
card: ink that a finger carried there. A block that nobody wiped is clean.
"""

from __future__ import annotations

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats, xyz_to_lab
from tackside.reading.quality.window import window
from tackside.reading.scan.geometry.mapping import SheetMap
from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.lines import measure
from tackside.records import Attribute, Target
from tackside.sheet.blocks.smudge import INK_NAMES, clear_card, white_lines
from tackside.sheet.grid import Grid

LEAST_LINE_MM = 0.18  # finer ones fill with the scanner's blur


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
