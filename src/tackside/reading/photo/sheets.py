"""Which sheets lie in a photograph: grown from single marks, in perspective, each told by its own tag.

A mark's four corners fix a plane's local stretch, so that it foretells its neighbours even aslant; four marks fix the
whole perspective.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np

from tackside.colour.spaces import Floats
from tackside.reading.photo.plane import Lens, PhotoMap, fit_together, plane_through
from tackside.reading.scan.image_file import Pixels
from tackside.reading.scan.marks.detections import Seen, SeenMark, SeenTag, look_again
from tackside.records import Mark, SheetPlan
from tackside.units import Box

FEWEST_MARKS = 4  # fix a plane in perspective
# How far from where it is foretold a mark may lie: in mm, and as a share of the way from the marks known so far.
CLAIM_MM, CLAIM_SHARE = 2.0, 0.06
# A homography through marks that stand in one row, or nearly, says nothing across it.
LEAST_SPREAD_MM = 25.0

Claimed = list[tuple[Mark, SeenMark]]


@dataclass(frozen=True, eq=False)
class PhotoSheet:
    """One sheet: its plan, the marks seen of it, the map, and the trial by its tag (None where none was read)."""

    plan: SheetPlan
    marks: tuple[tuple[Mark, SeenMark], ...]
    map: PhotoMap
    trial: str | None

    @property
    def residual_mm(self) -> float:
        """RMS distance of the marks from the map, in mm on the sheet."""
        mm, px = _centres(self.marks)
        scale = np.array([self.map.px_per_mm(at) for at in mm])
        off = np.hypot(*(self.map.to_px(mm) - px).T) / scale
        return float(np.sqrt(np.mean(off**2)))

    @property
    def outline(self) -> Floats:
        """The sheet's corners (4, 2) in pixels."""
        width, height = self.plan.size_mm
        return self.map.to_px([[0.0, 0.0], [width, 0.0], [width, height], [0.0, height]])

    @property
    def missing(self) -> tuple[Mark, ...]:
        """The marks of the plan that were not seen."""
        seen = {mark.id for mark, _ in self.marks}
        return tuple(mark for mark in self.plan.marks if mark.id not in seen)


def find_sheets(
    seen: Seen, plans: Mapping[str, SheetPlan], pixels: Pixels, presumed: Sequence[str] = ()
) -> list[PhotoSheet]:
    """All sheets of these trials' plans, those with the most marks first, with one lens fitted through all of them.

    ``presumed``: trials that are said to be there; the one sheet whose tag cannot be read is taken for the one of them
    that no tag names.
    """
    straight = Lens.straight(*seen.size_px)
    layouts: dict[tuple[tuple[int, Box], ...], SheetPlan] = {}
    for plan in plans.values():
        for page in plan.by_page:
            layouts.setdefault(tuple((mark.id, mark.box_mm) for mark in page.marks), page)
    free = list(seen.marks)
    found: list[PhotoSheet] = []
    while len(free) >= FEWEST_MARKS:
        grown = [(_largest(free, plan.marks), plan) for plan in layouts.values()]
        if not grown:
            break
        best, plan = max(grown, key=lambda each: len(each[0]))
        if len(best) < FEWEST_MARKS:
            break
        taken = {id(mark) for _, mark in best}
        free = [mark for mark in free if id(mark) not in taken]
        matrix = plane_through(*_centres(best))
        if matrix is not None and _stands(matrix, plan):
            found.append(PhotoSheet(plan, tuple(best), PhotoMap(matrix, straight), None))
    found = _through_one_lens(found, straight)
    return _told(found, seen.tags, plans, pixels, presumed)


def _stands(matrix: Floats, plan: SheetPlan) -> bool:
    """Whether the whole sheet lies before the camera, and not mirrored."""
    width, height = plan.size_mm
    corners = np.array([[0, 0, 1], [width, 0, 1], [width, height, 1], [0, height, 1]], dtype=float) @ matrix.T
    if corners[:, 2].min() * corners[:, 2].max() <= 0:
        return False
    flat = corners[:, :2] / corners[:, 2:]
    a, b = flat[1] - flat[0], flat[3] - flat[0]
    return bool(a[0] * b[1] - a[1] * b[0] > 0)


def _through_one_lens(found: list[PhotoSheet], lens: Lens) -> list[PhotoSheet]:
    if not found:
        return []
    # A mark that does not lie where the others say is no mistake, since its number is right: the sheet is bent there.
    maps, _ = fit_together(
        [_centres(each.marks) for each in found], [each.map.matrix for each in found], lens
    )
    return [replace(each, map=one) for each, one in zip(found, maps, strict=True)]


def _told(
    found: list[PhotoSheet],
    tags: Sequence[SeenTag],
    plans: Mapping[str, SheetPlan],
    pixels: Pixels,
    presumed: Sequence[str],
) -> list[PhotoSheet]:
    """The sheets with their trials, and each with its own trial's plan."""
    told = [replace(sheet, trial=_tagged(sheet, tags, pixels)) for sheet in found]
    named = {sheet.trial for sheet in told}
    left = [trial for trial in presumed if trial not in named]
    untold = [number for number, sheet in enumerate(told) if sheet.trial is None]
    if len(left) == 1 and len(untold) == 1 and left[0] in plans:
        told[untold[0]] = replace(told[untold[0]], trial=left[0])
    return [_by_own_plan(sheet, plans) for sheet in told]


def _by_own_plan(sheet: PhotoSheet, plans: Mapping[str, SheetPlan]) -> PhotoSheet:
    plan = None if sheet.trial is None else plans.get(sheet.trial)
    return sheet if plan is None else replace(sheet, plan=_page_like(plan, sheet.plan))


def _page_like(plan: SheetPlan, shown: SheetPlan) -> SheetPlan:
    """The page of the trial's own plan whose marks are those that were seen."""
    ids = {mark.id for mark in shown.marks}
    return max(plan.by_page, key=lambda page: len(ids & {mark.id for mark in page.marks}))


def _tagged(sheet: PhotoSheet, tags: Sequence[SeenTag], pixels: Pixels) -> str | None:
    for planned in sheet.plan.tags:
        centre = sheet.map.to_px(planned.box_mm.centre)
        reach = planned.box_mm.w / 2 * sheet.map.px_per_mm(planned.box_mm.centre)
        for tag in tags:
            if tag.trial is not None and float(np.hypot(*(tag.centre - centre))) <= reach:
                return tag.trial
    for planned in sheet.plan.tags:
        again = look_again(pixels, sheet.map, planned)
        if again is not None and again.trial is not None:
            return again.trial
    return None


def _largest(free: Sequence[SeenMark], planned: Sequence[Mark]) -> Claimed:
    """The largest group of marks that agree, each mark in turn being the first."""
    by_id = {mark.id: mark for mark in planned}
    best: Claimed = []
    for first in free:
        if first.id in by_id:
            grown = _grown((by_id[first.id], first), free, planned)
            if len(grown) > len(best):
                best = grown
        if len(best) == len(planned):
            break
    return best


def _grown(first: tuple[Mark, SeenMark], free: Sequence[SeenMark], planned: Sequence[Mark]) -> Claimed:
    claimed = [first]
    left = [mark for mark in planned if mark.id != first[0].id]
    while left:
        left.sort(key=lambda mark: _way_mm(mark, claimed))
        foretell = _foretelling(claimed)
        for mark in left:
            seen = _claim(mark, free, foretell, _way_mm(mark, claimed))
            if seen is not None:
                claimed.append((mark, seen))
                left.remove(mark)
                break
        else:
            break
    return claimed


def _foretelling(claimed: Claimed) -> PhotoMap:
    """Where corners lie by the marks claimed so far: through an affine map, or the plane's perspective."""
    mm = np.concatenate([_corners(mark.box_mm) for mark, _ in claimed])
    px = np.concatenate([seen.corners for _, seen in claimed])
    centres = np.array([mark.box_mm.centre for mark, _ in claimed])
    spread = np.linalg.svd(centres - centres.mean(axis=0), compute_uv=False)
    matrix = None
    if len(claimed) >= FEWEST_MARKS and spread[1] > LEAST_SPREAD_MM:
        matrix = plane_through(mm, px)
    if matrix is None:
        design = np.column_stack([mm, np.ones(len(mm))])
        solved = np.linalg.lstsq(design, px, rcond=None)[0]
        matrix = np.vstack([solved.T, [0.0, 0.0, 1.0]])
    return PhotoMap(matrix, Lens((0.0, 0.0), 1.0))


def _claim(mark: Mark, free: Sequence[SeenMark], foretold: PhotoMap, way_mm: float) -> SeenMark | None:
    """The seen mark that is this one: near where it is foretold, and standing as it is foretold to."""
    same = [seen for seen in free if seen.id == mark.id]
    if not same:
        return None
    corners = foretold.to_px(_corners(mark.box_mm))
    side = float(np.mean(np.hypot(*(corners - np.roll(corners, 1, axis=0)).T)))
    scale = side / mark.box_mm.w
    reach = (CLAIM_MM + CLAIM_SHARE * way_mm) * scale
    centre = corners.mean(axis=0)
    near = min(same, key=lambda seen: float(np.hypot(*(seen.centre - centre))))
    if float(np.hypot(*(near.centre - centre))) > reach:
        return None
    stance = near.corners - near.centre - (corners - centre)
    return near if float(np.hypot(*stance.T).max()) <= 0.35 * side else None


def _way_mm(mark: Mark, claimed: Claimed) -> float:
    at = np.array(mark.box_mm.centre)
    return min(float(np.hypot(*(np.array(each.box_mm.centre) - at))) for each, _ in claimed)


def _centres(marks: Sequence[tuple[Mark, SeenMark]]) -> tuple[Floats, Floats]:
    return (
        np.array([mark.box_mm.centre for mark, _ in marks]),
        np.array([seen.centre for _, seen in marks]),
    )


def _corners(box: Box) -> Floats:
    return np.array([[box.x, box.y], [box.right, box.y], [box.right, box.bottom], [box.x, box.bottom]])
