"""The sharpness of the print: the slanted edges of the sheet, and what of it is the scanner's.

The response of a slanted edge, by the steps of ISO 12233 (edge-based spatial frequency response):

1. In each row the edge lies at the centroid of the derivative; a straight line is fitted through all rows.
2. Every pixel's distance from that line is its place on the edge spread function; places are binned four to a pixel.
3. The derivative of the edge spread function is the line spread function; a Hamming window is laid around it.
4. The modulus of its Fourier transform, 1 at zero frequency, is the response; the loss by the derivative's two-bin
   baseline is given back.

The response is that of print and scanner together unless the scanner's own is divided out (``without``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan, atan2, degrees, hypot
from typing import TYPE_CHECKING

import numpy as np

from tackside.colour.spaces import Floats
from tackside.messages.message import Message
from tackside.reading.scan.colours import window
from tackside.reading.scan.geometry.mapping import SheetMap, median, straight_line
from tackside.reading.scan.image_file import ScanImage
from tackside.records import Attribute, Target
from tackside.units import Box

if TYPE_CHECKING:  # of a scanner that was learnt
    from tackside.records.scanner import Sharpness

LEAST_PPI = 290.0
KEEP_OFF_MM = 0.5  # of the square's own outline
PARTS = 3  # of the edge's length, measured apart for the spread
# A response known at another resolution is the scanner's own only in part: the file's pixels are another size.
SAME_PPI = 0.03


@dataclass(frozen=True)
class Sharp:
    """Attributes, the greatest overshoot seen (share of the step), and notices."""

    attributes: dict[str, Attribute]
    overshoot: float
    notices: tuple[Message, ...]


def edge_attributes(
    scan: ScanImage,
    sheet_map: SheetMap,
    targets: Sequence[Target],
    ppi: float,
    sharpness: Sequence[Sharpness] = (),
) -> Sharp:
    """``edge_mtf50_{direction}`` in cycles/mm (ISO 12233) at full contrast, ``edge_mtf50_soft_{direction}`` at low.

    The response is across the edge. The scanner's own share is divided out where ``sharpness`` knows it.
    """
    edges = [target for target in targets if target.kind == "edge"]
    found: dict[str, Attribute] = {}
    most, included = 0.0, False
    if ppi < LEAST_PPI:
        return Sharp({}, 0.0, ())
    for target in edges:
        measured = [part for part in _parts(scan, sheet_map, target) if part is not None]
        if not measured:
            continue
        most = max(most, float(median(np.array([overshoot(part) for part in measured]))))
        known = scanner_response(sharpness, sheet_map, target.direction or "vertical", ppi)
        if known is not None:
            measured = [
                without(part, np.array(known.cycles_mm), np.array(known.response)) for part in measured
            ]
        else:
            included = True
        halves = [part.half_cycles_mm for part in measured if np.isfinite(part.half_cycles_mm)]
        if not halves:
            continue
        soft = "soft_" if target.ink[0] > 0.1 else ""
        sd = float(np.std(halves, ddof=1) / np.sqrt(len(halves))) if len(halves) > 1 else None
        found[f"edge_mtf50_{soft}{target.direction}"] = Attribute(
            value=float(np.mean(halves)), unit="cycles/mm", sd=sd
        )
    notices = (Message("scan.own-sharpness-unknown"),) if included else ()
    return Sharp(found, most, notices)


def scanner_response(
    sharpness: Sequence[Sharpness], sheet_map: SheetMap, direction: str, ppi: float
) -> Sharpness | None:
    """What the scanner is known to do across lines of ``direction``, at this resolution; None where it isn't known."""
    across = sheet_map.linear[:, 0] if direction == "vertical" else sheet_map.linear[:, 1]
    axis = "x" if abs(across[0]) >= abs(across[1]) else "y"
    return next((one for one in sharpness if one.axis == axis and abs(one.ppi / ppi - 1.0) <= SAME_PPI), None)


def spread_um(known: Sharpness) -> float:
    """The standard deviation of the Gaussian whose response passes one half where the scanner's does.

    exp(−2 (π σ f)²) = ½ gives σ = √(ln 2 / 2) / (π f).
    """
    return float(1000.0 * np.sqrt(np.log(2.0) / 2.0) / (np.pi * known.half_cycles_mm))


def _parts(scan: ScanImage, sheet_map: SheetMap, target: Target) -> list[EdgeResponse | None]:
    """The edge's response, measured on parts of its length."""
    box = target.box_mm
    upright = target.direction == "vertical"
    length = (box.h if upright else box.w) - 2 * KEEP_OFF_MM
    responses: list[EdgeResponse | None] = []
    for number in range(PARTS):
        start = KEEP_OFF_MM + length * number / PARTS
        if upright:
            part = Box(box.x + KEEP_OFF_MM, box.y + start, box.w - 2 * KEEP_OFF_MM, length / PARTS)
        else:
            part = Box(box.x + start, box.y + KEEP_OFF_MM, length / PARTS, box.h - 2 * KEEP_OFF_MM)
        seen = window(scan, sheet_map, part, margin_mm=0.0)
        if seen is not None:
            responses.append(
                slanted_edge(_upright(seen.xyz[..., 1], sheet_map, upright), sheet_map.px_per_mm)
            )
    return responses


def _upright(light: Floats, sheet_map: SheetMap, upright: bool) -> Floats:
    """The part turned so that the edge runs down it, whichever way the sheet lies in the scan."""
    x, y = sheet_map.linear[:, 1] if upright else sheet_map.linear[:, 0]
    angle = abs(degrees(atan2(y, x)))
    return light if 45.0 <= angle <= 135.0 else np.ascontiguousarray(light.T)


OVERSAMPLING = 4
# The window around the edge, in mm at most: text and frames lie further off.
HALF_MM = 1.0
# An edge nearer to the pixel grid than this fills the four bins unevenly, and one further off has too few rows.
LEAST_ANGLE_DEG, MOST_ANGLE_DEG = 1.0, 30.0
# What the scanner passes less than this of cannot be got back from noise.
LEAST_PASSED = 0.15
LEAST_ROWS = 24


@dataclass(frozen=True, eq=False)
class EdgeResponse:
    """``mtf`` (n,) at ``cycles_mm`` (n,) from 0 on; ``esf`` (m,) the edge spread, 0 dark to 1 light, at ``at_mm`` (m,).

    ``half_cycles_mm``: where the response first falls to one half, NaN where it never does in what can be seen.
    """

    cycles_mm: Floats
    mtf: Floats
    esf: Floats
    at_mm: Floats
    half_cycles_mm: float


def slanted_edge(light: Floats, px_per_mm: float) -> EdgeResponse | None:
    """The response across a near-vertical edge in ``light`` (rows, columns), linear; None where there is no such edge.

    Turn a near-horizontal edge first (``light.T``).
    """
    line = edge_line(light)
    if line is None:
        return None
    offset, slope = line
    if not LEAST_ANGLE_DEG <= abs(degrees(atan(slope))) <= MOST_ANGLE_DEG:
        return None
    spread = _edge_spread(light, offset, slope, px_per_mm)
    if spread is None:
        return None
    esf, pitch_px = spread
    lsf = np.zeros_like(esf)
    lsf[1:-1] = (esf[2:] - esf[:-2]) / 2.0
    centre = round(float(np.sum(np.abs(lsf) * np.arange(len(lsf))) / np.sum(np.abs(lsf))))
    half = min(centre, len(lsf) - 1 - centre)
    windowed = lsf[centre - half : centre + half + 1] * np.hamming(2 * half + 1)
    total = abs(float(windowed.sum()))
    if half < 8 or total <= 0:
        return None
    count = 8 * len(windowed)  # padded, for a fine grid of frequencies
    mtf: Floats = np.asarray(np.abs(np.fft.rfft(windowed, count)) / total, dtype=np.float64)
    per_bin = np.fft.rfftfreq(count)  # cycles a bin
    mtf = mtf / np.maximum(np.sinc(2 * per_bin), 0.1)
    cycles_mm: Floats = np.asarray(per_bin / pitch_px * px_per_mm, dtype=np.float64)
    shown = cycles_mm <= px_per_mm  # twice Nyquist of the pixels
    places: Floats = np.asarray((np.arange(len(esf)) - centre) * pitch_px / px_per_mm)
    return EdgeResponse(cycles_mm[shown], mtf[shown], esf, places, half_of(cycles_mm[shown], mtf[shown]))


def edge_line(light: Floats) -> tuple[float, float] | None:
    """Column of the edge in row 0 and its slope in columns a row, by the centroids of the rows' derivatives."""
    rows, columns = light.shape
    if rows < LEAST_ROWS or columns < 12:
        return None
    steps = np.diff(light, axis=1)
    rising = float(np.sum(steps)) > 0
    signed = steps if rising else -steps
    at = np.arange(columns - 1) + 0.5
    middle = _smooth_peak(signed)
    line = (0.0, 0.0)
    reach = max(columns / 4, 6.0)
    for _ in range(3):
        weight = np.where(np.abs(at[None, :] - middle[:, None]) <= reach, signed, 0.0)
        mass = weight.sum(axis=1)
        usual = float(median(mass))
        good = mass > 0.5 * usual
        if good.sum() < LEAST_ROWS or usual <= 0:
            return None
        centroid = (weight @ at)[good] / mass[good]
        where = np.flatnonzero(good)
        offset, slope = straight_line(where, centroid)
        off = np.abs(centroid - slope * where - offset)
        kept = off <= max(3.0 * float(median(off)), 0.2)
        offset, slope = straight_line(where[kept], centroid[kept])
        middle = offset + slope * np.arange(rows)
        line, reach = (float(offset), float(slope)), max(reach / 2, 6.0)
    return line


def without(measured: EdgeResponse, cycles_mm: Floats, response: Floats) -> EdgeResponse:
    """The response with the scanner's own divided out, as far as it passes ``LEAST_PASSED``."""
    own = np.interp(measured.cycles_mm, cycles_mm, response, right=0.0)
    blind = own < LEAST_PASSED
    end = int(np.argmax(blind)) if blind.any() else len(own)
    mtf = measured.mtf[:end] / own[:end]
    cycles = measured.cycles_mm[:end]
    return EdgeResponse(cycles, mtf, measured.esf, measured.at_mm, half_of(cycles, mtf))


def half_of(cycles_mm: Floats, mtf: Floats) -> float:
    """Where ``mtf`` first falls below one half, interpolated; NaN where it does not."""
    below = mtf < 0.5
    if not below.any() or below[0]:
        return float("nan")
    first = int(np.argmax(below))
    share = (mtf[first - 1] - 0.5) / (mtf[first - 1] - mtf[first])
    return float(cycles_mm[first - 1] + share * (cycles_mm[first] - cycles_mm[first - 1]))


def overshoot(response: EdgeResponse) -> float:
    """How far the edge spread goes beyond its own plateaus near the edge, the larger side, as a share of the step."""
    away = np.abs(response.at_mm)
    far, near = (away > 0.55) & (away < 0.95), away < 0.45
    light, dark = far & (response.esf > 0.5), far & (response.esf <= 0.5)
    if light.sum() < 8 or dark.sum() < 8:
        return 0.0
    high, low = float(median(response.esf[light])), float(median(response.esf[dark]))
    smooth = np.convolve(response.esf, np.ones(3) / 3, mode="same")
    return max(float(smooth[near].max()) - high, low - float(smooth[near].min())) / (high - low)


def _smooth_peak(signed: Floats) -> Floats:
    """The column of the strongest rise in each row, on a straight line through them all (Theil and Sen)."""
    smooth = signed.copy()  # times three, which moves no peak
    smooth[:, 1:] += signed[:, :-1]
    smooth[:, :-1] += signed[:, 1:]
    peak = np.argmax(smooth, axis=1) + 0.5
    rows = np.arange(len(peak))
    gap = max(len(peak) // 3, 1)
    slope = float(median((peak[gap:] - peak[:-gap]) / gap))
    return np.asarray(median(peak - slope * rows) + slope * rows)


def _edge_spread(light: Floats, offset: float, slope: float, px_per_mm: float) -> tuple[Floats, float] | None:
    """The edge spread function, 0 dark to 1 light, and the pitch of its bins in pixels across the edge."""
    rows, columns = light.shape
    row, column = np.mgrid[0:rows, 0:columns]
    across = (column - offset - slope * row) / hypot(1.0, slope)
    pitch = 1.0 / OVERSAMPLING
    room = min(HALF_MM * px_per_mm, float(median(np.concatenate([-across[:, 0], across[:, -1]]))))
    half = int(room / pitch)
    if half < 12:
        return None
    index = np.rint(across / pitch).astype(int) + half
    inside = (index >= 0) & (index <= 2 * half)
    count = np.bincount(index[inside], minlength=2 * half + 1)
    total = np.bincount(index[inside], weights=light[inside], minlength=2 * half + 1)
    if (count == 0).mean() > 0.2:
        return None
    filled = np.flatnonzero(count)
    esf = np.interp(np.arange(2 * half + 1), filled, total[filled] / count[filled])
    tail = max(len(esf) // 8, 3)
    first, last = float(median(esf[:tail])), float(median(esf[-tail:]))
    rough = max(float(np.std(esf[:tail])), float(np.std(esf[-tail:])))
    if abs(last - first) < max(0.02, 5.0 * rough):  # no edge, or one lost in texture
        return None
    dark, bright = min(first, last), max(first, last)
    esf = (esf - dark) / (bright - dark)
    return (esf if last > first else esf[::-1]), pitch
