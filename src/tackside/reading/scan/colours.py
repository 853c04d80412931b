"""From a scan's numbers to CIE colours, by its own profile or as sRGB: of flat areas, and of parts pixel by pixel.

A scanner's white is the perfect diffuser, so its numbers are taken media-relative: the paper's own white
stays in the colours. Averages are made in XYZ, in linear light, as an instrument's aperture makes them.

LittleCMS is exact for any profile, but too slow for millions of pixels. Most scanners' profiles, and sRGB, are three
curves and a matrix (ICC.1, clause 8.3). For parts, the curves are taken from the profile by LittleCMS itself, channel
by channel; the sums are then tried on colours from all over the cube, and where they stray LittleCMS does the work
after all.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import cv2
import numpy as np
from numpy.typing import NDArray

from tackside.colour.difference import delta_e_76
from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import rgb_codes_to_lab_by_profile, rgb_to_lab_by_profile
from tackside.reading.scan.geometry.mapping import SheetMap, median
from tackside.reading.scan.image_file import Pixels, ScanImage
from tackside.units import Box

# The inner part of a patch's width and height: what is left out keeps clear of blur, of ink that spread and of a print
# that lies a few tenths of a millimetre off where the marks say.
INNER = 0.6
MOST_SAMPLES_A_SIDE = 32
_AT_ONCE = 16_384  # samples: 0.4 MB of colours
# A patch that reads so near what it asks for lost nothing at the ends of the numbers.
WITHIN = 2.0 / 255.0
# Beyond so many robust standard deviations of lightness a pixel is dust or a scratch.
DUST_SD = 4.0
MAD_TO_SD = 1.4826
# Curves and a matrix in a profile's place: points of a curve; how far they may stray, ΔE*ab, on so many steps a side.
_NODES = 4096
_CLOSE = 0.5
_TRIED = 7
_LEVELS = np.linspace(0.0, 1.0, _NODES)


@dataclass(frozen=True, eq=False)
class Sampled:
    """Colours of flat areas: ``lab`` (n, 3) CIELAB D50, ``sd`` (n,) ΔE*ab spread within, ``clipped`` (n,) bool.

    ``numbers`` (n, 3): the mean of the scan's own numbers, 0 to 1.

    ``colourless``: red, green and blue are the very same in every pixel, as in a grey scan saved as RGB.
    """

    lab: Floats
    sd: Floats
    clipped: NDArray[np.bool_]
    numbers: Floats
    colourless: bool


def _profile_of(scan: ScanImage) -> bytes:
    return scan.profile if scan.profile is not None else working_space_profile("srgb")


def is_inside(pixels: Pixels, sheet_map: SheetMap, box: Box) -> bool:
    """Whether the whole of a box shows in the scan."""
    height, width = pixels.shape[:2]
    corners = sheet_map.to_px(
        [[box.x, box.y], [box.right, box.y], [box.right, box.bottom], [box.x, box.bottom]]
    )
    return bool(np.all(corners >= 0) and np.all(corners[:, 0] <= width) and np.all(corners[:, 1] <= height))


def sample_boxes(scan: ScanImage, sheet_map: SheetMap, boxes: list[Box]) -> Sampled:
    """The robust mean colour of the inner part of each box (mm), and the spread in it.

    Boxes must lie inside the scan. Dust is left out by lightness; the mean of the rest is taken in XYZ.
    """
    if not boxes:
        return Sampled(
            np.empty((0, 3)), np.empty(0), np.empty(0, dtype=np.bool_), np.empty((0, 3)), colourless=False
        )
    side_px = min(min(box.w, box.h) for box in boxes) * INNER * sheet_map.px_per_mm
    count = int(np.clip(round(side_px), 4, MOST_SAMPLES_A_SIDE))
    inside = (np.arange(count) + 0.5) / count - 0.5
    across, along = np.meshgrid(inside * INNER, inside * INNER)
    unit = np.stack([across.ravel(), along.ravel()], axis=-1)
    corner = np.array([[box.x + box.w / 2, box.y + box.h / 2] for box in boxes])
    size = np.array([[box.w, box.h] for box in boxes])
    numbers = np.empty((len(boxes), len(unit), 3), scan.pixels.dtype)
    top = np.iinfo(scan.pixels.dtype).max
    some = _blocks(len(boxes), len(unit))
    for part in some:
        at = sheet_map.to_px(corner[part, None] + unit * size[part, None])
        numbers[part] = numbers_at(scan.pixels, at)
    lab = rgb_codes_to_lab_by_profile(numbers.reshape(-1, 3), _profile_of(scan)).reshape(numbers.shape)
    mean, sd = (np.concatenate(each) for each in zip(*(_means(lab[part]) for part in some), strict=True))
    return Sampled(
        mean,
        sd,
        np.concatenate([_at_ends(numbers[part]) for part in some]) > 0.05,
        numbers.mean(axis=1) / top,
        colourless=bool(np.all(numbers == numbers[..., :1])),
    )


def _at_ends(numbers: Pixels) -> Floats:
    """The largest share (n,) of samples at either end of the numbers in a channel of (n, samples, 3)."""
    ends = (numbers == 0) | (numbers == np.iinfo(numbers.dtype).max)
    return np.asarray(ends.mean(axis=1).max(axis=-1)) if ends.any() else np.zeros(len(numbers))


def _blocks(boxes: int, samples: int) -> list[slice]:
    """The boxes, as many at a time as keep what is worked out of their samples in the processor's cache."""
    count = max(_AT_ONCE // samples, 1)
    return [slice(first, first + count) for first in range(0, boxes, count)]


def numbers_at(pixels: Pixels, at: Floats) -> Pixels:
    """The scan's own numbers at pixel positions (..., 2): nearest pixels, nothing interpolated."""
    height, width = pixels.shape[:2]
    column = np.clip(at[..., 0].astype(np.intp), 0, width - 1)  # towards 0, where clipping goes as well
    row = np.clip(at[..., 1].astype(np.intp), 0, height - 1)
    return pixels[row, column]


def extent(at: Floats) -> tuple[Floats, Floats]:
    """The least and the greatest (2,) of positions (..., 2)."""
    each = np.ascontiguousarray(at.reshape(-1, 2).T)  # over a narrow array NumPy takes ten times as long
    return each.min(axis=1), each.max(axis=1)


def interpolated(pixels: Pixels, at: Floats) -> Floats:
    """The numbers (..., 3), or (...) of one channel's pixels (h, w), at ``at`` (..., 2): bilinear, pixel centres lying
    at halves.
    """
    height, width = pixels.shape[:2]
    low, high = extent(at)
    left, top = np.clip(np.floor(low).astype(int) - 2, 0, (width - 1, height - 1)).tolist()
    right, bottom = np.clip(np.ceil(high).astype(int) + 2, (left + 1, top + 1), (width, height)).tolist()
    part = np.ascontiguousarray(pixels[top:bottom, left:right], dtype=np.float32)
    x, y = (
        np.ascontiguousarray(at[..., axis] - (left, top)[axis] - 0.5, dtype=np.float32) for axis in (0, 1)
    )
    seen = cv2.remap(part, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(seen, dtype=np.float64)


def _means(lab: Floats) -> tuple[Floats, Floats]:
    """Mean of (n, samples, 3) in XYZ without dust, as CIELAB, and the RMS ΔE*ab about it."""
    lightness = lab[..., 0]
    off = np.abs(lightness - median(lightness)[:, None])
    kept = off <= DUST_SD * np.maximum(MAD_TO_SD * median(off), 0.2)[:, None]
    weight = kept / kept.sum(axis=1)[:, None]
    mean = xyz_to_lab((weight[:, None] @ lab_to_xyz(lab))[:, 0])
    sd = np.sqrt((weight[:, None] @ np.square(lab - mean[:, None, :])).sum(axis=(1, 2)))
    return mean, sd


@dataclass(frozen=True, eq=False)
class _Matrix:
    """``curves`` (3, numbers): linear light of each channel for each number; ``columns`` (3, 3): XYZ of full
    strength.
    """

    curves: NDArray[np.float32]
    columns: NDArray[np.float32]


def numbers_to_xyz(scan: ScanImage, numbers: Pixels) -> Floats:
    """XYZ (..., 3), Y = 1 for the perfect diffuser, of the scan's own numbers (..., 3)."""
    profile = _profile_of(scan)
    matrix = _matrix_of(profile, scan.bits)
    if matrix is None:
        return lab_to_xyz(rgb_codes_to_lab_by_profile(numbers.reshape(-1, 3), profile)).reshape(numbers.shape)
    light = np.stack([matrix.curves[band][numbers[..., band]] for band in range(3)], axis=-1)
    return np.asarray(light @ matrix.columns.T, dtype=np.float64)


@dataclass(frozen=True, eq=False)
class Window:
    """``xyz`` (rows, columns, 3): the pixels around one box, Y = 1 for the perfect diffuser; (rows, columns, 1) once
    ``only`` one of the bands is asked for.

    ``left``, ``top``: the part's place in the scan, px.
    """

    xyz: Floats
    left: int
    top: int
    map: SheetMap

    def only(self, band: int) -> Window:
        """The same pixels in one band, 0, 1 or 2 for X, Y or Z."""
        return replace(self, xyz=self.xyz[..., band : band + 1])

    def at(self, mm: Floats, interpolation: int = cv2.INTER_CUBIC) -> Floats:
        """XYZ (..., 3), or one band (..., 1), at points (..., 2) in mm."""
        points = self.map.to_px(mm) - (self.left, self.top) - 0.5
        x, y = (np.ascontiguousarray(points[..., axis], dtype=np.float32) for axis in (0, 1))
        seen = cv2.remap(self.xyz.astype(np.float32), x, y, interpolation, borderMode=cv2.BORDER_REPLICATE)
        # OpenCV leaves out an axis of one.
        return np.asarray(seen, dtype=np.float64).reshape(*x.shape, self.xyz.shape[-1])


def window(scan: ScanImage, sheet_map: SheetMap, box: Box, margin_mm: float = 0.1) -> Window | None:
    """The pixels around ``box``; None where the scan does not show the whole of it."""
    if not is_inside(scan.pixels, sheet_map, box):
        return None
    wide = Box(box.x - margin_mm, box.y - margin_mm, box.w + 2 * margin_mm, box.h + 2 * margin_mm)
    corners = sheet_map.to_px(
        [[wide.x, wide.y], [wide.right, wide.y], [wide.right, wide.bottom], [wide.x, wide.bottom]]
    )
    height, width = scan.pixels.shape[:2]
    left, top = np.clip(np.floor(corners.min(axis=0)).astype(int) - 1, 0, None).tolist()
    right, bottom = np.minimum(np.ceil(corners.max(axis=0)).astype(int) + 1, (width, height)).tolist()
    part = scan.pixels[top:bottom, left:right]
    return Window(numbers_to_xyz(scan, part), int(left), int(top), sheet_map)


@lru_cache(maxsize=4)
def _matrix_of(profile: bytes, bits: int) -> _Matrix | None:
    probe = _probed(profile, bits)
    top = 2**bits - 1
    curves, columns = [], []
    for xyz in probe.ramps:
        along = (xyz - xyz[0]) @ (xyz[-1] - xyz[0])
        if along[-1] <= 0:
            return None
        curves.append(np.interp(np.arange(top + 1) / top, _LEVELS, along / along[-1]))
        columns.append(xyz[-1] - xyz[0])
    matrix = _Matrix(np.array(curves, dtype=np.float32), np.column_stack(columns).astype(np.float32))
    light = np.stack([matrix.curves[band][probe.tried[:, band]] for band in range(3)], axis=-1)
    ours = xyz_to_lab(np.maximum(np.asarray(light @ matrix.columns.T, dtype=np.float64), 0.0))
    return matrix if float(delta_e_76(probe.lab, ours).max()) <= _CLOSE else None


@dataclass(frozen=True, eq=False)
class _Probe:
    """What a profile makes of each channel alone, ``ramps`` (3, nodes, 3) in XYZ at ``_LEVELS``, and of numbers from
    all over the cube: ``tried`` (n, 3), ``lab`` (n, 3).
    """

    ramps: Floats
    tried: NDArray[np.int64]
    lab: Floats


@lru_cache(maxsize=4)
def _probed(profile: bytes, bits: int) -> _Probe:
    """All of it by one call: LittleCMS takes longer to prepare a profile than for so few colours."""
    top = 2**bits - 1
    ramps = _LEVELS[:, None] * np.eye(3)[:, None]
    steps = np.linspace(0, top, _TRIED).astype(np.int64)
    tried = np.stack(np.meshgrid(steps, steps, steps), axis=-1).reshape(-1, 3)
    lab = rgb_to_lab_by_profile(np.concatenate([ramps.reshape(-1, 3), tried / top]), profile)
    return _Probe(lab_to_xyz(lab[: 3 * _NODES]).reshape(3, _NODES, 3), tried, lab[3 * _NODES :])


def primaries(scan: ScanImage) -> Floats:
    """XYZ (3, 3) of the file's full red, green and blue, as columns."""
    return np.asarray(_probed(_profile_of(scan), scan.bits).ramps[:, -1].T)
