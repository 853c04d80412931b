"""The sheet's own edges in the scan, where they show against the lid, a shadow or the bed.

From the blank rim of the sheet a profile runs outwards across where the edge should be; the edge is where the
paper's level is first left, half-way to what comes next. A straight line through many such places is believed when
enough of them lie on it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import cv2
import numpy as np

from tackside.colour.spaces import Floats
from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.mapping import SheetMap

EdgeName = Literal["left", "right", "top", "bottom"]

PROFILES = 160
# Sheets are blank for 4 mm inside their edges but for rulers; a print lies within 1.5 mm of where it should.
INSIDE_MM, OUTSIDE_MM = 2.2, 3.0
STEPS_A_MM = 24
# Of full reflectance: a step in level below this can be the grain of the paper or the scanner's noise.
LEAST_STEP = 0.02
LEAST_SHARE = 0.35
STRAIGHT_WITHIN_MM = 0.12


@dataclass(frozen=True, eq=False)
class Edge:
    """One edge of the sheet in pixels: a point on it (2,), its direction (2,) of unit length along +x or +y."""

    point: Floats
    direction: Floats
    share: float


def find_edges(scan: ScanImage, sheet_map: SheetMap, size_mm: tuple[float, float]) -> dict[EdgeName, Edge]:
    """The edges that show, by name as seen on the sheet."""
    width, height = size_mm
    runs: dict[EdgeName, tuple[tuple[float, float], tuple[float, float], tuple[float, float]]] = {
        "left": ((0.0, 0.0), (0.0, height), (-1.0, 0.0)),
        "right": ((width, 0.0), (width, height), (1.0, 0.0)),
        "top": ((0.0, 0.0), (width, 0.0), (0.0, -1.0)),
        "bottom": ((0.0, height), (width, height), (0.0, 1.0)),
    }
    found = {name: _find(scan, sheet_map, *run) for name, run in runs.items()}
    return {name: edge for name, edge in found.items() if edge is not None}


def _find(
    scan: ScanImage,
    sheet_map: SheetMap,
    start: tuple[float, float],
    end: tuple[float, float],
    outwards: tuple[float, float],
) -> Edge | None:
    """One edge between two corners of the sheet as asked for (mm)."""
    share = np.linspace(0.03, 0.97, PROFILES)[:, None]
    places = np.array(start) + share * (np.array(end) - np.array(start))
    steps = np.linspace(-INSIDE_MM, OUTSIDE_MM, round((INSIDE_MM + OUTSIDE_MM) * STEPS_A_MM) + 1)
    points = sheet_map.to_px(places[:, None, :] + steps[None, :, None] * np.array(outwards))
    levels, seen = _levels(scan, points)
    crossing = _first_leaving(levels, seen, steps)
    good = np.isfinite(crossing)
    if good.sum() < LEAST_SHARE * PROFILES:
        return None
    at = sheet_map.to_px(places[good] + crossing[good][:, None] * np.array(outwards))
    return _line(at, STRAIGHT_WITHIN_MM * sheet_map.px_per_mm, sheet_map.to_px(end) - sheet_map.to_px(start))


def _levels(scan: ScanImage, points: Floats) -> tuple[Floats, np.ndarray]:
    """The darkest-or-lightest telling channel sum at ``points``, 0 to 1, and which of them lie in the scan."""
    height, width = scan.pixels.shape[:2]
    seen = np.all(points >= 0, axis=-1) & (points[..., 0] <= width) & (points[..., 1] <= height)
    left, top = np.floor(np.clip(points.reshape(-1, 2).min(axis=0) - 2, 0, None)).astype(int)
    right, bottom = np.ceil(points.reshape(-1, 2).max(axis=0) + 2).astype(int)
    part = scan.pixels[top : min(height, bottom), left : min(width, right)]
    if part.size == 0:
        return np.zeros(points.shape[:2]), np.zeros(points.shape[:2], dtype=bool)
    grey = part.astype(np.float32).mean(axis=2) / float(np.iinfo(scan.pixels.dtype).max)
    x, y = (
        np.ascontiguousarray(points[..., axis] - (left, top)[axis] - 0.5, dtype=np.float32) for axis in (0, 1)
    )
    sampled = cv2.remap(grey, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(sampled, dtype=np.float64), seen


def _first_leaving(levels: Floats, seen: np.ndarray, steps: Floats) -> Floats:
    """Where each profile (n, m), inside first, leaves the paper's level for good; NaN where it can't be told.

    The paper's level is that of the rim's first millimetre, over all profiles: single ones may start on a
    ruler, and then leave that level at once or never.
    """
    rim = levels[:, :STEPS_A_MM]
    paper = float(np.median(rim))
    noise = 1.4826 * float(np.median(np.abs(rim - np.median(rim, axis=1, keepdims=True))))
    limit = max(LEAST_STEP, 6.0 * noise)
    starts_on_paper = np.abs(rim - paper).max(axis=1) < limit
    away = np.abs(levels - paper) > limit
    # Left for good: two samples in a row, which a speck of dust at 300 ppi is not.
    left = away[:, :-1] & away[:, 1:]
    first = np.argmax(left, axis=1)
    rows = np.arange(len(levels))
    # What comes next: the extreme level within 0.4 mm beyond, where a thin shadow has its deepest point.
    beyond = np.clip(first[:, None] + np.arange(round(0.4 * STEPS_A_MM) + 1), 0, levels.shape[1] - 1)
    off = levels[rows[:, None], beyond] - paper
    deepest = off[rows, np.argmax(np.abs(off), axis=1)]
    half = paper + deepest / 2
    crossed = (levels - half[:, None]) * np.sign(deepest)[:, None] >= 0
    crossed[np.arange(levels.shape[1])[None, :] < np.maximum(first - 2, 0)[:, None]] = False
    at = np.argmax(crossed, axis=1)
    before = np.maximum(at - 1, 0)
    rise = levels[rows, at] - levels[rows, before]
    share = np.where(np.abs(rise) > 1e-9, (half - levels[rows, before]) / np.where(rise == 0, 1.0, rise), 0.0)
    place = steps[before] + np.clip(share, 0, 1) * (steps[at] - steps[before])
    usable = starts_on_paper & left.any(axis=1) & crossed.any(axis=1) & seen[rows, at]
    return np.where(usable, place, np.nan)


def _line(points: Floats, within_px: float, along: Floats) -> Edge | None:
    """A straight line through most of the points: the best of many pairs, then least squares on its followers."""
    along = along / np.hypot(*along)
    normal = np.array([-along[1], along[0]])
    u, v = points @ along, points @ normal
    rng = np.random.default_rng(0)  # pairs for the search; any will do, the same ones each time
    pairs = rng.integers(0, len(u), size=(300, 2))
    pairs = pairs[np.abs(u[pairs[:, 0]] - u[pairs[:, 1]]) > 0.2 * np.ptp(u)]
    if len(pairs) == 0:
        return None
    slope = (v[pairs[:, 1]] - v[pairs[:, 0]]) / (u[pairs[:, 1]] - u[pairs[:, 0]])
    offset = v[pairs[:, 0]] - slope * u[pairs[:, 0]]
    followers = np.abs(v[None, :] - slope[:, None] * u - offset[:, None]) <= within_px
    best = int(np.argmax(followers.sum(axis=1)))
    keep = followers[best]
    if keep.sum() < LEAST_SHARE * PROFILES:
        return None
    for _ in range(2):
        line = np.polyfit(u[keep], v[keep], 1)
        keep = np.abs(v - np.polyval(line, u)) <= within_px
    middle = float(u[keep].mean())
    direction = along + line[0] * normal
    return Edge(
        middle * along + float(np.polyval(line, middle)) * normal,
        direction / np.hypot(*direction),
        float(keep.sum() / PROFILES),
    )
