"""Lines as printed: width, blurriness, raggedness and contrast, by the definitions of ISO/IEC 24790 (earlier 13660).

With R the reflectance factor: the edge lies at R60 = Rmax − 0.6 · (Rmax − Rmin); width is the mean distance
between R60 edges; blurriness the mean distance between the 10 % and 90 % contours; raggedness the standard deviation of
the R60 edge about its fitted line; contrast (Rpaper − Rline) / Rpaper. R is taken in the band, X, Y or Z, in which the
ink differs most from its ground, as a densitometer's filter does (ISO 5-3). Feathering is not in the standard:
here it is how
far the farthest twentieth of the edge reaches beyond its fitted line (this project's own definition).

The scanner's own blur is included, unless its response on a known sharp edge is given. A symmetric blur of σ moves R60
by 0.2533 σ on each side, and 10 to 90 % is 2.563 σ (of the normal distribution): blurs add in squares, and the
print's own
is what is left when the scanner's is taken out.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import sqrt

import cv2
import numpy as np

from tackside.colour.spaces import Floats
from tackside.messages.message import Message
from tackside.reading.scan.colours import Window, is_inside, window
from tackside.reading.scan.geometry.mapping import SheetMap, median, straight_line
from tackside.reading.scan.image_file import ScanImage
from tackside.records import Attribute, Target

LEAST_PPI = 290.0  # the standard asks for 600 and more; below this a line of 0.5 mm is five pixels wide
WIDTHS_MM = (0.3, 1.0)  # thinner lines never reach their own full depth in a flatbed's blur
STATED_MM = 0.5  # the line whose width is stated as such
ROWS = 60
STEP_MM = 0.01
ENDS = 0.12  # of a line's length, left out at each end
LEAST_CONTRAST = 0.05
_PLACES = np.linspace(ENDS, 1 - ENDS, ROWS) - 0.5  # of the rows, shares of a line's length from its middle
# Of the normal distribution: where 60 % is passed, and from where 10 % to where 90 % is.
SIXTY, TEN_TO_NINETY = 0.253347, 2.563103
_SHARES = np.array([0.1, 0.5, 0.6, 0.9])  # of the way from the ground to the line
FEATHER_SHARE = 0.95
# What one sampling of an edge makes of its blurriness, as one standard uncertainty: this share of how far the
# blurriness stays below so many pixels, from which on any sampling tells it (this project's own figures, by sampling
# and cubic interpolation of normal edges at every phase; ``tests/reading/scan/test_line_phase.py``).
_PHASE_SHARE, _PHASE_ENDS_PX = 0.31, 1.95
BLACK, WHITE = (0.0, 0.0, 0.0), (1.0, 1.0, 1.0)
NAMES = {
    (BLACK, WHITE): "",
    (WHITE, BLACK): "reversed_",
    ((1.0, 0.0, 1.0), WHITE): "magenta_",
    ((0.0, 1.0, 1.0), WHITE): "cyan_",
    ((0.0, 0.0, 1.0), WHITE): "blue_",
    ((1.0, 0.0, 0.0), WHITE): "red_",
    ((0.0, 1.0, 0.0), WHITE): "green_",
    ((1.0, 1.0, 0.0), WHITE): "yellow_",
}


@dataclass(frozen=True, eq=False)
class PrintedLine:
    """One line, lengths in µm: ``width`` and ``gain`` (width over what was asked), both with all blur included.

    ``off`` (2, n): how far outside the straight lines through them its edges lie at n places.
    ``width_half``: between the edges' halves, R50, which no symmetric blur moves. ``phase_sd``: standard uncertainty
    of the blurriness because the edge meets the pixels in few phases only (a line that runs along their columns).
    """

    asked: float
    width: float
    blurriness: float
    off: Floats
    contrast: float
    width_half: float
    phase_sd: float = 0.0

    @property
    def gain(self) -> float:
        return self.width - self.asked

    @cached_property
    def raggedness(self) -> float:
        return float(self.off.std(axis=1).mean())

    @cached_property
    def feathering(self) -> float:
        return float(np.quantile(self.off, FEATHER_SHARE, axis=1).mean())

    def without(self, scanner_sd_um: float, sign: float) -> PrintedLine:
        """The line as printed, the scanner's blur (its standard deviation) taken out. ``sign``: −1 for light lines."""
        whole = self.blurriness / TEN_TO_NINETY
        own = sqrt(max(whole**2 - scanner_sd_um**2, 0.0))
        grown = sign * 2 * SIXTY * (whole - own)
        return replace(self, width=self.width + grown, blurriness=own * TEN_TO_NINETY)


def line_attributes(
    scan: ScanImage,
    sheet_map: SheetMap,
    targets: Sequence[Target],
    ppi: float,
    scanner_sd_um: dict[str, float] | None = None,
) -> tuple[dict[str, Attribute], tuple[Message, ...]]:
    """Attributes of the lines by ink and direction, and a notice where the scan is too coarse for them.

    ``scanner_sd_um``: the spread of the scanner's own blur across lines of each direction, where it is known.
    """
    lines = [
        target
        for target in targets
        if target.kind == "line" and (target.ink, target.ground) in NAMES
        if target.width_mm is not None and WIDTHS_MM[0] <= target.width_mm <= WIDTHS_MM[1]
        if is_inside(scan.pixels, sheet_map, target.box_mm)
    ]
    if not lines:
        return {}, ()
    if ppi < LEAST_PPI:
        return {}, (Message("scan.lines-too-coarse", ppi=ppi),)
    found: dict[str, Attribute] = {}
    for (ink, ground), prefix in NAMES.items():
        for direction in ("horizontal", "vertical"):
            its = [
                line for line in lines if (line.ink, line.ground, line.direction) == (ink, ground, direction)
            ]
            measured = [one for one in (measure(scan, sheet_map, line) for line in its) if one is not None]
            known = (scanner_sd_um or {}).get(direction)
            if known is not None:
                sign = -1.0 if prefix == "reversed_" else 1.0
                measured = [one.without(known, sign) for one in measured]
            found |= _attributes(measured, prefix, direction, known is not None)
    return found, ()


def _attributes(
    lines: Sequence[PrintedLine], prefix: str, direction: str, scanner_known: bool
) -> dict[str, Attribute]:
    """The means over lines of several widths; what the scanner's blur may have moved goes into the spread."""
    if not lines:
        return {}
    blur = float(np.mean([line.blurriness for line in lines])) / TEN_TO_NINETY
    # Unknown share of the scanner: R60 may lie anywhere up to 2 · 0.2533 σ off; a rectangular distribution, GUM 4.3.7.
    unknown = 0.0 if scanner_known else 2 * SIXTY * blur / sqrt(3.0)

    def one(values: Sequence[float], unit: str = "µm", further: float = 0.0) -> Attribute:
        spread = float(np.std(values, ddof=1)) if len(values) > 1 else None
        sd = None if spread is None else float(np.hypot(spread, further))
        return Attribute(value=float(np.mean(values)), unit=unit, sd=sd)

    found = {
        "line_gain": one([line.gain for line in lines], further=unknown),
        # Lines drawn on one grid and scanned on another like it share their phases, so that more of them tell no more.
        "line_blurriness": one(
            [line.blurriness for line in lines], further=float(np.mean([line.phase_sd for line in lines]))
        ),
        "line_raggedness": one([line.raggedness for line in lines]),
        "line_contrast": one([line.contrast for line in lines], "1"),
    }
    if prefix == "":
        found["feathering"] = one([line.feathering for line in lines])
        nearest = min(lines, key=lambda line: abs(line.asked - 1000 * STATED_MM))
        sd = found["line_gain"].sd
        found["line_width"] = Attribute(value=nearest.width, unit="µm", sd=sd)
    return {f"{prefix}{name}_{direction}": attribute for name, attribute in found.items()}


def measure(
    scan: ScanImage, sheet_map: SheetMap, target: Target, band: int | None = None
) -> PrintedLine | None:
    """One line, None where the scan does not show it or it has no two edges.

    ``band``: 0, 1 or 2 for X, Y or Z; by default that in which the ink differs most from its ground.
    """
    assert target.width_mm is not None
    part = window(scan, sheet_map, target.box_mm, margin_mm=0.2)
    if part is None:
        return None
    profiles, steps = _profiles(part if band is None else part.only(band), target)
    middle = len(steps) // 2
    mean = profiles.mean(axis=0)
    ground = median(np.concatenate([mean[: middle // 4], mean[-(middle // 4) :]]), axis=0)
    line = mean[middle - 2 : middle + 3].mean(axis=0)
    band = int(np.argmax(np.abs(ground - line)))
    step = float(ground[band] - line[band])
    if abs(step) < LEAST_CONTRAST:
        return None
    away = (ground[band] - profiles[..., band]) / step  # 0 on the ground, 1 in the line
    light = step < 0  # a light line in ink: shares count from the lightest, so from the line
    shares = 1.0 - _SHARES if light else _SHARES
    outwards = np.concatenate([away[:, middle::-1], away[:, middle:]])
    # Shares, sides, rows: where each is first passed.
    tenth, half, edge, most = _crossings(outwards, shares).reshape(len(shares), 2, -1) * STEP_MM
    whole = np.isfinite(edge).all(axis=0)
    if whole.sum() < ROWS // 2:
        return None
    rows, edge = np.flatnonzero(whole), edge[:, whole]
    offset, slope = straight_line(rows, edge)
    off = 1000 * (edge - (offset[:, None] + np.outer(slope, rows)))
    paper = float(max(ground[band], line[band]))
    blurriness = 1000 * float(np.nanmean(np.abs(tenth - most)))
    return PrintedLine(
        asked=1000 * target.width_mm,
        width=1000 * float(edge.sum(axis=0).mean()),
        blurriness=blurriness,
        off=off,
        contrast=abs(step) / paper,
        width_half=1000 * float(np.nanmean(half[0] + half[1])),
        phase_sd=phase_sd_um(blurriness, 1000 / sheet_map.px_per_mm, _phases_met(sheet_map, target)),
    )


def phase_sd_um(blurriness_um: float, pixel_um: float, phases: float) -> float:
    """Standard uncertainty of a blurriness in µm that was sampled at ``phases`` (0 to 1) of a pixel's places."""
    short = max(_PHASE_ENDS_PX - blurriness_um / pixel_um, 0.0)
    return pixel_um * _PHASE_SHARE * short * (1.0 - phases)


def _phases_met(sheet_map: SheetMap, target: Target) -> float:
    """The share of a pixel's places that a line's edge passes on its way, 0 to 1."""
    box = target.box_mm
    reach = (0.5 - ENDS) * np.array((0.0, box.h) if target.direction == "vertical" else (box.w, 0.0))
    first, last = sheet_map.to_px(np.array(box.centre) + np.outer((-1.0, 1.0), reach))
    return float(min(np.abs(last - first).min(), 1.0))


def _profiles(part: Window, target: Target) -> tuple[Floats, Floats]:
    """The window's bands (rows, steps, bands) across the line, the line in the middle, and the steps in mm."""
    assert target.width_mm is not None
    box = target.box_mm
    upright = target.direction == "vertical"
    length, room = (box.h, box.w) if upright else (box.w, box.h)
    half = max(min(room / 2, target.width_mm / 2 + 0.45), target.width_mm / 2 + 0.15)
    count = int(half / STEP_MM)
    steps: Floats = np.arange(-count, count + 1, dtype=np.float64) * STEP_MM
    along, across = (1, 0) if upright else (0, 1)
    at = np.empty((ROWS, len(steps), 2))
    at[..., along] = (box.centre[along] + _PLACES * length)[:, None]
    at[..., across] = box.centre[across] + steps
    return part.at(at, cv2.INTER_CUBIC), steps


def _crossings(outwards: Floats, levels: Floats) -> Floats:
    """Steps (k, n) from the middle to where profiles (n, m) first fall below each of ``levels`` (k,), interpolated;
    NaN: never, or there already.
    """
    below = outwards <= levels[:, None, None]
    first = below.argmax(axis=-1)  # 0 where it never does, too
    rows = np.arange(len(outwards))
    before = np.maximum(first - 1, 0)
    high, low = outwards[rows, before], outwards[rows, first]
    fall = np.where(high > low, high - low, 1.0)
    share = np.where(high > low, (high - levels[:, None]) / fall, 0.0)
    return np.where(first > 0, before + share, np.nan)
