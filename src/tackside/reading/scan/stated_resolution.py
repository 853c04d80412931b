"""The resolution that a file states of itself; nothing where it states none.

libvips gives 72 ppi for a JPEG, and 72 (as 2834 pixels a metre) for a PNG, whose file is silent. Such a figure counts
only where the bytes hold it: the density of JFIF (ITU-T T.871, 10.1), Exif's XResolution (CIPA DC-008, tag 282), or
PNG's pHYs (ISO/IEC 15948, 11.3.5.3).
"""

from __future__ import annotations

import struct

import pyvips

from tackside.units import MM_PER_INCH

# libvips writes 1 pixel a millimetre (25.4 ppi) where a TIFF says nothing; scans below 50 ppi are no scans.
LEAST_STATED_PPI = 50.0
_TAKEN_FOR_GRANTED, _NEAR = 72.0, 0.1
_X_RESOLUTION = 282


def stated_ppi(header: pyvips.Image, head: bytes) -> float | None:
    """Pixels an inch, the same across and along; None where the file, which begins with ``head``, says none."""
    across, along = (float(each) * MM_PER_INCH for each in (header.xres, header.yres))
    if across < LEAST_STATED_PPI or abs(across - along) > 0.01 * across:
        return None
    if abs(across - _TAKEN_FOR_GRANTED) < _NEAR and not _is_stated(header, head):
        return None
    return across


def _is_stated(header: pyvips.Image, head: bytes) -> bool:
    if "exif-data" in header.get_fields() and _exif_has_resolution(bytes(header.get("exif-data"))):
        return True
    if head.startswith(b"\xff\xd8"):
        return _jfif_has_density(head)
    return b"pHYs" in head.partition(b"IDAT")[0] if head.startswith(b"\x89PNG") else True


def _jfif_has_density(head: bytes) -> bool:
    """Whether the first segment is JFIF's, with a density in units of length (1: inch, 2: centimetre)."""
    return head[2:4] == b"\xff\xe0" and head[6:11] == b"JFIF\0" and head[13:14] in (b"\x01", b"\x02")


def _exif_has_resolution(exif: bytes) -> bool:
    """Whether the first directory of an Exif block holds XResolution."""
    tiff = exif.removeprefix(b"Exif\0\0")
    order = "<" if tiff[:2] == b"II" else ">"
    try:
        start = struct.unpack_from(order + "I", tiff, 4)[0]
        count = struct.unpack_from(order + "H", tiff, start)[0]
        tags = (
            struct.unpack_from(order + "H", tiff, start + 2 + 12 * at)[0] for at in range(min(count, 512))
        )
        return _X_RESOLUTION in tags
    except struct.error:
        return False
