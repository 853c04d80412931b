"""Whether a resolution of 72 ppi is the file's own word.

libvips gives 72 ppi for a JPEG, and 72 (as 2834 pixels a metre) for a PNG, whose file is silent. Such a figure counts
only where the bytes hold it: the density of JFIF (ITU-T T.871, 10.1), Exif's XResolution (CIPA DC-008, tag 282), or
PNG's pHYs (ISO/IEC 15948, 11.3.5.3).
"""

from __future__ import annotations

import struct

import pyvips

_X_RESOLUTION = 282


def is_stated(header: pyvips.Image, head: bytes) -> bool:
    """Whether a file of 72 ppi, which begins with ``head``, says so itself."""
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
