"""What can be seen in a scan before anything is known of it: fiducial marks and tags, in pixels.

Marks are sought in a grey image of 150 ppi or a little more, and their corners are then found again on the full
raster.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import pyvips

from tackside.colour.spaces import Floats
from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.marks.squares import centre_of, refined_corners, side_px
from tackside.reading.scan.marks.tags import Grey, SeenTag, find_tags
from tackside.units import MM_PER_INCH

SOUGHT_PPI = 150.0  # the coarsest that is asked of a scan: marks of 5 mm are then 30 pixels wide
A4_MM = 297.0  # a flatbed's length, and the first guess at a scan's where the file is silent
ENOUGH_MARKS = 3
LEAST_SIDE_PX = 22.0
SMALLEST_SIDE_PX = 12.0  # two pixels a module: smaller marks cannot be told apart


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
    height, width = scan.pixels.shape[:2]
    kind = "ushort" if scan.bits == 16 else "uchar"
    image = pyvips.Image.new_from_memory(scan.pixels.data, width, height, 3, kind)
    grey = image.extract_band(1)
    if factor > 1:
        grey = grey.shrink(factor, factor)
    if scan.bits == 16:
        grey = grey / 257.0
    return np.asarray(grey.cast("uchar").numpy(), dtype=np.uint8).squeeze()


def _factors(scan: ScanImage) -> list[int]:
    """By how much to shrink, the likeliest first: the file's word for its resolution may be missing or wrong."""
    longest = max(scan.pixels.shape[:2])
    guesses = (scan.stated_ppi, longest * MM_PER_INCH / A4_MM, longest * MM_PER_INCH / A4_MM / 2)
    factors = [max(1, int(ppi / SOUGHT_PPI + 0.01)) for ppi in guesses if ppi is not None]
    return list(dict.fromkeys([*factors, 2 * factors[0], 1]))


def _marks(grey: Grey, factor: int) -> list[tuple[int, Floats]]:
    """Ids and rough corners (4, 2) in full pixels."""
    dictionary = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_4X4_50)
    settings = cv2.aruco.DetectorParameters()
    settings.adaptiveThreshWinSizeMin, settings.adaptiveThreshWinSizeMax = 11, 61
    settings.adaptiveThreshWinSizeStep = 16
    # Of the image's longer side. Without it, the specks of a noisy image are all tried as marks, for minutes.
    settings.minMarkerPerimeterRate = 4 * SMALLEST_SIDE_PX / max(grey.shape)
    settings.cornerRefinementMethod = cv2.aruco.CORNER_REFINE_SUBPIX
    detector = cv2.aruco.ArucoDetector(dictionary, settings)
    corners, ids, _ = detector.detectMarkers(grey)
    # OpenCV counts from the first pixel's centre, this module from its corner.
    full = [(np.asarray(each[0], dtype=np.float64) + 0.5) * factor for each in corners]
    return [(int(number), each) for number, each in zip(np.ravel(ids), full, strict=True)] if full else []
