"""HEIC pictures as telephones pack them, made by a test with libheif's encoder."""

from __future__ import annotations

import io

import numpy as np
from numpy.typing import NDArray


def heic(
    pixels: NDArray[np.uint8] | NDArray[np.uint16],
    *,
    profile: bytes | None = None,
    orientation: int | None = None,
    exif: dict[int, str] | None = None,
    quality: int = 95,
    nclx: tuple[int, int] | None = None,
) -> bytes:
    """A HEIC of RGB ``pixels`` (h, w, 3): of 8 bits, or of 10 for uint16.

    ``orientation`` is Exif's, which the encoder turns into HEIF's own property; ``nclx`` primaries and transfer curve
    by ITU-T H.273, in place of a profile.
    """
    import pillow_heif
    from PIL import Image

    height, width = pixels.shape[:2]
    mode = "RGB" if pixels.dtype == np.uint8 else "RGB;16"
    file = pillow_heif.from_bytes(mode, (width, height), np.ascontiguousarray(pixels).tobytes())
    tags = Image.Exif()
    for tag, said in (exif or {}).items():
        tags[tag] = said
    if orientation is not None:
        tags[0x0112] = orientation
    if len(tags):
        file.info["exif"] = tags.tobytes()
    how: dict[str, object] = {}
    if profile is not None:
        file.info["icc_profile"] = profile
        how["save_nclx_profile"] = False
    elif nclx is None:
        how["save_nclx_profile"] = False
    else:
        how |= {"save_nclx_profile": True, "color_primaries": nclx[0], "transfer_characteristics": nclx[1],
                "matrix_coefficients": 6, "full_range_flag": 1}  # fmt: skip
    out = io.BytesIO()
    file.save(out, quality=quality, chroma=444, **how)
    return out.getvalue()


def wedge(width: int = 240, height: int = 240) -> NDArray[np.uint8]:
    """A grey wedge from black to white, (h, w, 3)."""
    ramp = np.linspace(0, 255, width).astype(np.uint8)
    return np.repeat(np.tile(ramp, (height, 1))[..., None], 3, axis=2)
