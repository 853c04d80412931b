"""Patches as further fixed points, where the marks in view stand in one row and leave the map loose across it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from tackside.colour.spaces import Floats
from tackside.reading.scan.geometry.mapping import SheetMap, fit_map, residuals_px
from tackside.reading.scan.image_file import Pixels
from tackside.reading.scan.marks.sheets import LEAST_SPREAD_MM, FoundSheet, spread_mm
from tackside.reading.scan.marks.squares import centre_of, refined_corners
from tackside.records import Patch, SheetPlan
from tackside.units import Box

# A patch is told from the gap beside it when it was asked to be dark; gaps are about 0.6 mm wide.
DARK = 0.5
REACH_MM = 0.3
FEWEST_PATCHES, MOST_PATCHES = 12, 80
# The loose map may put the farthest patches beside their place by as much as they can be looked for; each round
# brings it nearer.
ROUNDS = 3


def steadied(sheet: FoundSheet, pixels: Pixels, plan: SheetPlan) -> FoundSheet:
    """The sheet with its map fitted through patches too, if its marks alone leave it loose; else as it is."""
    if spread_mm(sheet.marks) > LEAST_SPREAD_MM:
        return sheet
    dark = [patch for patch in plan.patches if sum(patch.rgb) / 3 <= DARK]
    fitted = sheet.map
    for _ in range(ROUNDS):
        shown = [patch for patch in dark if _shows(fitted, pixels, patch.box_mm)]
        if len(shown) < FEWEST_PATCHES:
            return sheet
        fitted = _through(sheet, fitted, pixels, shown[:: 1 + len(shown) // MOST_PATCHES])
    return replace(sheet, map=fitted)


def _through(sheet: FoundSheet, rough: SheetMap, pixels: Pixels, patches: Sequence[Patch]) -> SheetMap:
    """A map through the marks and the patches, these found beside where ``rough`` puts them."""
    reach = max(REACH_MM * rough.px_per_mm, 2.0)
    seen = [
        centre_of(refined_corners(pixels, rough.to_px(_corners(patch.box_mm)), reach)) for patch in patches
    ]
    mm = np.array(
        [patch.box_mm.centre for patch in patches] + [mark.box_mm.centre for mark, _ in sheet.marks]
    )
    px = np.array(seen + [mark.centre for _, mark in sheet.marks])
    fitted = fit_map(mm, px)
    for _ in range(2):
        off = residuals_px(fitted, mm, px)
        keep = off <= max(3.0 * float(np.median(off)), 0.2)
        fitted = fit_map(mm[keep], px[keep])
    return fitted


def _shows(sheet_map: SheetMap, pixels: Pixels, box: Box) -> bool:
    corners = sheet_map.to_px(_corners(box.shrunk(-1.0)))
    return bool(np.all(corners >= 0) and np.all(corners <= (pixels.shape[1], pixels.shape[0])))


def _corners(box: Box) -> Floats:
    return np.array([[box.x, box.y], [box.right, box.y], [box.right, box.bottom], [box.x, box.bottom]])
