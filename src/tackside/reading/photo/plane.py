"""From millimetres on a sheet to pixels of a photograph: a plane seen in perspective, through a lens that bends lines.

The plane's homography has eight free numbers (R. Hartley and A. Zisserman, Multiple View Geometry in Computer Vision,
2nd edition 2004, chapter 4); the lens moves points along the radius from the picture's middle by 1 + k1 r² + k2 r⁴
(the same, section 7.4; D. C. Brown, "Close-range camera calibration", Photogrammetric Engineering 37, 1971).
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
from numpy.typing import ArrayLike
from scipy.optimize import least_squares

from tackside.colour.spaces import Floats

# Points that fix the lens beside the planes: fewer bend it to their noise.
FEWEST_FOR_LENS = 10


@dataclass(frozen=True)
class Lens:
    """``middle`` (x, y) and ``reach`` (half a diagonal) in pixels; ``k1``, ``k2``: none bends nothing."""

    middle: tuple[float, float]
    reach: float
    k1: float = 0.0
    k2: float = 0.0

    @classmethod
    def straight(cls, width: int, height: int) -> Lens:
        return cls((width / 2.0, height / 2.0), float(np.hypot(width, height)) / 2.0)

    def bent(self, px: Floats) -> Floats:
        """Where the lens puts points (..., 2) that a straight one would put at ``px``."""
        off = (px - self.middle) / self.reach
        r2 = np.sum(off * off, axis=-1, keepdims=True)
        return np.asarray(px + (px - self.middle) * (self.k1 * r2 + self.k2 * r2 * r2))


@dataclass(frozen=True, eq=False)
class PhotoMap:
    """Millimetres (x, y) on the sheet as asked for → pixels. ``matrix`` (3, 3) to what a straight lens would show."""

    matrix: Floats
    lens: Lens

    def to_px(self, mm: ArrayLike) -> Floats:
        """Pixels (..., 2) of points (..., 2) in mm; the centre of pixel (row i, column j) is (j + ½, i + ½)."""
        return self.lens.bent(projected(self.matrix, np.asarray(mm, dtype=np.float64)))

    def px_per_mm(self, mm: ArrayLike) -> float:
        """The local scale at one point (2,) in mm."""
        at = np.asarray(mm, dtype=np.float64)
        beside = np.array([[0.5, 0.0], [-0.5, 0.0], [0.0, 0.5], [0.0, -0.5]])
        right, left, below, above = self.to_px(at + beside)
        across, down = right - left, below - above
        return float(np.sqrt(abs(across[0] * down[1] - across[1] * down[0])))


def projected(matrix: Floats, mm: Floats) -> Floats:
    """Points (..., 2) through a homography (3, 3)."""
    full = mm @ matrix[:, :2].T + matrix[:, 2]
    return np.asarray(full[..., :2] / full[..., 2:])


def plane_through(mm: Floats, px: Floats) -> Floats | None:
    """The homography (3, 3) through points (n, 2) ↔ (n, 2), n at least 4; None where they do not fix one."""
    middle = mm.mean(axis=0)
    found: Floats | None = cv2.findHomography(mm - middle, px, 0)[0]  # type: ignore[assignment]
    if found is None:
        return None
    shift = np.array([[1.0, 0.0, -middle[0]], [0.0, 1.0, -middle[1]], [0.0, 0.0, 1.0]])
    return np.asarray(found @ shift)


def fit_together(
    planes: list[tuple[Floats, Floats]], starts: list[Floats], lens: Lens
) -> tuple[list[PhotoMap], Lens]:
    """All sheets' planes and the one lens before them, by least squares in pixels.

    ``planes``: marks in mm (n, 2) and in pixels (n, 2) of each sheet; ``starts``: a homography (3, 3) of each.
    """
    bends = sum(len(mm) for mm, _ in planes) >= FEWEST_FOR_LENS
    # Numbers of about one: mm and pixels counted from the middles, in units of the picture's reach.
    unit = _counted_from(lens.middle, lens.reach)
    frames, first = [], []
    for (mm, _), start in zip(planes, starts, strict=True):
        middle = mm.mean(axis=0)
        frame = _counted_from((middle[0], middle[1]), max(float(np.ptp(mm, axis=0).max()), 1.0))
        frames.append(frame)
        own = unit @ start @ np.linalg.inv(frame)
        first.append((own / own[2, 2]).ravel()[:8])
    seen = np.concatenate([(px - lens.middle) / lens.reach for _, px in planes])

    def placed(numbers: Floats) -> Floats:
        parts = []
        for k, (mm, _) in enumerate(planes):
            matrix = np.append(numbers[8 * k : 8 * k + 8], 1.0).reshape(3, 3)
            parts.append(projected(matrix, projected(frames[k], mm)))
        straight = np.concatenate(parts)
        r2 = np.sum(straight**2, axis=1, keepdims=True)
        return np.asarray(straight * (1.0 + numbers[-2] * r2 + numbers[-1] * r2 * r2))

    def off(numbers: Floats) -> Floats:
        # A lens bends by a few per cent; without this its two numbers may run against each other.
        prior = numbers[-2:] * (2e-4 if bends else 1e3)
        return np.concatenate([(placed(numbers) - seen).ravel(), prior])

    scale = 0.5 / lens.reach
    solved = least_squares(off, np.concatenate([*first, [0.0, 0.0]]), loss="soft_l1", f_scale=2 * scale).x
    bent = Lens(lens.middle, lens.reach, float(solved[-2]), float(solved[-1]))
    back = np.linalg.inv(unit)
    maps = [
        PhotoMap(back @ np.append(solved[8 * k : 8 * k + 8], 1.0).reshape(3, 3) @ frames[k], bent)
        for k in range(len(planes))
    ]
    return maps, bent


def _counted_from(middle: tuple[float, float], size: float) -> Floats:
    """The (3, 3) matrix that makes points count from ``middle`` in units of ``size``."""
    x, y = middle
    return np.array([[1 / size, 0.0, -x / size], [0.0, 1 / size, -y / size], [0.0, 0.0, 1.0]])
