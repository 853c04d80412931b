"""The sharpness of the print: the slanted edges of the sheet, and what of it is the scanner's."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, degrees

import numpy as np

from tackside.colour.spaces import Floats
from tackside.messages.message import Message
from tackside.reading.quality.slanted import EdgeResponse, overshoot, slanted_edge, without
from tackside.reading.scan.colours import window
from tackside.reading.scan.geometry.mapping import SheetMap
from tackside.reading.scan.image_file import ScanImage
from tackside.records import Attribute, Target
from tackside.records.scanner import Sharpness
from tackside.units import Box

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
        most = max(most, float(np.median([overshoot(part) for part in measured])))
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
