"""HEIC pictures, as phones write them: HEIF (ISO/IEC 23008-12) packed as HEVC (H.265).

libvips as it is installed here unpacks AV1 alone; libheif with libde265 unpacks these, and is loaded only for one.
The file's own turns and mirrorings (its properties ``irot``, ``imir``, ``clap``) are carried out; what Exif says of
them is then told twice, and not heeded (ISO/IEC 23008-12, annex A). Of several pictures the primary one is taken.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from tackside.files.outside import PICTURE

if TYPE_CHECKING:
    from pi_heif.heif import HeifFile

# All of it is decoded into memory at once, 3 to 12 bytes a pixel; phones write up to 108 million.
MOST_PIXELS = 120_000_000
_HEIC = replace(PICTURE, most_bytes=400_000_000)
# Code points of ITU-T H.273, tables 2 and 3 (docs/sources.md, S170).
BT709, P3_D65 = 1, 12
UNSPECIFIED = 2
HDR_CURVES = (16, 18)  # PQ and HLG, for screens that outshine paper

Pixels = NDArray[np.uint8] | NDArray[np.uint16]


class HeicDamaged(Exception):
    """The file cannot be unpacked: it is damaged, or packed in a way that libheif does not know."""


@dataclass(frozen=True)
class HeicHeader:
    """``size_px`` (width, height) upright; ``profile`` the ICC profile, or None where the colours are told by numbers.

    ``primaries`` and ``curve``: by ITU-T H.273; None where the file tells them by a profile, or not at all.
    """

    size_px: tuple[int, int]
    bits: int
    profile: bytes | None
    primaries: int | None
    curve: int | None
    exif: bytes | None

    @property
    def is_hdr(self) -> bool:
        return self.profile is None and self.curve in HDR_CURVES


class Heic:
    """A HEIC file opened: its header is read, its pixels are not yet unpacked. Raises HeicDamaged."""

    def __init__(self, path: Path) -> None:
        self._file = _opened(path)
        info: dict[str, Any] = self._file.info
        nclx = info.get("nclx_profile") or {}
        self.header = HeicHeader(
            size_px=(int(self._file.size[0]), int(self._file.size[1])),
            bits=int(info.get("bit_depth", 8)),
            profile=bytes(info["icc_profile"]) if info.get("icc_profile") else None,
            primaries=nclx.get("color_primaries"),
            curve=nclx.get("transfer_characteristics"),
            exif=bytes(info["exif"]) if info.get("exif") else None,
        )

    def pixels(self) -> Pixels:
        """(h, w, channels), channels 1 (grey), 2, 3 (RGB) or 4 (with opacity), upright; of 8 bits, or 16 where the file
        has more: its white is 65535. Raises HeicDamaged.
        """
        try:
            image = self._file[self._file.primary_index]
            found = np.asarray(image)
        except (ValueError, EOFError, SyntaxError, RuntimeError, OSError) as error:
            raise HeicDamaged(str(error)) from error
        shaped = found if found.ndim == 3 else found[..., None]
        if shaped.dtype == np.uint8:
            return np.ascontiguousarray(shaped, dtype=np.uint8)
        # Bits stand at the upper end: the rest is filled with the upper ones again, so that white is all ones.
        wide = np.ascontiguousarray(shaped, dtype=np.uint16)
        return wide | (wide >> np.uint16(self.header.bits))


def _opened(path: Path) -> HeifFile:
    from pi_heif.heif import open_heif  # only for a picture that needs it

    data = _HEIC.read(path)
    try:
        return open_heif(data, convert_hdr_to_8bit=False)
    except (ValueError, EOFError, SyntaxError, RuntimeError, OSError) as error:
        raise HeicDamaged(str(error)) from error
