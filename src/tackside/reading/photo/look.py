"""What is wrong with a photograph before it is read: place, sharpness and light, each with where it shows.

Limits are this project's own, found on simulated photographs (``benchmarks/phone.py``).
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.messages.message import Message
from tackside.reading.photo.bare import PLACE_MM, bare_places
from tackside.reading.photo.fault import Outline, PhotoFault
from tackside.reading.photo.samples import inside, linear, sample
from tackside.reading.photo.sheets import PhotoSheet
from tackside.reading.scan.fitness import MOIRE_SHARE, pattern
from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.marks.detections import SeenMark, side_px
from tackside.records import Mark

# Pixels a millimetre of the picture as taken: patches are 4 mm wide and more.
LEAST_PX_PER_MM = 3.0
# One standard deviation of the edges' spread, in mm: patches' inner parts lie 0.9 mm and more from their edges.
MOST_BLUR_MM = 0.35
# As edges measure here, codes are read to about this far.
MOST_BLUR_PX = 1.6
# Marks this far off one plane, RMS: the sheet is bent, and patches are sampled beside their place.
MOST_RESIDUAL_MM = 0.45
# Light on bare card: brightest over darkest, red over blue, and green at its brightest, all linear.
MOST_FALLOFF, MOST_WARMTH, LEAST_LIGHT = 2.6, 8.0, 0.06
GLARE, GLARE_SHARE, BRIGHT_SHARE = 0.10, 0.06, 0.3
SHADOW, SHADOW_SHARE = 0.10, 0.25
FEWEST_PLACES = 12
# A wave over a white patch, share of full numbers in per cent: plain photographs show 0.5 at most.
MOIRE = 1.5
FEWEST_ACROSS = 12  # pixels of a white patch, to see a pattern in


def all_faults(scan: ScanImage, sheets: Sequence[PhotoSheet], scale: float = 1.0) -> list[PhotoFault]:
    """Everything that is wrong with place, sharpness and light. ``scale``: pixels of the picture as taken over those at
    hand."""
    of_place = faults_of_place(scan, sheets, scale)
    lies_right = not any(
        fault.hinders for fault in of_place
    )  # else white patches are not where they are looked for
    return [
        *of_place,
        *faults_of_focus(scan, sheets),
        *(faults_of_screen(scan, sheets) if lies_right else ()),
        *faults_of_light(scan, sheets),
    ]


def faults_of_place(scan: ScanImage, sheets: Sequence[PhotoSheet], scale: float = 1.0) -> list[PhotoFault]:
    """Too small, cut off, covered, bent. ``scale``: pixels of the picture as taken over those at hand."""
    return [fault for sheet in sheets for fault in _of_one(scan, sheet, scale)]


def _of_one(scan: ScanImage, sheet: PhotoSheet, scale: float) -> Iterator[PhotoFault]:
    name, outline = _called(sheet), _outline(scan, sheet.outline)
    height, width = scan.pixels.shape[:2]
    mm = np.array([mark.box_mm.centre for mark, _ in sheet.marks])
    density = scale * min(sheet.map.px_per_mm(at) for at in mm)
    if density < LEAST_PX_PER_MM:
        message = Message("photo.too-small", sheet=name, density=density, least=LEAST_PX_PER_MM)
        yield PhotoFault(message, True, (outline,))
    gone = [mark for mark in sheet.missing if not _in_view(sheet, mark, width, height)]
    if gone or not bool(inside(scan.pixels, sheet.outline, -0.02 * width).all()):
        yield PhotoFault(Message("photo.cut-off", sheet=name), True, (outline,))
    hidden = [mark for mark in sheet.missing if mark not in gone]
    if hidden:
        areas = tuple(_outline(scan, sheet.map.to_px(_corners(mark))) for mark in hidden)
        many = len(hidden) > len(sheet.plan.marks) / 3
        yield PhotoFault(Message("photo.marks-covered", sheet=name, count=len(hidden)), many, areas)
    if sheet.residual_mm > MOST_RESIDUAL_MM:
        message = Message("photo.bent", sheet=name, off_mm=sheet.residual_mm)
        yield PhotoFault(message, True, (outline,))


def faults_of_focus(scan: ScanImage, sheets: Sequence[PhotoSheet]) -> list[PhotoFault]:
    found = []
    for sheet in sheets:
        spread = blur_mm(scan, sheet)
        if spread > MOST_BLUR_MM:
            message = Message("photo.blurred", sheet=_called(sheet), spread_mm=spread)
            found.append(PhotoFault(message, True, (_outline(scan, sheet.outline),)))
    return found


def faults_of_shake(scan: ScanImage, sheets: Sequence[PhotoSheet]) -> list[PhotoFault]:
    """Edges spread so far over pixels that no code is read, though marks are."""
    found = []
    for sheet in sheets:
        spread = blur_mm(scan, sheet)
        if spread * sheet.map.px_per_mm(sheet.plan.panels[0].trim.centre) > MOST_BLUR_PX:
            message = Message("photo.blurred", sheet=_called(sheet), spread_mm=spread)
            found.append(PhotoFault(message, True, (_outline(scan, sheet.outline),)))
    return found


def blur_mm(scan: ScanImage, sheet: PhotoSheet) -> float:
    """One standard deviation of how edges of the marks are spread, in mm on the sheet: the median over the marks."""
    found = []
    for mark, seen in sheet.marks:
        spread = _spread_px(scan, seen)
        if spread is not None:
            found.append(spread / sheet.map.px_per_mm(mark.box_mm.centre))
    return float(np.median(found)) if found else 0.0


def _spread_px(scan: ScanImage, seen: SeenMark) -> float | None:
    """From the mean profile across a mark's sides, between a tenth and nine tenths (2.56 standard deviations)."""
    side = side_px(seen.corners)
    reach = 0.15 * side
    steps = np.linspace(-reach, reach, 61)
    profiles = []
    for k in range(4):
        start, end = seen.corners[k], seen.corners[(k + 1) % 4]
        along = end - start
        out = np.array([along[1], -along[0]]) / max(float(np.hypot(*along)), 1e-9)
        places = start + np.linspace(0.2, 0.8, 15)[:, None] * along
        at = (places[:, None] + steps[None, :, None] * out).astype(np.float32) - 0.5
        low = np.floor(at.reshape(-1, 2).min(axis=0)).astype(int) - 2
        high = np.ceil(at.reshape(-1, 2).max(axis=0)).astype(int) + 3
        left, top = np.maximum(low, 0)
        part = scan.pixels[top : high[1], left : high[0], 1].astype(np.float32)
        if min(part.shape) < 4:
            continue
        at -= (left, top)
        profiles.append(cv2.remap(part, at[..., 0], at[..., 1], cv2.INTER_LINEAR).mean(axis=0))
    if not profiles:
        return None
    profile = np.mean(profiles, axis=0)
    # Further in than the mark's dark border, its own white modules begin.
    first = int(np.argmin(profile[: len(profile) // 2 + 1]))
    dark, light = float(profile[first]), float(profile[-8:].mean())
    if light - dark < 1e-6:
        return None
    level = np.maximum.accumulate((profile[first:] - dark) / (light - dark))
    low_at, high_at = np.interp([0.1, 0.9], level + 1e-9 * np.arange(len(level)), steps[first:])
    return float(high_at - low_at) / 2.563


def faults_of_screen(scan: ScanImage, sheets: Sequence[PhotoSheet]) -> list[PhotoFault]:
    """A regular pattern on white patches: a screen's own grid, seen through the camera's."""
    top_number = float(np.iinfo(scan.pixels.dtype).max)
    for sheet in sheets:
        white = next((patch.box_mm for patch in sheet.plan.patches if min(patch.rgb) >= 1.0), None)
        if white is None:
            continue
        x, y = sheet.map.to_px(white.centre)
        reach = int(0.32 * min(white.w, white.h) * sheet.map.px_per_mm(white.centre))
        part = scan.pixels[max(int(y) - reach, 0) : int(y) + reach, max(int(x) - reach, 0) : int(x) + reach]
        if min(part.shape[:2]) < FEWEST_ACROSS:
            continue
        numbers = part.astype(np.float64) / top_number * 100.0
        # A single wave over so small an area is noise, which a JPEG's coarse colours smear.
        seen = [pattern(numbers[..., band], fewest_waves=2) for band in range(3)]
        if any(waves >= MOIRE and share >= MOIRE_SHARE for waves, share in seen):
            return [PhotoFault(Message("photo.screen"), True, (_outline(scan, sheet.outline),))]
    return []


def faults_of_light(scan: ScanImage, sheets: Sequence[PhotoSheet]) -> list[PhotoFault]:
    """Glare, shadows, one lamp, the wrong lamp, too dark, a screen."""
    px, light, clipped, of, size_px = _bare_light(scan, sheets)
    if len(px) < FEWEST_PLACES:
        return [PhotoFault(Message("photo.no-bare-card"), True)]
    found = []
    brightest = float(np.percentile(light[:, 1], 90))
    if brightest < LEAST_LIGHT:
        found.append(PhotoFault(Message("photo.too-dark"), True))
    warmth = float(np.median(light[:, 0] / np.maximum(light[:, 2], 1e-4)))
    if warmth > MOST_WARMTH:
        found.append(PhotoFault(Message("photo.warm-lamp", warmth=warmth), True))
    level = np.log(np.maximum(light[:, 1], 1e-4))
    smooth, evenly = smooth_level(px, level, of)
    falloff = float(np.exp(np.percentile(evenly, 98) - np.percentile(evenly, 2)))
    if falloff > MOST_FALLOFF:
        darkest = px[evenly <= np.percentile(evenly, 15)]
        areas = _spots(scan, darkest, size_px)
        found.append(PhotoFault(Message("photo.one-lamp", falloff=falloff), True, areas))
    glaring = level - smooth > GLARE
    for code, where, most in (
        ("photo.glare", glaring, GLARE_SHARE),
        ("photo.too-bright", clipped & ~glaring, BRIGHT_SHARE),
    ):
        if where.any():
            share = float(where.mean())
            areas = _spots(scan, px[where], size_px)
            found.append(PhotoFault(Message(code, share=share), share > most, areas))
    shaded = level - smooth < -SHADOW
    if shaded.sum() >= 2:
        share = float(shaded.mean())
        areas = _spots(scan, px[shaded], size_px)
        found.append(PhotoFault(Message("photo.shadow", share=share), share > SHADOW_SHARE, areas))
    return found


def _bare_light(
    scan: ScanImage, sheets: Sequence[PhotoSheet]
) -> tuple[Floats, Floats, NDArray[np.bool_], NDArray[np.intp], float]:
    """Of bare card: places (n, 2) in pixels, linear light (n, 3), clipped (n,), the sheet (n,) that each lies on, and
    how large to draw a place."""
    px, light, clipped, of, size = [], [], [], [], 1.0
    for number, sheet in enumerate(sheets):
        places = bare_places(sheet.plan)
        if not len(places):
            continue
        got = sample(scan.pixels, sheet.map, places, np.full_like(places, PLACE_MM))
        seen = inside(scan.pixels, got.px)
        px.append(got.px[seen])
        light.append(linear(got.mean[seen]))
        clipped.append(got.clipped[seen])
        of.append(np.full(int(seen.sum()), number))
        size = 3.0 * sheet.map.px_per_mm(places.mean(axis=0))
    if not px:
        none = np.empty(0, dtype=np.intp)
        return np.empty((0, 2)), np.empty((0, 3)), none.astype(np.bool_), none, size
    return np.concatenate(px), np.concatenate(light), np.concatenate(clipped), np.concatenate(of), size


def smooth_level(px: Floats, level: Floats, of: NDArray[np.intp]) -> tuple[Floats, Floats]:
    """A surface of second order through levels (n,) at ``px`` (n, 2), and a level of each sheet's card.

    What strays far counts less (Huber's weights). Both together (n,), and the surface alone (n,).
    """
    at = (px - px.mean(axis=0)) / max(float(np.ptp(px, axis=0).max()), 1.0)
    x, y = at.T
    own = [(of == number).astype(float) for number in range(int(of.max()) + 1)]
    design = np.stack([x, y, x * x, x * y, y * y, *own], axis=-1)
    weight = np.ones(len(level))
    fitted, solved = level, np.zeros(design.shape[1])
    for _ in range(8):
        root = np.sqrt(weight)[:, None]
        solved = np.linalg.lstsq(design * root, level * root[:, 0], rcond=None)[0]
        fitted = design @ solved
        off = np.abs(level - fitted)
        limit = max(1.5 * 1.4826 * float(np.median(off)), 0.005)
        weight = np.minimum(1.0, limit / np.maximum(off, 1e-12)) ** 2
    return np.asarray(fitted), np.asarray(design[:, :5] @ solved[:5])


def _spots(scan: ScanImage, px: Floats, size: float) -> tuple[Outline, ...]:
    """Outlines of where points (n, 2) gather."""
    height, width = scan.pixels.shape[:2]
    factor = 1.0 / max(size / 4.0, 1.0)
    field = np.zeros((int(height * factor) + 1, int(width * factor) + 1), dtype=np.uint8)
    for x, y in px * factor:
        cv2.circle(field, (int(x), int(y)), 8, 255, -1)
    outlines, _ = cv2.findContours(field, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    return tuple(
        _outline(scan, cv2.convexHull(each).reshape(-1, 2).astype(float) / factor) for each in outlines
    )


def _outline(scan: ScanImage, px: Floats) -> Outline:
    height, width = scan.pixels.shape[:2]
    shares = np.clip(px / (width, height), 0.0, 1.0)
    return tuple((round(float(x), 4), round(float(y), 4)) for x, y in shares)


def _called(sheet: PhotoSheet) -> str:
    return sheet.trial or "?"


def _in_view(sheet: PhotoSheet, mark: Mark, width: int, height: int) -> bool:
    px = sheet.map.to_px(_corners(mark))
    return bool(np.all(px >= 0) and np.all(px <= (width, height)))


def _corners(mark: Mark) -> Floats:
    box = mark.box_mm
    return np.array([[box.x, box.y], [box.right, box.y], [box.right, box.bottom], [box.x, box.bottom]])
