"""Where the print fell on the sheet: scale from the marks, rotation and offset from the sheet's own edges, where those
show in the scan against the lid, a shadow or the bed.

From the blank rim of the sheet, profiles run outwards. Averaged along the right slope, all of them leave the
paper's level at one place: the edge. It may lie well off where the print's own coordinates put it, since a
print can be enlarged past the sheet or shrunk within it. The line is then fitted again through short groups of
profiles, each crossing half-way between paper and what lies beyond.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import atan2, degrees
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.reading.scan.colours import interpolated
from tackside.reading.scan.geometry.mapping import SheetMap, median, straight_line
from tackside.reading.scan.image_file import Pixels, ScanImage
from tackside.reading.scan.marks.sheets import FoundSheet
from tackside.records import Placement, SheetPlan

# A sheet that lay flat leaves 10 to 40 µm. Cockle moves the sheet's edges and its marks apart by more than rotation and
# offset are told to, long before patches are missed.
MOST_FLAT_UM = 60.0


def place(
    sheet: FoundSheet, edges: dict[EdgeName, Edge], size_mm: tuple[float, float], scan_ppi: float
) -> Placement:
    """The placement by the conventions of ``records.Placement``.

    ``scan_ppi`` is the scanner's own word for its resolution: a scanner that is off by 0.1 % puts that into both
    scales.
    """
    px_per_mm = scan_ppi / 25.4
    across, along = sheet.map.linear.T / px_per_mm
    if sheet.residual_um > MOST_FLAT_UM:
        edges = {}
    turned = _sheet_turn(edges)
    corner = _corner(edges, size_mm, px_per_mm)
    rotation = offset = None
    if turned is not None:
        rotation = _half_turns(degrees(atan2(across[1], across[0]) - turned))
    if turned is not None and corner is not None:
        shift = (sheet.map.to_px((0.0, 0.0)) - corner) / px_per_mm
        c, s = np.cos(turned), np.sin(turned)
        offset = (float(c * shift[0] + s * shift[1]), float(-s * shift[0] + c * shift[1]))
    return Placement(
        scale_x=float(np.hypot(*across)),
        scale_y=float(np.hypot(*along)),
        rotation_deg=rotation,
        skew_deg=_half_turns(degrees(atan2(-along[0], along[1]) - atan2(across[1], across[0]))),
        offset_mm=offset,
        residual_um=sheet.residual_um,
        marks_found=len(sheet.marks),
    )


def _sheet_turn(edges: dict[EdgeName, Edge]) -> float | None:
    """The direction of the sheet's own x axis in the scan, radians, from all edges that show."""
    if not edges:
        return None
    axes = [axis_of(name, edge) for name, edge in edges.items()]
    mean = np.mean(axes, axis=0)
    return float(atan2(mean[1], mean[0]))


def _corner(edges: dict[EdgeName, Edge], size_mm: tuple[float, float], px_per_mm: float) -> Floats | None:
    """The sheet's top left corner in pixels, from two edges that meet there or, failing that, opposite ones."""
    upright = edges.get("left") or _moved(edges.get("right"), -size_mm[0] * px_per_mm, across=True)
    level = edges.get("top") or _moved(edges.get("bottom"), -size_mm[1] * px_per_mm, across=False)
    if upright is None or level is None:
        return None
    solved = np.linalg.solve(
        np.column_stack([upright.direction, -level.direction]), level.point - upright.point
    )
    return np.asarray(upright.point + solved[0] * upright.direction)


def _moved(edge: Edge | None, by_px: float, *, across: bool) -> Edge | None:
    """An edge moved along the sheet's x axis (``across``) or y axis."""
    if edge is None:
        return None
    x, y = edge.direction
    axis = np.array([y, -x]) if across else np.array([-y, x])
    return Edge(edge.point + by_px * axis, edge.direction, edge.step)


def _half_turns(angle: float) -> float:
    return (angle + 180.0) % 360.0 - 180.0


EdgeName = Literal["left", "right", "top", "bottom"]
OUTWARDS: dict[EdgeName, tuple[float, float]] = {
    "left": (-1.0, 0.0),
    "right": (1.0, 0.0),
    "top": (0.0, -1.0),
    "bottom": (0.0, 1.0),
}

# A print fitted into the margins of a small card shrinks by up to 7 %: its own edge then lies this far inside.
OUTSIDE_MM = 12.0
# Blur reaches this far from the outermost ink.
CLEAR_OF_INK_MM = 0.35
# Prints lie askew on the sheet by well under this.
MOST_SKEW_DEG = 1.2
SLOPES = 49
PROFILES = 96
COARSE_MM = 0.12
FINE_MM = 0.03
GROUP = 4  # profiles averaged for one place on the edge
NEAR_MM = 0.7
# Of full scale: a smaller step in level may be unevenness of lid or paper.
LEAST_STEP = 0.006
# A quarter of a side has to lie in the scan, and half of what does has to agree.
LEAST_SHOWN, LEAST_SHARE = 0.25, 0.5
# A departure from paper counts when it is this share of the greatest, and has ended when so little of it is left.
TELLING_SHARE, TURNED_BACK = 0.3, 0.8
STRAIGHT_WITHIN_MM = 0.12
SQUARE_WITHIN_DEG = 0.35


@dataclass(frozen=True, eq=False)
class Edge:
    """One edge of the sheet in pixels: a point on it (2,), its direction (2,) of unit length along +x or +y.

    ``step`` is how far, of full scale, the level drops or rises there.
    """

    point: Floats
    direction: Floats
    step: float


@dataclass(frozen=True, eq=False)
class Strip:
    """A part of a scan, straightened: profiles that leave the sheet at right angles to one side.

    ``levels`` (n, m, 3) of full scale on n profiles at ``along_mm`` (n,), at ``steps_mm`` (m,) outwards.

    ``last`` (n,) is the last step of each profile that lies in the scan, −1 where not even the first does.
    """

    levels: Floats
    last: NDArray[np.intp]
    along_mm: Floats
    steps_mm: Floats


def find_edges(scan: ScanImage, sheet_map: SheetMap, plan: SheetPlan) -> dict[EdgeName, Edge]:
    """The edges that show, by name as seen on the sheet."""
    found = {name: _find(scan, sheet_map, plan, name) for name in OUTWARDS}
    return _square({name: edge for name, edge in found.items() if edge is not None})


def axis_of(name: EdgeName, edge: Edge) -> Floats:
    """The direction of the sheet's x axis as this edge tells it."""
    x, y = edge.direction
    return np.array([x, y] if name in ("top", "bottom") else [y, -x])


def _find(scan: ScanImage, sheet_map: SheetMap, plan: SheetPlan, name: EdgeName) -> Edge | None:
    width, height = plan.size_mm
    length = height if name in ("left", "right") else width
    start = {"left": (0.0, 0.0), "right": (width, 0.0), "top": (0.0, 0.0), "bottom": (0.0, height)}[name]
    along = np.array((0.0, 1.0) if name in ("left", "right") else (1.0, 0.0))
    outwards = np.array(OUTWARDS[name])
    rim = max(_rim_mm(plan, name) - CLEAR_OF_INK_MM, 0.0)
    along_mm = np.linspace(0.04, 0.96, PROFILES) * length
    places = np.array(start) + along_mm[:, None] * along

    coarse = np.arange(-rim, OUTSIDE_MM, COARSE_MM)
    strip = _cut_strip(scan.pixels, sheet_map, places, outwards, along_mm - length / 2, coarse)
    rough = _rough_line(strip)
    if rough is None:
        return None
    offset, slope = rough
    at = offset + slope * strip.along_mm
    near = np.arange(-NEAR_MM, NEAR_MM + FINE_MM / 2, FINE_MM)
    fine = _cut_strip(scan.pixels, sheet_map, places + at[:, None] * outwards, outwards, strip.along_mm, near)
    line = _fine_line(fine)
    if line is None:
        return None
    shift, turn, step = line
    ends = np.array([-0.5, 0.5]) * length
    outs = offset + shift + (slope + turn) * ends
    px = sheet_map.to_px(np.array(start) + (ends + length / 2)[:, None] * along + outs[:, None] * outwards)
    direction = px[1] - px[0]
    return Edge(px.mean(axis=0), direction / np.hypot(*direction), step)


def _cut_strip(
    pixels: Pixels, sheet_map: SheetMap, places: Floats, outwards: Floats, along_mm: Floats, steps_mm: Floats
) -> Strip:
    """Bilinear levels at ``places`` (n, 2) mm plus ``steps_mm`` times the unit vector ``outwards`` (2,).

    Beyond the scan a profile goes on with its last level, so that the scan's own border is no step.
    """
    points = sheet_map.to_px(places[:, None, :] + steps_mm[None, :, None] * outwards)
    height, width = pixels.shape[:2]
    inside = np.all((points >= 0) & (points <= (width, height)), axis=-1)
    last = np.where(inside.all(axis=1), len(steps_mm), np.argmin(inside, axis=1)) - 1
    shown = np.minimum(np.arange(len(steps_mm)), np.maximum(last, 0)[:, None])
    levels = interpolated(pixels, points) / float(np.iinfo(pixels.dtype).max)
    return Strip(np.take_along_axis(levels, shown[..., None], axis=1), last, along_mm, steps_mm)


def _rim_mm(plan: SheetPlan, name: EdgeName) -> float:
    """The width of the blank rim along one side: what is printed there, but for rulers, begins behind it."""
    width, height = plan.size_mm
    boxes = [
        *(patch.box_mm for patch in plan.patches),
        *(mark.box_mm for mark in plan.marks),
        *(tag.box_mm for tag in plan.tags),
        *(target.box_mm for target in plan.targets if target.kind != "ruler"),
    ]
    distances = {
        "left": [box.x for box in boxes],
        "right": [width - box.right for box in boxes],
        "top": [box.y for box in boxes],
        "bottom": [height - box.bottom for box in boxes],
    }[name]
    return min(distances, default=0.0)


def _rough_line(strip: Strip) -> tuple[float, float] | None:
    """Offset (mm outwards, at the middle) and slope of the first step that most profiles share."""
    shown = strip.last > 0
    if shown.sum() < LEAST_SHOWN * len(shown):
        return None
    along = strip.along_mm[shown][::2]  # half of them will do
    most = np.tan(np.radians(MOST_SKEW_DEG))
    slopes = np.array(sorted(np.linspace(-most, most, SLOPES), key=abs))
    middle, mean = _lined_up(
        strip.levels[shown][::2], np.rint(slopes[:, None] * along / COARSE_MM).astype(int)
    )
    firsts = _first_steps(middle)
    rises = _rise(mean)
    best: tuple[float, float, float] | None = None
    for slope, first, rise in zip(slopes, firsts.tolist(), rises, strict=True):
        if first < 0:
            continue
        # The median finds the step whatever the rulers do; only the mean tells a wrong slope, by its blur.
        sharpness = float(rise[max(first - 3, 0) : first + 2].max())
        if best is None or sharpness > best[0] + 1e-6:
            best = (sharpness, float(strip.steps_mm[0] + first * COARSE_MM), float(slope))
    return None if best is None else best[1:]


def _lined_up(levels: Floats, moves: NDArray[np.intp]) -> tuple[Floats, Floats]:
    """Median and mean (slopes, 3, m) of profiles (n, m, 3), each moved inwards by so many steps, (slopes, n)."""
    # The profiles last, in 32 bits: NumPy sorts those by vector code.
    flat = np.ascontiguousarray(levels.transpose(2, 0, 1), dtype=np.float32).reshape(3, -1)
    profiles, count = levels.shape[:2]
    middle, mean = np.empty((2, len(moves), 3, count))
    for number, by in enumerate(moves):
        at = np.clip(np.arange(count)[:, None] + by, 0, count - 1) + np.arange(profiles) * count
        ordered = flat.take(at, axis=1)  # (3, count, profiles)
        ordered.sort(axis=-1)
        middle[number] = ordered[..., (profiles - 1) // 2 : profiles // 2 + 1].mean(axis=-1, dtype=np.float64)
        mean[number] = ordered.mean(axis=-1, dtype=np.float64)
    return middle, mean


def _rise(profiles: Floats) -> Floats:
    """Rise of profiles (..., 3, m) over two steps, (..., m − 2): a blurred edge is about as wide."""
    return np.asarray(np.sqrt(np.square(profiles[..., 2:] - profiles[..., :-2]).mean(axis=-2)))


def _first_steps(profiles: Floats) -> NDArray[np.intp]:
    """Index (n,) of the first step that is one in each of profiles (n, 3, m), −1 where there is none."""
    height = _rise(profiles)
    over = height > np.maximum(LEAST_STEP, 5.0 * 1.4826 * median(height))[:, None]
    first = np.argmax(over, axis=1)
    near = np.minimum(first[:, None] + np.arange(4), height.shape[1] - 1)
    highest = first + np.argmax(np.take_along_axis(height, near, axis=1), axis=1)
    return np.where(over.any(axis=1), highest + 1, -1)


def _fine_line(strip: Strip) -> tuple[float, float, float] | None:
    """Offset and slope (mm) of the edge beside the rough line, and the step's height."""
    groups = len(strip.levels) // GROUP
    levels = median(strip.levels[: groups * GROUP].reshape(groups, GROUP, *strip.levels.shape[1:]), axis=1)
    along = strip.along_mm[: groups * GROUP].reshape(groups, GROUP).mean(axis=1)
    whole = (strip.last[: groups * GROUP].reshape(groups, GROUP) == len(strip.steps_mm) - 1).all(axis=1)
    mean = median(levels[whole] if whole.any() else levels, axis=0)
    paper, away = _beside_the_edge(mean)
    step = float(np.sqrt((away**2).mean()))
    if step < LEAST_STEP:
        return None
    share = (levels - paper) @ away / float(away @ away)  # 0 on paper, 1 beyond
    crossing = _half_way(share, strip.steps_mm)
    good = whole & np.isfinite(crossing)
    if good.sum() < max(LEAST_SHARE * whole.sum(), LEAST_SHOWN * groups):
        return None
    line = _robust_line(along[good], crossing[good])
    if line is None:
        return None
    return line[0], line[1], step


def _beside_the_edge(mean: Floats) -> tuple[Floats, Floats]:
    """The paper's level (3,) and what is added to it right beyond the edge, from a mean profile (m, 3).

    That is where the level first turns back: a thin shadow darker than paper may lie before a lid lighter than it.
    """
    rim = round(0.35 / FINE_MM)
    paper = mean[:rim].mean(axis=0)
    off = np.sqrt(((mean[rim:] - paper) ** 2).mean(axis=-1))
    leaves = int(np.argmax(off > TELLING_SHARE * off.max()))
    highest = np.maximum.accumulate(off[leaves:])
    turns = off[leaves:] < TURNED_BACK * highest
    end = int(np.argmax(turns)) if turns.any() else len(turns)
    return paper, mean[rim + leaves + int(np.argmax(off[leaves : leaves + end]))] - paper


def _half_way(share: Floats, steps: Floats) -> Floats:
    """Where each profile (n, m) passes one half nearest to the middle, upwards; NaN where it does not."""
    up = (share[:, :-1] < 0.5) & (share[:, 1:] >= 0.5)
    distance = np.where(up, np.abs(steps[:-1]), np.inf)
    at = np.argmin(distance, axis=1)
    rows = np.arange(len(share))
    low, high = share[rows, at], share[rows, at + 1]
    part = np.where(high > low, (0.5 - low) / np.where(high > low, high - low, 1.0), 0.0)
    return np.where(np.isfinite(distance[rows, at]), steps[at] + part * (steps[1] - steps[0]), np.nan)


def _robust_line(u: Floats, v: Floats) -> tuple[float, float] | None:
    """Offset and slope of v on u: the straight line with most followers among all pairs, then least squares."""
    one, two = np.triu_indices(len(u), k=max(1, len(u) // 4))
    slope = (v[two] - v[one]) / (u[two] - u[one])
    offset = v[one] - slope * u[one]
    followers = np.abs(v - slope[:, None] * u - offset[:, None]) <= STRAIGHT_WITHIN_MM
    keep = followers[int(np.argmax(followers.sum(axis=1)))]
    if keep.sum() < LEAST_SHARE * len(u):
        return None
    for _ in range(2):
        fitted_offset, fitted_slope = straight_line(u[keep], v[keep])
        keep = np.abs(v - fitted_slope * u - fitted_offset) <= STRAIGHT_WITHIN_MM
    return float(fitted_offset), float(fitted_slope)


def _square(edges: dict[EdgeName, Edge]) -> dict[EdgeName, Edge]:
    """Without edges that lie askew to the clearest one: card is cut square."""
    if not edges:
        return edges
    clearest = max(edges, key=lambda name: edges[name].step)
    kept = axis_of(clearest, edges[clearest])

    def askew_deg(name: EdgeName) -> float:
        x, y = axis_of(name, edges[name])
        return abs(degrees(atan2(kept[0] * y - kept[1] * x, kept[0] * x + kept[1] * y)))

    return {name: edge for name, edge in edges.items() if askew_deg(name) <= SQUARE_WITHIN_DEG}
