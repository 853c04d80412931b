"""Tone and edges that a program changed after the scan: levels that a curve left out or piled up, ends that it cut off,
a white that was pulled to the end, contrast that differs from place to place, halos of sharpening.

The print's own curve is not known, so nothing is said by how dark a grey step came out; only by what the file's numbers
can't be without such a change.

Sharpening works on the file's numbers; so its halo is sought there and not in linear light: card that is brighter
beside an edge than further away is no optics' doing. The slanted edges of the sheet are taken where they show at 290
ppi or more, the outlines of the marks besides.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.reading.scan.colours import WITHIN, Sampled, extent, interpolated, is_inside
from tackside.reading.scan.geometry.mapping import median
from tackside.reading.spoilt.samples import Part, ScanSamples, as_bytes, cut
from tackside.records import Patch
from tackside.units import Box

# Below, a scanner's own converter of 10 bits leaves levels out by the file's transfer curve alone; above, paper ends.
FIRST, LAST = 40, 250
# A level between two that are each this often met, and itself hardly: no print and no noise does that.
OFTEN, HARDLY = 60, 0.04
EQUAL_ENDS = 3  # so many greys in a row at the very end of the numbers
THINNER = 5


def histogram(samples: ScanSamples) -> NDArray[np.intp]:
    """How often each of 256 levels is met, (3, 256)."""
    flat = samples.thin.reshape(-1, 3)
    thin = flat if flat.itemsize == 1 else flat >> 8
    return np.stack([np.bincount(thin[:, band], minlength=256) for band in range(3)])


def missing_levels(counts: NDArray[np.intp]) -> list[NDArray[np.intp]]:
    """Of each channel the levels that a curve left out: hardly met, between two that are met often."""
    found = []
    for row in counts:
        beside = np.minimum(row[FIRST - 1 : LAST - 1], row[FIRST + 1 : LAST + 1])
        found.append(FIRST + np.flatnonzero((beside >= OFTEN) & (row[FIRST:LAST] <= HARDLY * beside)))
    return found


def white_end(samples: ScanSamples) -> float:
    """The share, 0 to 1, of the sheet's light neutral pixels that lie at the very end in all channels at once.
    Saturated inks reach an end in one channel by rights, and card in none.
    """
    some = samples.thin.reshape(-1, 3)[::THINNER]
    top = np.iinfo(some.dtype).max
    red, green, blue = some.T  # NumPy's least over a short axis takes ten times as long
    low = np.minimum(np.minimum(red, green), blue)
    high = np.maximum(np.maximum(red, green), blue)
    light = int(np.sum((low > 0.86 * top) & (high - low < 0.05 * top)))
    return int(np.sum(low == top)) / max(light, 1)


def bare_card(samples: ScanSamples) -> tuple[Floats, Floats]:
    """Places (n, 2) in mm beside the marks and the numbers (n, 3), 0 to 255, of bare card there."""
    places, numbers = [], []
    for mark, _ in samples.sheet.marks:
        box = mark.box_mm
        module = box.w / 6
        for one in (
            Box(box.x - 0.95 * module, box.y, 0.7 * module, box.h),
            Box(box.x + box.w + 0.25 * module, box.y, 0.7 * module, box.h),
            Box(box.x, box.y - 0.95 * module, box.w, 0.7 * module),
            Box(box.x, box.y + box.h + 0.25 * module, box.w, 0.7 * module),
        ):
            if not is_inside(samples.scan.pixels, samples.sheet.map, one):
                continue
            corners = samples.sheet.map.to_px([[one.x, one.y], [one.right, one.bottom]])
            (left, top), (right, bottom) = np.sort(corners, axis=0).astype(int).tolist()
            part = cut(samples.scan, (left, top, max(right, left + 1), max(bottom, top + 1)))
            places.append(one.centre)
            numbers.append(median(as_bytes(part).reshape(-1, 3), axis=0))
    return (
        np.array(places, dtype=np.float64).reshape(-1, 2),
        np.array(numbers, dtype=np.float64).reshape(-1, 3),
    )


def unsteady(places: Floats, numbers: Floats) -> float:
    """How far bare card differs from place to place, levels of 255 (robust standard deviation), light that falls off
    smoothly over the sheet left out of account.
    """
    if len(places) < 8:
        return 0.0
    at = places - places.mean(axis=0)
    design = np.column_stack([np.ones(len(at)), at])
    green = numbers[:, 1]
    left = green - design @ np.linalg.lstsq(design, green, rcond=None)[0]
    return float(1.4826 * median(np.abs(left - median(left))))


def cut_off_greys(patches: Sequence[Patch], sampled: Sampled) -> str | None:
    """Greys that ought to differ and lie at the very end of the numbers: ``dark``, ``light`` or ``both-ends``."""
    greys = sorted(
        (patch.rgb[0], number)
        for number, patch in enumerate(patches)
        if max(patch.rgb) - min(patch.rgb) < 1e-6
    )
    if len(greys) < 3 * EQUAL_ENDS:
        return None
    order = [number for _, number in greys]
    numbers = sampled.numbers[order]
    asked = np.array([level for level, _ in greys])
    exact = np.abs(numbers - asked[:, None]).max(axis=1) <= WITHIN  # reads as asked: nothing was cut
    dark = (numbers.max(axis=1) <= 0.002) & ~exact
    light = (numbers.min(axis=1) >= 0.998) & ~exact
    shut = _run(dark) >= EQUAL_ENDS, _run(light[::-1]) >= EQUAL_ENDS
    if not any(shut):
        return None
    return "both-ends" if all(shut) else "dark" if shut[0] else "light"


def _run(cut: NDArray[np.bool_]) -> int:
    """How many are cut from the first on, the very end (bare card, black) left out of account."""
    found = 0
    for number, each in enumerate(cut):
        if number > 0 and not each:
            break
        found += bool(each)
    return found


# Profiles across an outline of a mark: so many beside each other, so many points to a module of the mark.
BESIDE, POINTS = 32, 32
# A mark's black frame is one module wide and the white around it one and a quarter; from the edge, in modules.
INSIDE, OUTSIDE = 0.85, 1.1
# Levels of 255 that an outline must step by, and how many of them there must be.
LEAST_STEP, FEWEST = 40.0, 6


@dataclass(frozen=True, eq=False)
class MarkOutline:
    """The mean profile across one side of a mark, ``at`` (n,) px from the edge, dark inside (negative) to light;
    ``light`` (n,) levels of 255.
    """

    at: Floats
    light: Floats
    part: Part

    @property
    def step(self) -> float:
        return float(median(self.light[-8:]) - median(self.light[:8]))


def outlines(samples: ScanSamples) -> list[MarkOutline]:
    """Each side of each mark that shows."""
    found = []
    scale = samples.sheet.map.px_per_mm
    height, width = samples.scan.pixels.shape[:2]
    top = float(np.iinfo(samples.scan.pixels.dtype).max)
    green = samples.scan.pixels[..., 1]
    along = np.linspace(0.2, 0.8, BESIDE)
    for mark, _ in samples.sheet.marks:
        box = mark.box_mm
        module = box.w / 6
        off = np.linspace(-INSIDE, OUTSIDE, round(POINTS * (INSIDE + OUTSIDE))) * module
        for side in range(4):
            mm = np.empty((BESIDE, len(off), 2))
            run, across = (1, 0) if side < 2 else (0, 1)
            mm[..., run] = (box.y if run else box.x) + (along * box.w)[:, None]
            edge, out = ((box.x, -1), (box.x + box.w, 1), (box.y, -1), (box.y + box.h, 1))[side]
            mm[..., across] = edge + out * off[None]
            px = samples.sheet.map.to_px(mm)
            low, high = extent(px)
            if low.min() < 1 or high[0] > width - 2 or high[1] > height - 2:
                continue
            profile = (interpolated(green, px) / top * 255.0).mean(axis=0)
            part = (int(low[0]), int(low[1]), int(high[0]) + 1, int(high[1]) + 1)
            found.append(_centred(off * scale, profile, part))
    return found


def _centred(at: Floats, light: Floats, part: Part) -> MarkOutline:
    """Counted from where the profile passes its middle."""
    middle = (median(light[:8]) + median(light[-8:])) / 2
    crossing = np.flatnonzero((light[:-1] < middle) & (light[1:] >= middle))
    place = at[crossing[0]] if len(crossing) else 0.0
    return MarkOutline(at - place, light, part)


@dataclass(frozen=True)
class Halo:
    """How far card beside the edges goes beyond its plateau, share of the step; ``part``: the edge with the plainest
    halo, None where too few edges show.
    """

    light: float
    part: Part | None


def halo(samples: ScanSamples) -> Halo:
    """Of the mean of all outlines, laid upon each other where they pass their middles: what noise does cancels out."""
    some = [one for one in outlines(samples) if one.step > LEAST_STEP]
    if len(some) < FEWEST:
        return Halo(0.0, None)
    reach = min(float(min(-one.at[0], one.at[-1])) for one in some)
    at = np.arange(-reach, reach, 0.2)
    shares = np.stack([np.interp(at, one.at, (one.light - median(one.light[:8])) / one.step) for one in some])
    mean = shares.mean(axis=0)
    plainest = int(np.argmax(np.ptp(shares, axis=1)))
    return Halo(_beyond(at, mean), some[plainest].part)


def _beyond(at: Floats, share: Floats) -> float:
    """How far the light side goes beyond its own plateau near the edge, share of the step; 0 where it does not."""
    reach = float(at.max())
    far, near = at > 0.62 * reach, (at > 0.4) & (at < 0.55 * reach)
    if far.sum() < 5 or near.sum() < 5:
        return 0.0
    plateau = float(median(share[far]))
    return max(float(np.convolve(share[near], np.ones(3) / 3, mode="valid").max()) - plateau, 0.0)
