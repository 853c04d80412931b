"""The sheet's tag: a QR code (ISO/IEC 18004) that names its trial.

All of a scan is searched first. Where the marks say that a tag lies in a place and none was read, that place
alone is looked at again, upright and enlarged: a washed-out or coarse code is often read then.
"""

from __future__ import annotations

from dataclasses import dataclass

import cv2
import numpy as np
import zxingcpp
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.reading.scan.geometry.mapping import Mapped
from tackside.reading.scan.image_file import Pixels
from tackside.records import Tag
from tackside.units import Box

Grey = NDArray[np.uint8]

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
