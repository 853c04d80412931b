"""Lines as printed: width, blurriness, raggedness and contrast, by the definitions of ISO/IEC 24790 (earlier 13660).

With R the reflectance factor: the edge lies at R60 = Rmax − 0.6 · (Rmax − Rmin); width is the mean distance
between R60 edges; blurriness the mean distance between the 10 % and 90 % contours; raggedness the standard deviation of
the R60 edge about its fitted line; contrast (Rpaper − Rline) / Rpaper. The scanner's own blur is included.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np

from tackside.bench.records import Attribute, Target
from tackside.colour.spaces import Floats, lab_to_xyz
from tackside.reading.scan.colours import is_inside, to_lab
from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.mapping import SheetMap

LEAST_PPI = 290.0  # the standard asks for 600 and more; below this a line of 0.5 mm is five pixels wide
WIDTHS_MM = (0.3, 1.0)  # thinner lines never reach their own full depth in a flatbed's blur
ROWS = 60
STEP_MM = 0.01
ENDS = 0.12  # of a line's length, left out at each end


def line_attributes(
    scan: ScanImage, sheet_map: SheetMap, targets: Sequence[Target], ppi: float
) -> tuple[dict[str, Attribute], tuple[str, ...]]:
    """Attributes of the black lines by direction, and a notice where the scan is too coarse for them."""
    black = [
        target
        for target in targets
        if target.kind == "line" and target.ink == (0.0, 0.0, 0.0) and target.ground == (1.0, 1.0, 1.0)
        if target.width_mm is not None and WIDTHS_MM[0] <= target.width_mm <= WIDTHS_MM[1]
        if is_inside(scan.pixels, sheet_map, target.box_mm)
    ]
    if not black:
        return {}, ()
    if ppi < LEAST_PPI:
        return {}, (f"Lines are not judged at {ppi:.0f} ppi: scan at 300 ppi or more, 600 is better.",)
    found: dict[str, Attribute] = {}
    for direction in ("horizontal", "vertical"):
        ones = [_measure(scan, sheet_map, target) for target in black if target.direction == direction]
        measured = np.array([one for one in ones if one is not None])
        if len(measured) == 0:
            continue
        for column, (name, unit) in enumerate(
            (
                ("line_gain", "µm"),
                ("line_blurriness", "µm"),
                ("line_raggedness", "µm"),
                ("line_contrast", "1"),
            )
        ):
            values = measured[:, column]
            spread = float(values.std(ddof=1)) if len(values) > 1 else None
            found[f"{name}_{direction}"] = Attribute(value=float(values.mean()), unit=unit, sd=spread)
    return found, ()


def _measure(
    scan: ScanImage, sheet_map: SheetMap, target: Target
) -> tuple[float, float, float, float] | None:
    """Gain, blurriness, raggedness (µm) and contrast of one line, None where it has no two edges."""
    assert target.width_mm is not None
    profiles, steps = _profiles(scan, sheet_map, target)
    mean = profiles.mean(axis=0)
    middle = len(steps) // 2
    paper = float(np.median(np.concatenate([mean[: middle // 4], mean[-(middle // 4) :]])))
    dark = float(mean[middle - 2 : middle + 3].mean())
    if paper - dark < 0.05:
        return None
    levels = {share: paper - share * (paper - dark) for share in (0.1, 0.6, 0.9)}
    sides = {
        share: (_crossings(profiles[:, middle::-1], level), _crossings(profiles[:, middle:], level))
        for share, level in levels.items()
    }
    before, after = (each * STEP_MM for each in sides[0.6])
    whole = np.isfinite(before) & np.isfinite(after)
    if whole.sum() < ROWS // 2:
        return None
    width = float(np.mean(before[whole] + after[whole]))
    blurs = [(sides[0.1][side] - sides[0.9][side]) * STEP_MM for side in (0, 1)]
    rows = np.arange(len(before))[whole]
    ragged = [
        float(np.std(edge[whole] - np.polyval(np.polyfit(rows, edge[whole], 1), rows)))
        for edge in (before, after)
    ]
    return (
        1000 * (width - target.width_mm),
        1000 * float(np.nanmean(np.concatenate(blurs))),
        1000 * float(np.mean(ragged)),
        (paper - dark) / paper,
    )


def _profiles(scan: ScanImage, sheet_map: SheetMap, target: Target) -> tuple[Floats, Floats]:
    """Luminous reflectance (rows, steps) across the line, the line in the middle, and the steps in mm."""
    assert target.width_mm is not None
    box = target.box_mm
    upright = target.direction == "vertical"
    length, room = (box.h, box.w) if upright else (box.w, box.h)
    half = max(min(room / 2, target.width_mm / 2 + 0.45), target.width_mm / 2 + 0.15)
    count = int(half / STEP_MM)
    steps = np.arange(-count, count + 1) * STEP_MM
    places = (np.linspace(ENDS, 1 - ENDS, ROWS) - 0.5) * length
    along, across = np.meshgrid(places, steps, indexing="ij")
    offsets = np.stack([across, along] if upright else [along, across], axis=-1)
    points = sheet_map.to_px(np.array(box.centre) + offsets)
    left, top = np.floor(np.clip(points.reshape(-1, 2).min(axis=0) - 2, 0, None)).astype(int)
    right, bottom = np.ceil(points.reshape(-1, 2).max(axis=0) + 2).astype(int)
    part = scan.pixels[top:bottom, left:right]
    shown = to_lab(scan, part / float(np.iinfo(scan.pixels.dtype).max))
    light = lab_to_xyz(shown)[..., 1].astype(np.float32)
    x, y = (
        np.ascontiguousarray(points[..., axis] - (left, top)[axis] - 0.5, dtype=np.float32) for axis in (0, 1)
    )
    sampled = cv2.remap(light, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(sampled, dtype=np.float64), np.asarray(steps, dtype=np.float64)


def _crossings(outwards: Floats, level: float) -> Floats:
    """Steps from the middle to where each profile (n, m) first rises above ``level``, interpolated; NaN: never."""
    above = outwards >= level
    first = np.argmax(above, axis=1)
    rows = np.arange(len(outwards))
    before = np.maximum(first - 1, 0)
    low, high = outwards[rows, before], outwards[rows, first]
    share = np.where(high > low, (level - low) / np.where(high > low, high - low, 1.0), 0.0)
    return np.where(above.any(axis=1) & (first > 0), before + share, np.nan)
