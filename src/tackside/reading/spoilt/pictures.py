"""Pictures of where it shows that a scan was spoilt: the place enlarged beside itself with its contrast raised, the
histogram with the levels that are missing, the sheet with what lies at the ends painted over.

Colours are the scan's own numbers. No words stand in them: what is said of the place stands beside it, in any language.
"""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from tackside.reading.scan.image_file import ScanImage
from tackside.reading.spoilt.samples import Part, as_bytes
from tackside.records.reading import Spoiling

Picture = NDArray[np.uint8]
WIDTH, HEIGHT, GAP = 960, 360, 12
SHOWN_PX = 40  # of the scan, down the enlarged place
RAISED = 5.0
PAPER, AXIS, BARS, MARKED = (250, 250, 248), (120, 120, 120), (90, 96, 104), (214, 0, 120)
HISTOGRAMS = ("spoilt.levels-missing", "spoilt.eight-bits-as-sixteen")
PAINTED = ("scan.dark-cut-off", "scan.light-cut-off", "scan.both-ends-cut-off", "spoilt.white-pulled-up")


def picture_of(scan: ScanImage, found: Spoiling) -> Picture:
    """(rows, columns, 3), 8 bits: what ``found`` tells of, shown in the scan that it tells it of."""
    if found.code in HISTOGRAMS:
        return _histogram(scan, found)
    if found.code in PAINTED:
        return _painted(scan)
    if found.code == "spoilt.contrast-uneven":
        return _beside(_shrunk(scan), _card_alone(_shrunk(scan), 8.0))
    return _enlarged(scan, found)


def one_below_another(pictures: Sequence[Picture]) -> Picture:
    """Several pictures as one, a line between them."""
    line = np.full((2, WIDTH, 3), AXIS, np.uint8)
    parts: list[Picture] = []
    for number, each in enumerate(pictures):
        parts += [line, each] if number else [each]
    return np.concatenate(parts)


def _enlarged(scan: ScanImage, found: Spoiling) -> Picture:
    height, width = scan.pixels.shape[:2]
    left, top, right, bottom = found.part_px or (0, 0, width, height)
    side = (WIDTH - GAP) // 2
    rows, columns = SHOWN_PX, round(SHOWN_PX * side / HEIGHT)
    x = int(np.clip((left + right) // 2 - columns // 2, 0, max(width - columns, 0)))
    y = int(np.clip((top + bottom) // 2 - rows // 2, 0, max(height - rows, 0)))
    near = np.rint(as_bytes(scan.pixels[y : y + rows, x : x + columns])).astype(np.uint8)
    plain, raised = (_blown_up(each, (side, HEIGHT)) for each in (near, _raised(near, RAISED)))
    scale = (side / near.shape[1], HEIGHT / near.shape[0])
    if found.setting == "jpeg":
        _grid(raised, (x, y), found.part_px or (0, 0, 0, 0), scale)
    else:
        _outlined(plain, (left - x, top - y, right - x, bottom - y), scale)
    return _beside(plain, raised)


def _raised(picture: Picture, factor: float) -> Picture:
    """In grey, contrast raised about the plateaus: the dark half about its own middle, the light half about its own,
    and what lies between them in its place, so that no edge shows a halo that it hasn't.
    """
    grey = picture.astype(np.float32).mean(axis=2)
    low, high = np.percentile(grey, (5, 95))
    if high - low < 25:
        return _as_grey((grey - np.median(grey)) * factor + 128)
    halves = grey < (low + high) / 2
    dark, light = (float(np.median(grey[mask])) for mask in (halves, ~halves))
    place = (grey - dark) / (light - dark)
    near_dark, near_light = (grey - dark) * factor + 80.0, (grey - light) * factor + 175.0
    return _as_grey(
        np.where(place < 0.25, near_dark, np.where(place > 0.75, near_light, 80.0 + 95.0 * place))
    )


def _card_alone(picture: Picture, factor: float) -> Picture:
    """In grey, contrast raised about bare card, its own grain evened out; all that is printed is dark."""
    grey = picture.astype(np.float32).mean(axis=2)
    top = float(np.percentile(grey, 98))
    card = (grey > 0.88 * top).astype(np.float32)
    share = cv2.GaussianBlur(card, (0, 0), 3.0)
    even = cv2.GaussianBlur(grey * card, (0, 0), 3.0) / np.maximum(share, 1e-3)
    shown = (even - np.median(even[card > 0])) * factor + 170.0
    return _as_grey(np.where(card > 0, np.maximum(shown, 90.0), 40.0))


def _as_grey(light: NDArray[np.floating]) -> Picture:
    return np.repeat(np.clip(light, 0, 255).astype(np.uint8)[..., None], 3, axis=2)


def _blown_up(picture: Picture, size: tuple[int, int]) -> Picture:
    return np.ascontiguousarray(cv2.resize(picture, size, interpolation=cv2.INTER_NEAREST), dtype=np.uint8)


def _outlined(picture: Picture, part: Part, scale: tuple[float, float]) -> None:
    """A part that is larger than the picture is outlined just inside of it."""
    height, width = picture.shape[:2]
    left, right = (int(np.clip(round(each * scale[0]), 3, width - 4)) for each in (part[0], part[2]))
    top, bottom = (int(np.clip(round(each * scale[1]), 3, height - 4)) for each in (part[1], part[3]))
    cv2.rectangle(picture, (left, top), (right, bottom), MARKED, 2)


def _grid(picture: Picture, corner: tuple[int, int], part: Part, scale: tuple[float, float]) -> None:
    """Lines on the borders of JPEG's blocks; ``part`` begins at one."""
    for axis in (0, 1):
        first = (part[axis] - corner[axis]) % 8
        for at in range(first, picture.shape[1 - axis], 8):
            place = round(at * scale[axis])
            if place >= picture.shape[1 - axis]:
                break
            start, end = (place, 0), (place, picture.shape[0])
            if axis == 1:
                start, end = (0, place), (picture.shape[1], place)
            cv2.line(picture, start, end, MARKED, 1)


def _beside(one: Picture, other: Picture) -> Picture:
    out = np.full((HEIGHT, WIDTH, 3), PAPER, np.uint8)
    side = (WIDTH - GAP) // 2
    for start, each in ((0, one), (side + GAP, other)):
        height, width = each.shape[:2]
        top, left = (HEIGHT - height) // 2, start + (side - width) // 2
        out[top : top + height, left : left + width] = each
    return out


def _shrunk(scan: ScanImage, size: tuple[int, int] = ((WIDTH - GAP) // 2, HEIGHT)) -> Picture:
    height, width = scan.pixels.shape[:2]
    factor = min(size[0] / width, size[1] / height)
    small = cv2.resize(scan.pixels, (int(width * factor), int(height * factor)), interpolation=cv2.INTER_AREA)
    return np.asarray(small if scan.bits == 8 else small // 257, np.uint8)


def _painted(scan: ScanImage) -> Picture:
    """The sheet as it is, and with all pixels at the ends of the numbers painted over."""
    plain = _shrunk(scan)
    top = np.iinfo(scan.pixels.dtype).max
    at_end = np.all(scan.pixels == 0, axis=2) | np.all(scan.pixels == top, axis=2)
    size = (plain.shape[1], plain.shape[0])
    share = cv2.resize(at_end.astype(np.float32), size, interpolation=cv2.INTER_AREA)[..., None]
    over = plain * (1 - share) + np.array(MARKED, np.float32) * share
    return _beside(plain, over.astype(np.uint8))


def _histogram(scan: ScanImage, found: Spoiling) -> Picture:
    """How often each level is met. Of 8 bits as 16: how often each number, for a few levels' width."""
    height, width = scan.pixels.shape[:2]
    left, top, right, bottom = found.part_px or (0, 0, width, height)
    green = scan.pixels[top:bottom:2, left:right, 1].ravel()
    if found.code == "spoilt.levels-missing":
        counts = np.bincount((green if green.itemsize == 1 else green >> 8), minlength=256)[:256]
    else:
        middle = int(np.median(green))
        first = max(middle - 1200, 0)
        counts = np.bincount(
            green[(green >= first) & (green < first + 2400)].astype(int) - first, minlength=2400
        )
        counts = counts.reshape(-1, 5).max(axis=1)
    return _bars(counts, missing=found.code == "spoilt.levels-missing")


def _bars(counts: NDArray[np.intp], *, missing: bool) -> Picture:
    out = np.full((HEIGHT, WIDTH, 3), PAPER, np.uint8)
    base, room = HEIGHT - 30, HEIGHT - 50
    most = max(float(np.quantile(counts[counts > 0], 0.97)) if counts.any() else 1.0, 1.0)
    left, each = 20, (WIDTH - 40) / len(counts)
    for number, count in enumerate(counts):
        x = (round(left + number * each), max(round(left + (number + 1) * each) - (1 if each >= 3 else 0), 0))
        tall = round(room * min(float(np.sqrt(count / most)), 1.0))
        if tall:
            cv2.rectangle(out, (x[0], base - tall), (max(x[1] - 1, x[0]), base), BARS, -1)
        beside = counts[max(number - 1, 0)], counts[min(number + 1, len(counts) - 1)]
        if missing and count <= 0.04 * min(beside) and min(beside) >= 60:
            cv2.rectangle(out, (x[0], base + 4), (max(x[1] - 1, x[0]), base + 16), MARKED, -1)
    cv2.line(out, (left, base + 1), (WIDTH - 20, base + 1), AXIS, 1)
    return out
