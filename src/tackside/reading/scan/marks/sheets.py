"""Which marks belong to one sheet: found by growing from a single mark, so that several sheets may lie in one scan.

A mark is a square of known place, size and stance: alone it foretells roughly where its neighbours lie. The
nearest neighbour that is there sharpens the map, which then reaches further. Where the marks in view stand in one row
and leave the map loose across it, patches serve as further fixed points.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from tackside.colour.spaces import Floats
from tackside.reading.scan.geometry.mapping import FEWEST_MARKS, SheetMap, fit_map, median, residuals_px
from tackside.reading.scan.image_file import Pixels
from tackside.reading.scan.marks.detections import Seen, SeenMark, SeenTag, centre_of, refined_corners
from tackside.records import Mark, Patch, SheetPlan
from tackside.units import Box

# How far from where it is foretold a mark may lie and still be claimed: a base in mm and a share of the way from
# the marks known so far. A side of 6 mm seen at 200 ppi leaves its turn uncertain by half a degree.
CLAIM_BASE_MM = 2.0
CLAIM_SHARE = 0.03
OUTLIER_LEAST_MM = 0.25
LEAST_SPREAD_MM = 15.0
LEAST_SHARE_SEEN = 0.5
# A patch is told from the gap beside it when it was asked to be dark; gaps are about 0.6 mm wide.
DARK = 0.5
REACH_MM = 0.3
FEWEST_PATCHES, MOST_PATCHES = 12, 80
# The loose map may put the farthest patches beside their place by as much as they can be looked for; each round
# brings it nearer.
ROUNDS = 3


@dataclass(frozen=True, eq=False)
class FoundSheet:
    """One sheet in a scan: its marks by the plan, the map through them, and the tags that lie where the plan says."""

    marks: tuple[tuple[Mark, SeenMark], ...]
    map: SheetMap
    tags: tuple[SeenTag, ...]

    @property
    def trials(self) -> tuple[str, ...]:
        """The trials that its tags name, each once."""
        return tuple(dict.fromkeys(tag.trial for tag in self.tags if tag.trial is not None))

    @property
    def residual_um(self) -> float:
        """RMS distance of the marks from the map, in µm on the sheet."""
        mm = _centres_mm(self.marks)
        px = np.array([seen.centre for _, seen in self.marks])
        off = residuals_px(self.map, mm, px)
        return float(np.sqrt(np.mean(off**2)) / self.map.px_per_mm * 1000.0)

    def marks_on(self, panel: str) -> int:
        return sum(mark.panel == panel for mark, _ in self.marks)


def find_sheets(seen: Seen, plan: SheetPlan) -> list[FoundSheet]:
    """All sheets of this layout in the scan, the one with the most marks first.

    A sheet is believed when at least half of its marks that should lie in the scan are there: a few marks of
    another layout may stand like some of this one.
    """
    by_id = {mark.id: mark for mark in plan.marks}
    free = [mark for mark in seen.marks if mark.id in by_id]
    sheets = []
    while len(free) >= FEWEST_MARKS:
        best = _largest(free, plan.marks)
        if len(best) < FEWEST_MARKS:
            break
        sheet = _settled(best, seen.tags, plan)
        if len(sheet.marks) >= LEAST_SHARE_SEEN * _marks_in_view(sheet, plan, seen.size_px):
            sheets.append(sheet)
        taken = {id(mark) for _, mark in best}
        free = [mark for mark in free if id(mark) not in taken]
    return sorted(sheets, key=lambda sheet: -len(sheet.marks))


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


def _largest(free: Sequence[SeenMark], planned: Sequence[Mark]) -> list[tuple[Mark, SeenMark]]:
    """The largest group of marks that agree, each mark in turn being the first."""
    most = len({mark.id for mark in free})
    best: list[tuple[Mark, SeenMark]] = []
    for seed in free:
        best = max(best, _grow(seed, free, planned), key=len)
        if len(best) == most:
            break
    return best


def _grow(seed: SeenMark, free: Sequence[SeenMark], planned: Sequence[Mark]) -> list[tuple[Mark, SeenMark]]:
    """Marks that agree with ``seed``, nearest first."""
    start = next(mark for mark in planned if mark.id == seed.id)
    claimed = [(start, seed)]
    at = np.array(start.box_mm.centre)
    others = sorted(
        (mark for mark in planned if mark.id != seed.id),
        key=lambda mark: float(np.hypot(*(np.array(mark.box_mm.centre) - at))),
    )
    current = _map_of(claimed)
    for mark in others:
        there = [each for each in free if each.id == mark.id]
        if not there:
            continue
        foretold = current.to_px(mark.box_mm.centre)
        away = [float(np.hypot(*(each.centre - foretold))) / current.px_per_mm for each in there]
        nearest = int(np.argmin(away))
        if away[nearest] <= CLAIM_BASE_MM + CLAIM_SHARE * _way_mm(mark, claimed):
            claimed.append((mark, there[nearest]))
            current = _map_of(claimed)
    return claimed


def _way_mm(mark: Mark, claimed: Sequence[tuple[Mark, SeenMark]]) -> float:
    at = np.array(mark.box_mm.centre)
    return min(float(np.hypot(*(np.array(each.box_mm.centre) - at))) for each, _ in claimed)


def _map_of(claimed: Sequence[tuple[Mark, SeenMark]]) -> SheetMap:
    """A map through the centres of marks that span the sheet; else a similarity through all corners.

    Marks in one row fix nothing across it but by their own squares.
    """
    if len(claimed) >= FEWEST_MARKS and spread_mm(claimed) > LEAST_SPREAD_MM:
        return fit_map(_centres_mm(claimed), np.array([seen.centre for _, seen in claimed]))
    mm = np.concatenate([_corners(mark.box_mm) for mark, _ in claimed])
    return _similarity(mm, np.concatenate([seen.corners for _, seen in claimed]))


def spread_mm(claimed: Sequence[tuple[Mark, SeenMark]]) -> float:
    """How far marks spread across the line along which they spread most: about 0 for a single row of them."""
    centres = _centres_mm(claimed)
    values = np.linalg.svd(centres - centres.mean(axis=0), compute_uv=False)
    return float(values[1]) if len(values) > 1 else 0.0


def _centres_mm(claimed: Sequence[tuple[Mark, SeenMark]]) -> Floats:
    return np.array([mark.box_mm.centre for mark, _ in claimed])


def _similarity(mm: Floats, px: Floats) -> SheetMap:
    """Shift, turn and one scale through few points: an affine map would lean on their noise."""
    middle = mm.mean(axis=0)
    source = (mm - middle) @ np.array([1.0, 1j])
    seen = px @ np.array([1.0, 1j])
    factor = np.vdot(source, seen - seen.mean()) / np.vdot(source, source)
    return SheetMap(
        np.array(
            [[seen.mean().real, seen.mean().imag], [factor.real, factor.imag], [-factor.imag, factor.real]]
        ),
        middle,
    )


def _settled(claimed: list[tuple[Mark, SeenMark]], tags: Sequence[SeenTag], plan: SheetPlan) -> FoundSheet:
    """Drop marks that the others contradict, fit for good, and see which tags lie on the sheet."""
    kept = list(claimed)
    while True:
        mm = _centres_mm(kept)
        px = np.array([seen.centre for _, seen in kept])
        fitted = _map_of(kept)
        off_mm = residuals_px(fitted, mm, px) / fitted.px_per_mm
        worst = int(np.argmax(off_mm))
        limit = max(OUTLIER_LEAST_MM, 4.0 * float(median(off_mm)))
        if len(kept) <= FEWEST_MARKS + 1 or off_mm[worst] <= limit:
            break
        kept.pop(worst)
    return FoundSheet(tuple(kept), fitted, _tags_on(fitted, tags, plan))


def _marks_in_view(sheet: FoundSheet, plan: SheetPlan, size_px: tuple[int, int]) -> int:
    """How many of the plan's marks lie wholly inside the scan by this map."""
    at = sheet.map.to_px([mark.box_mm.centre for mark in plan.marks])
    reach = np.array([mark.box_mm.w for mark in plan.marks]) * sheet.map.px_per_mm
    inside = np.all((at >= reach[:, None]) & (at <= np.array(size_px) - reach[:, None]), axis=1)
    return int(inside.sum())


def _tags_on(fitted: SheetMap, tags: Sequence[SeenTag], plan: SheetPlan) -> tuple[SeenTag, ...]:
    """The tags whose centres lie in the plan's tag boxes."""
    inside: list[SeenTag] = []
    for planned in plan.tags:
        centre = fitted.to_px(planned.box_mm.centre)
        reach = planned.box_mm.w / 2 * fitted.px_per_mm
        inside += [tag for tag in tags if float(np.hypot(*(tag.centre - centre))) <= reach]
    return tuple(inside)


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
        keep = off <= max(3.0 * float(median(off)), 0.2)
        fitted = fit_map(mm[keep], px[keep])
    return fitted


def _shows(sheet_map: SheetMap, pixels: Pixels, box: Box) -> bool:
    corners = sheet_map.to_px(_corners(box.shrunk(-1.0)))
    return bool(np.all(corners >= 0) and np.all(corners <= (pixels.shape[1], pixels.shape[0])))


def _corners(box: Box) -> Floats:
    return np.array([[box.x, box.y], [box.right, box.y], [box.right, box.bottom], [box.x, box.bottom]])
