"""What can be seen in a scan before anything is known of it: fiducial marks and tags, in pixels.

Marks are sought in a grey image of 150 ppi or a little more, and their corners are then found again on the full
raster: their sides are fitted by lines, and lines intersected. Ink that spreads moves opposite sides alike, so the
centre of a square stays where it was asked for.

A tag is a QR code (ISO/IEC 18004) that names its trial. All of a scan is searched first. Where the marks say that a tag
lies in a place and none was read, that place alone is looked at again, upright and enlarged: a washed-out or coarse
code is often read then.
"""

from __future__ import annotations

from dataclasses import dataclass
from math import ceil, hypot, sqrt
from typing import Any

import cv2
import numpy as np
import pyvips
import zxingcpp
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.reading.scan.geometry.mapping import Mapped, median, straight_line
from tackside.reading.scan.image_file import Pixels, ScanImage
from tackside.records import Tag
from tackside.units import MM_PER_INCH, Box

Grey = NDArray[np.uint8]
Line = tuple[Floats, Floats]  # a point on it (2,) and its direction (2,)

PREFIX = "TACKSIDE/1/"
_FORMATS = zxingcpp.BarcodeFormats([zxingcpp.BarcodeFormat.QRCode])
# How the second look sees a tag: its box with the quiet zone, at so many pixels a side.
_QUIET_SHARE = 0.12
_LOOK_PX = 420


@dataclass(frozen=True, eq=False)
class SeenTag:
    """One tag: its text and its centre (2,) in pixels of the scan."""

    text: str
    centre: Floats

    @property
    def trial(self) -> str | None:
        """The trial it names; None for a code that is none of ours."""
        return trial_named(self.text)


def trial_named(text: str) -> str | None:
    """The trial that a tag's text names, whatever page it stands on; None where it is none of ours."""
    return text.removeprefix(PREFIX).partition("/")[0] if text.startswith(PREFIX) else None


def find_tags(grey: Grey, factor: int) -> tuple[SeenTag, ...]:
    """All QR codes in a grey image that is ``factor`` times smaller than the scan."""
    found = []
    for code in zxingcpp.read_barcodes(grey, formats=_FORMATS):
        at = code.position
        points = [at.top_left, at.top_right, at.bottom_right, at.bottom_left]
        centre = np.mean([[point.x + 0.5, point.y + 0.5] for point in points], axis=0) * factor
        found.append(SeenTag(code.text, centre))
    return tuple(found)


def look_again(pixels: Pixels, sheet_map: Mapped, tag: Tag) -> SeenTag | None:
    """The tag that lies where the plan has one, read from the full raster; None where it can't be."""
    side = tag.box_mm.w * _QUIET_SHARE
    grey = _upright(pixels, sheet_map, tag.box_mm.shrunk(-side))
    for look in (grey, cv2.GaussianBlur(grey, (0, 0), _LOOK_PX / 150)):
        for binarizer in (zxingcpp.Binarizer.LocalAverage, zxingcpp.Binarizer.GlobalHistogram):
            for code in zxingcpp.read_barcodes(look, formats=_FORMATS, binarizer=binarizer):
                return SeenTag(code.text, sheet_map.to_px(tag.box_mm.centre))
    return None


def _upright(pixels: Pixels, sheet_map: Mapped, box: Box) -> Grey:
    """The box as the sheet has it, 8-bit grey, its range stretched to the full one."""
    steps = (np.arange(_LOOK_PX) + 0.5) / _LOOK_PX
    across, down = np.meshgrid(box.x + steps * box.w, box.y + steps * box.h)
    points = sheet_map.to_px(np.stack([across, down], axis=-1))
    left, top = np.clip(np.floor(points.reshape(-1, 2).min(axis=0)).astype(int) - 2, 0, None)
    right, bottom = np.ceil(points.reshape(-1, 2).max(axis=0)).astype(int) + 2
    part = pixels[top : max(bottom, 0), left : max(right, 0)]
    if part.size == 0:
        return np.full((_LOOK_PX, _LOOK_PX), 255, np.uint8)
    grey = part.astype(np.float32).mean(axis=2)
    x, y = (np.ascontiguousarray(points[..., k] - (left, top)[k] - 0.5, dtype=np.float32) for k in (0, 1))
    seen = cv2.remap(grey, x, y, cv2.INTER_CUBIC, borderMode=cv2.BORDER_REPLICATE)
    low, high = np.percentile(seen, (2, 98))
    stretched = np.clip((seen - low) * (255.0 / max(float(high - low), 1e-6)), 0, 255)
    return np.asarray(stretched, dtype=np.uint8)


SOUGHT_PPI = 150.0  # the coarsest that is asked of a scan: marks of 5 mm are then 30 pixels wide
A4_MM = 297.0  # a flatbed's length, and the first guess at a scan's where the file is silent
ENOUGH_MARKS = 3
LEAST_SIDE_PX = 22.0
SMALLEST_SIDE_PX = 12.0  # two pixels a module: smaller marks cannot be told apart
# The search holds ten images of that size. A whole bed of A4 at 600 ppi is looked at as it is.
_MOST_SOUGHT_PIXELS = 40_000_000
_STRIP_ROWS = 16  # of the shrunk image
_ALONG = 24  # profiles across each side
_REACH = 0.09  # how far a profile reaches to either side, in sides of the mark: about half a module


@dataclass(frozen=True, eq=False)
class SeenMark:
    """One mark: its id, its four corners (4, 2) and centre (2,) in pixels of the scan.

    Corners run clockwise from the mark's own top left; the centre of pixel (row i, column j) is (j + ½, i + ½).
    """

    id: int
    corners: Floats
    centre: Floats


@dataclass(frozen=True, eq=False)
class Seen:
    """All that was seen in a scan of ``size_px`` (width, height)."""

    marks: tuple[SeenMark, ...]
    tags: tuple[SeenTag, ...]
    size_px: tuple[int, int]


def see(scan: ScanImage) -> Seen:
    """Find all marks and tags in a scan."""
    height, width = scan.pixels.shape[:2]
    found: list[tuple[int, Floats]] = []
    tags: tuple[SeenTag, ...] = ()
    for factor in _factors(scan):
        grey = shrunk_grey(scan, factor)
        these = _marks(grey, factor)
        if len(these) > len(found) or not tags:
            tags = find_tags(grey, factor) or tags
        found = max(found, these, key=len)
        # Small marks were found by luck: others beside them were not, at this scale.
        if len(these) >= ENOUGH_MARKS and min(side_px(each) for _, each in these) >= LEAST_SIDE_PX * factor:
            break
    marks = tuple(_refined(scan, number, rough) for number, rough in found)
    return Seen(marks, tags, (width, height))


def _refined(scan: ScanImage, number: int, rough: Floats) -> SeenMark:
    corners = refined_corners(scan.pixels, rough)
    return SeenMark(number, corners, centre_of(corners))


def is_mirrored(scan: ScanImage, straight: int) -> bool:
    """Whether more marks show when the scan is flipped than the ``straight`` ones that show in it as it is.

    A few marks of the dictionary look the same in a mirror, so some may show either way.
    """
    return any(
        len(_marks(np.ascontiguousarray(shrunk_grey(scan, factor)[:, ::-1]), factor))
        > max(straight, ENOUGH_MARKS - 1)
        for factor in _factors(scan)
    )


def shrunk_grey(scan: ScanImage, factor: int) -> Grey:
    """An 8-bit grey image of the scan, shrunk by a whole number: its green channel, which is nearest to luminance."""
    if scan.bits == 16:
        return _shrunk_green(scan.pixels, factor)
    height, width = scan.pixels.shape[:2]
    grey = pyvips.Image.new_from_memory(scan.pixels.data, width, height, 3, "uchar").extract_band(1)
    if factor > 1:
        grey = grey.shrink(factor, factor)
    return np.asarray(grey.numpy(), dtype=np.uint8).squeeze()


def _shrunk_green(pixels: Pixels, factor: int) -> Grey:
    """What libvips' ``shrink`` makes of 16 bits, means down and then across, each rounded, brought to 8 bits; in a
    third of its time, by going over the scan in strips that stay in the processor's cache.
    """
    height, width = pixels.shape[:2]
    rows, columns = (int(side / factor + 0.5) for side in (height, width))
    shrunk = np.empty((rows, columns), np.uint8)
    for first in range(0, rows, _STRIP_ROWS):
        last = min(first + _STRIP_ROWS, rows)
        green = cv2.extractChannel(pixels[first * factor : last * factor], 1)
        lacking = (last - first) * factor - len(green), max(columns * factor - width, 0)
        if any(lacking):
            green = np.pad(green, ((0, lacking[0]), (0, lacking[1])), mode="edge")
        down = _mean(green[:, : columns * factor].reshape(last - first, factor, -1), 1)
        across = _mean(down.reshape(last - first, columns, factor), 2)
        shrunk[first:last] = across // 257
    return shrunk


def _mean(numbers: NDArray[Any], axis: int) -> NDArray[np.uint32]:
    """Of whole numbers, rounded. Slice by slice: NumPy's sum over a short axis takes several times as long."""
    total = np.zeros(numbers.shape[:axis] + numbers.shape[axis + 1 :], np.uint32)
    for each in np.moveaxis(numbers, axis, 0):
        total += each
    total += numbers.shape[axis] // 2
    return np.asarray(total // numbers.shape[axis], dtype=np.uint32)


def _factors(scan: ScanImage) -> list[int]:
    """By how much to shrink, the likeliest first: the file's word for its resolution may be missing or wrong."""
    longest = max(scan.pixels.shape[:2])
    guesses = (scan.stated_ppi, longest * MM_PER_INCH / A4_MM, longest * MM_PER_INCH / A4_MM / 2)
    factors = [max(1, int(ppi / SOUGHT_PPI + 0.01)) for ppi in guesses if ppi is not None]
    least = ceil(sqrt(scan.pixels.shape[0] * scan.pixels.shape[1] / _MOST_SOUGHT_PIXELS))
    return list(dict.fromkeys(max(each, least) for each in (*factors, 2 * factors[0], 1)))


def _marks(grey: Grey, factor: int) -> list[tuple[int, Floats]]:
    """Ids and rough corners (4, 2) in full pixels."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    settings = cv2.aruco.DetectorParameters()
    settings.adaptiveThreshWinSizeMin, settings.adaptiveThreshWinSizeMax = 11, 61
    settings.adaptiveThreshWinSizeStep = 16
    # Of the image's longer side. Without it, the specks of a noisy image are all tried as marks, for minutes.
    settings.minMarkerPerimeterRate = 4 * SMALLEST_SIDE_PX / max(grey.shape)
    # A module is judged by its middle half alone: what blur and sharpening do to its borders is left out.
    settings.perspectiveRemovePixelPerCell, settings.perspectiveRemoveIgnoredMarginPerCell = 8, 0.25
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    detector = cv2.aruco.ArucoDetector(dictionary, settings)
    corners, ids, _ = detector.detectMarkers(grey)
    # OpenCV counts from the first pixel's centre, this module from its corner.
    full = [(np.asarray(each[0], dtype=np.float64) + 0.5) * factor for each in corners]
    return [(int(number), each) for number, each in zip(np.ravel(ids), full, strict=True)] if full else []


def refined_corners(pixels: Pixels, rough: Floats, reach_px: float | None = None) -> Floats:
    """The corners (4, 2) of a dark square on light ground, on the full raster.

    ``rough`` (4, 2) run clockwise and stay where a side cannot be fitted. ``reach_px`` is how far to look to either
    side of one, by default half a module of a mark.
    """
    window, origin = _window(pixels, rough)
    reach = max(_REACH * side_px(rough), 2.0) if reach_px is None else reach_px
    sides = _sides(window, rough - origin, reach)
    corners = rough.copy()
    for k in range(4):
        before, after = sides[k - 1], sides[k]
        if before is None or after is None:
            continue
        met = _meet(before, after)
        if met is not None and hypot(*(met + origin - rough[k])) < 0.15 * side_px(rough):
            corners[k] = met + origin
    return corners


def side_px(corners: Floats) -> float:
    """The mean length of a square's sides."""
    return float(np.mean(np.hypot(*(corners - np.roll(corners, 1, axis=0)).T)))


def _window(pixels: Pixels, corners: Floats) -> tuple[NDArray[np.float32], Floats]:
    """A grey float window around a mark and the pixel position of its top left corner."""
    pad = 0.3 * side_px(corners) + 4
    height, width = pixels.shape[:2]
    left, top = (max(0, int(edge)) for edge in corners.min(axis=0) - pad)
    right, bottom = corners.max(axis=0) + pad
    part = pixels[top : min(height, int(bottom) + 1), left : min(width, int(right) + 1)]
    # Band by band: NumPy's mean over the last axis takes five times as long.
    red, green, blue = (part[..., band].astype(np.float32) for band in range(3))
    return (red + green + blue) / np.float32(3), np.array([left, top], dtype=np.float64)


def _sides(window: NDArray[np.float32], corners: Floats, reach: float) -> list[Line | None]:
    """The lines along the four sides, by half-way crossings on profiles across them; None for one that does not show.

    ``corners`` (4, 2) in the window, clockwise.
    """
    along = np.roll(corners, -1, axis=0) - corners
    lengths = np.hypot(along[:, 0], along[:, 1])[:, None]
    along = along / np.maximum(lengths, 1.0)
    outwards = np.stack([along[:, 1], -along[:, 0]], axis=-1)  # corners run clockwise with y downwards
    steps = np.linspace(-reach, reach, 2 * int(4 * reach) + 1)
    run = np.linspace(0.12, 0.88, _ALONG) * lengths
    places = corners[:, None] + run[..., None] * along[:, None]
    points = places[:, :, None] + steps[:, None] * outwards[:, None, None]
    crossing = _half_way(_sampled(window, points), steps)
    good = np.isfinite(crossing)
    crossed = places + crossing[..., None] * outwards[:, None]
    return [
        _robust_line(crossed[side, good[side]], along[side], outwards[side])
        if lengths[side] >= 8 and good[side].sum() >= _ALONG // 3
        else None
        for side in range(4)
    ]


def _sampled(window: NDArray[np.float32], points: Floats) -> Floats:
    """Bilinear values (...) at ``points`` (..., 2), pixel centres lying at halves."""
    flat = points.reshape(-1, points.shape[-2], 2)
    x, y = (np.ascontiguousarray(flat[..., axis] - 0.5, dtype=np.float32) for axis in range(2))
    seen = cv2.remap(window, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(seen, dtype=np.float64).reshape(points.shape[:-1])


def _half_way(levels: Floats, steps: Floats) -> Floats:
    """Where each profile (sides, n, m), dark first, crosses half-way to light; NaN where it never does."""
    edge = max(2, len(steps) // 6)
    dark, light = levels[..., :edge].mean(axis=-1), levels[..., -edge:].mean(axis=-1)
    half = (dark + light) / 2
    first = np.argmax(levels >= half[..., None], axis=-1)
    before = np.maximum(first - 1, 0)
    low, high = (np.take_along_axis(levels, at[..., None], axis=-1)[..., 0] for at in (before, first))
    share = np.where(high > low, (half - low) / np.where(high > low, high - low, 1.0), 0.0)
    at = steps[before] + share * (steps[first] - steps[before])
    contrast = light - dark
    usual = np.maximum(median(contrast), 1e-9)[:, None]
    usable = (first > 0) & (contrast > 0.3 * usual) & (contrast > 0)
    return np.where(usable, at, np.nan)


def _robust_line(points: Floats, along: Floats, outwards: Floats) -> Line:
    """A line through points: across as a straight function of along, far points dropped twice."""
    u, v = points @ along, points @ outwards
    keep = np.ones(len(u), dtype=bool)
    for _ in range(3):
        offset, slope = straight_line(u[keep], v[keep])
        away = np.abs(v - (slope * u + offset))
        keep = away <= max(0.15, 2.5 * float(median(away)))
    middle = float(u.mean())
    return middle * along + (slope * middle + offset) * outwards, along + slope * outwards


def _meet(one: Line, two: Line) -> Floats | None:
    """Where two lines, each a point and a direction, cross."""
    directions = np.column_stack([one[1], -two[1]])
    if abs(float(np.linalg.det(directions))) < 1e-6:
        return None
    return np.asarray(one[0] + np.linalg.solve(directions, two[0] - one[0])[0] * one[1])


def centre_of(corners: Floats) -> Floats:
    """Where the diagonals cross: true under any perspective, unlike the mean."""
    met = _meet((corners[0], corners[2] - corners[0]), (corners[1], corners[3] - corners[1]))
    return corners.mean(axis=0) if met is None else met
