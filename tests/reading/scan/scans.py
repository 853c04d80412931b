"""Scans for the tests, made with OpenCV alone from a sheet's own pixels: a perfect print on a plain lid."""

from __future__ import annotations

from dataclasses import dataclass
from math import cos, radians, sin
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import ADOBE_RGB, SRGB, rgb_to_lab
from tackside.profile.icc.working_space import working_space_profile
from tackside.records import Reading, SheetPlan
from tests.sheet import sheets

Pixels = NDArray[np.uint8]
TRIAL = sheets.TRIAL
LID = 205  # a grey lid, so that the sheet's edges show


@dataclass(frozen=True, eq=False)
class Laid:
    """A scan (h, w, 3) and the (2, 3) affine map from mm on the sheet to its pixels."""

    pixels: Pixels
    to_px: NDArray[np.float64]


def lay(
    name: str = "a6",
    *,
    ppi: float = 300.0,
    turn: float = 0.0,
    tilt_deg: float = 0.0,
    lid: int = LID,
    margin_mm: float = 6.0,
    **options: Any,
) -> Laid:
    """The sheet turned, tilted and resampled on a lid."""
    plan = sheets.plan(name, **options)
    return lay_pixels(sheets.image(name, **options), plan, ppi, turn + tilt_deg, lid, margin_mm)


def lay_pixels(
    printed: Pixels, plan: SheetPlan, ppi: float, angle_deg: float, lid: int = LID, margin_mm: float = 6.0
) -> Laid:
    printed = _shrunk(printed, ppi / plan.ppi)
    height, width = printed.shape[:2]
    per_px = np.array(plan.size_px) / (width, height) * ppi / plan.ppi
    c, s = cos(radians(angle_deg)), sin(radians(angle_deg))
    linear = np.array([[c, -s], [s, c]]) @ np.diag(per_px)
    corners = np.array([[0, 0], [width, 0], [width, height], [0, height]]) @ linear.T
    margin = margin_mm * ppi / 25.4
    shift = margin - corners.min(axis=0)
    columns, rows = np.ceil(np.ptp(corners, axis=0) + 2 * margin).astype(int).tolist()
    # OpenCV counts from the first pixel's centre, the maps here from its corner.
    opencv = np.column_stack([linear, shift + linear @ (0.5, 0.5) - 0.5])
    pixels = cv2.warpAffine(
        printed, opencv, (columns, rows), borderMode=cv2.BORDER_CONSTANT, borderValue=(lid, lid, lid)
    )
    mm = np.array(plan.size_mm) / (width, height)
    return Laid(np.asarray(pixels, dtype=np.uint8), np.column_stack([linear / mm, shift]))


def save(
    pixels: NDArray[Any], path: Path, *, ppi: float | None = 300.0, profile: str | None = "srgb", **how: Any
) -> Path:
    """Write pixels of 8 or 16 bits as the path's suffix says, through libvips."""
    image = pyvips.Image.new_from_array(np.ascontiguousarray(pixels))
    if image.bands >= 3:
        image = image.copy(interpretation="srgb" if pixels.dtype == np.uint8 else "rgb16")
    if ppi is not None:
        image = image.copy(xres=ppi / 25.4, yres=ppi / 25.4)
    if profile is not None:
        assert profile in ("srgb", "adobe-rgb")
        image.set_type(pyvips.GValue.blob_type, "icc-profile-data", working_space_profile(profile))  # type: ignore[arg-type]
    image.write_to_file(str(path), **how)
    return path


def side_by_side(*scans: Pixels, lid: int = LID) -> Pixels:
    """Several scans on one bed, from left to right."""
    tall = max(scan.shape[0] for scan in scans)
    filled = [
        np.pad(scan, ((0, tall - scan.shape[0]), (0, 0), (0, 0)), constant_values=lid) for scan in scans
    ]
    return np.concatenate(filled, axis=1)


def errors(reading: Reading, plan: SheetPlan) -> NDArray[np.float64]:
    """ΔE00 of each patch against the sheet's own numbers, by the space's formulas."""
    space = ADOBE_RGB if plan.space == "adobe-rgb" else SRGB
    asked = {patch.name: patch.rgb for patch in plan.patches}
    exact = rgb_to_lab(np.array([asked[patch.name] for patch in reading.patches]), space)
    return np.asarray(delta_e_2000(np.array([patch.lab for patch in reading.patches]), exact))


def _shrunk(printed: Pixels, factor: float) -> Pixels:
    """Shrunk by area where the scan is coarser than the print: linear interpolation alone would alias."""
    if factor >= 1:
        return printed
    height, width = printed.shape[:2]
    small = (round(width * factor), round(height * factor))
    return np.asarray(cv2.resize(printed, small, interpolation=cv2.INTER_AREA))
