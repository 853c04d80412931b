"""Edges in the file's own numbers: card that is brighter beside an edge than further away is no optics' doing.

Sharpening works on the file's numbers; so its halo is sought there and not in linear light. The slanted edges of the
sheet are taken where they show at 290 ppi or more, the outlines of the marks besides.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import Floats
from tackside.reading.scan.colours import interpolated
from tackside.reading.spoilt.samples import Part, ScanSamples

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
        return float(np.median(self.light[-8:]) - np.median(self.light[:8]))


def outlines(samples: ScanSamples) -> list[MarkOutline]:
    """Each side of each mark that shows."""
    found = []
    scale = samples.sheet.map.px_per_mm
    height, width = samples.scan.pixels.shape[:2]
    top = float(np.iinfo(samples.scan.pixels.dtype).max)
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
            low, high = px.min(axis=(0, 1)), px.max(axis=(0, 1))
            if low.min() < 1 or high[0] > width - 2 or high[1] > height - 2:
                continue
            numbers = interpolated(samples.scan.pixels, px)[..., 1] / top * 255.0
            profile = numbers.mean(axis=0)
            part = (int(low[0]), int(low[1]), int(high[0]) + 1, int(high[1]) + 1)
            found.append(_centred(off * scale, profile, part))
    return found


def _centred(at: Floats, light: Floats, part: Part) -> MarkOutline:
    """Counted from where the profile passes its middle."""
    middle = (np.median(light[:8]) + np.median(light[-8:])) / 2
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
    shares = np.stack(
        [np.interp(at, one.at, (one.light - np.median(one.light[:8])) / one.step) for one in some]
    )
    mean = shares.mean(axis=0)
    plainest = int(np.argmax(np.ptp(shares, axis=1)))
    return Halo(_beyond(at, mean), some[plainest].part)


def _beyond(at: Floats, share: Floats) -> float:
    """How far the light side goes beyond its own plateau near the edge, share of the step; 0 where it does not."""
    reach = float(at.max())
    far, near = at > 0.62 * reach, (at > 0.4) & (at < 0.55 * reach)
    if far.sum() < 5 or near.sum() < 5:
        return 0.0
    plateau = float(np.median(share[far]))
    return max(float(np.convolve(share[near], np.ones(3) / 3, mode="valid").max()) - plateau, 0.0)
