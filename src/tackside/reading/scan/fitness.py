"""Evidence that is not fit: photographs, uneven light, pictures of screens, prints still wet.

Each fault found has a message, a degree (0.5: trust it less; 1: conclude nothing about colour), and what it may move
a colour by, in ΔE00, one standard uncertainty (this project's own estimates).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import cv2
import numpy as np

from tackside.colour.spaces import Floats
from tackside.messages.message import Message
from tackside.reading.scan.colours import is_inside, sample_boxes
from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.marks.sheets import FoundSheet
from tackside.records import Attribute, Patch, Reading
from tackside.records.reading import Flaw
from tackside.units import Box

# A flatbed's scale is the same all over; a lens a hand's breadth away and a degree askew changes it by more.
MOST_PERSPECTIVE = 1.01
MOST_UNEVEN_L = 4.0
MOIRE_L, MOIRE_SHARE = 1.0, 0.5
# Touch-dry after 5 to 30 minutes, to be measured after 24 hours (docs/sources.md, S58). What a print may
# still change by until then is this project's own estimate.
TOUCH_DRY_HOURS, DRY_HOURS = 1.0, 24.0


@dataclass(frozen=True)
class ScanFlaw:
    """One thing wrong with the evidence."""

    message: Message
    degree: float
    de00: float

    @property
    def flaw(self) -> Flaw:
        return Flaw(code=self.message.code, degree=self.degree)


def colour_faults(scan: ScanImage, sheet: FoundSheet, patches: Sequence[Patch]) -> tuple[ScanFlaw, ...]:
    """Everything of light, lens and screen that spoils colours; what a program did is ``reading.spoilt``'s."""
    faults = [
        _photograph(scan, sheet),
        _moire(scan, sheet, patches),
        _uneven(scan, sheet),
    ]
    return tuple(fault for fault in faults if fault is not None)


def with_faults(reading: Reading, faults: Sequence[ScanFlaw]) -> Reading:
    """The reading with wider uncertainty, its flaws and the attribute ``unfit``; notices are left to the caller."""
    if not faults:
        return reading
    degree = max(fault.degree for fault in faults)
    de00 = float(np.sqrt(reading.uncertainty.de00**2 + sum(fault.de00**2 for fault in faults)))
    key = reading.uncertainty.comparable_with
    trust = reading.uncertainty.model_copy(
        update={"de00": round(de00, 2), "comparable_with": f"unfit | {key}" if degree >= 1 else key}
    )
    unfit = {"unfit": Attribute(value=degree, unit="1")}
    return reading.model_copy(
        update={
            "uncertainty": trust,
            "attributes": {**reading.attributes, **unfit},
            "flaws": (*reading.flaws, *(fault.flaw for fault in faults)),
        }
    )


def dried(reading: Reading, hours: float | None) -> Reading:
    """The reading with the trust that ``hours`` of drying allow; None: not known, nothing is said."""
    if hours is None or hours >= DRY_HOURS:
        return reading
    if hours < TOUCH_DRY_HOURS:
        fault = ScanFlaw(Message("reading.half-wet", hours=hours), 0.5, 2.5)
        return with_faults(reading.model_copy(update={"notices": (fault.message, *reading.notices)}), [fault])
    note = Message("reading.not-yet-dry", hours=hours)
    trust = reading.uncertainty
    wider = trust.model_copy(update={"de00": round((trust.de00**2 + 0.7**2) ** 0.5, 2)})
    return reading.model_copy(update={"uncertainty": wider, "notices": (*reading.notices, note)})


def _photograph(scan: ScanImage, sheet: FoundSheet) -> ScanFlaw | None:
    lens = scan.origin.camera
    askew = perspective(sheet)
    if not lens and askew <= MOST_PERSPECTIVE:
        return None
    message = (
        Message("scan.photograph-by-tags", file=scan.name)
        if lens
        else Message("scan.photograph-by-scale", file=scan.name, change=askew - 1)
    )
    return ScanFlaw(message, 1.0, 8.0)


def perspective(sheet: FoundSheet) -> float:
    """The greatest local scale of the marks over the least, by the plane perspective (homography) through them."""
    if len(sheet.marks) < 5:  # four fit any perspective, and say nothing of how sure it is
        return 1.0
    mm = np.array([mark.box_mm.centre for mark, _ in sheet.marks])
    px = np.array([seen.centre for _, seen in sheet.marks])
    matrix, _ = cv2.findHomography(mm - mm.mean(axis=0), px - px.mean(axis=0), 0)
    if matrix is None:
        return 1.0
    corners = np.column_stack([mm - mm.mean(axis=0), np.ones(len(mm))])
    # The determinant of a homography's derivative is det H / w³.
    w = corners @ np.asarray(matrix)[2]
    scale = np.abs(w) ** -1.5
    return float(scale.max() / scale.min())


def _uneven(scan: ScanImage, sheet: FoundSheet) -> ScanFlaw | None:
    """Bare card beside the marks, from one end of the sheet to the other."""
    boxes = [Box(mark.box_mm.x - 0.75, mark.box_mm.y, 0.5, mark.box_mm.h) for mark, _ in sheet.marks]
    inside = [box for box in boxes if is_inside(scan.pixels, sheet.map, box)]
    if len(inside) < 4:
        return None
    light = sample_boxes(scan, sheet.map, inside).lab[:, 0]
    spread = float(np.ptp(light))
    if spread <= MOST_UNEVEN_L:
        return None
    return ScanFlaw(
        Message("scan.uneven-light", file=scan.name, spread=spread),
        0.5 if spread < 3 * MOST_UNEVEN_L else 1.0,
        spread / 3,
    )


def _moire(scan: ScanImage, sheet: FoundSheet, patches: Sequence[Patch]) -> ScanFlaw | None:
    """A regular pattern on bare card: a screen's own grid in a picture of a screen."""
    white = next((patch for patch in patches if min(patch.rgb) >= 1.0), None)
    if white is None:
        return None
    x, y = sheet.map.to_px(white.box_mm.centre)
    reach = int(0.35 * min(white.box_mm.w, white.box_mm.h) * sheet.map.px_per_mm)
    part = scan.pixels[
        max(int(y) - reach, 0) : int(y) + reach, max(int(x) - reach, 0) : int(x) + reach, 1
    ].astype(float)
    if min(part.shape) < 12:
        return None
    part = part / float(np.iinfo(scan.pixels.dtype).max) * 100.0
    waves, share = pattern(part)
    if waves < MOIRE_L or share < MOIRE_SHARE:
        return None
    return ScanFlaw(Message("scan.screen-pattern", file=scan.name), 1.0, 8.0)


def pattern(light: Floats, *, fewest_waves: int = 1) -> tuple[float, float]:
    """Amplitude of the strongest wave in an even area (rows, columns), and its share of the variance. Waves fewer than
    ``fewest_waves`` across the area and down it are not looked at."""
    rows, columns = np.mgrid[0 : light.shape[0], 0 : light.shape[1]]
    design = np.column_stack([np.ones(light.size), rows.ravel(), columns.ravel()])
    flat = light.ravel() - design @ np.linalg.lstsq(design, light.ravel(), rcond=None)[0]
    left = flat.reshape(light.shape)
    total = float(np.sum(left**2))
    if total <= 0:
        return 0.0, 0.0
    power = np.abs(np.fft.fft2(left)) ** 2 / light.size
    slow = [np.abs(np.fft.fftfreq(size, 1.0 / size)) < fewest_waves for size in light.shape]
    power[np.outer(*slow)] = 0.0
    row, column = np.unravel_index(int(np.argmax(power)), power.shape)
    near = sum(
        float(power[(row + i) % power.shape[0], (column + j) % power.shape[1]])
        for i in (-1, 0, 1)
        for j in (-1, 0, 1)
    )
    share = min(2 * near / total, 1.0)
    return float(np.sqrt(2 * share * total / light.size)), share
