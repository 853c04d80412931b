"""Conversions as an application makes them: LittleCMS by Pillow, 8 bits a channel in and out."""

from __future__ import annotations

from functools import lru_cache
from io import BytesIO
from typing import Any

import numpy as np
from PIL import Image, ImageCms

from tackside.colour.spaces import Floats
from tackside.profile.icc.working_space import SpaceName, working_space_profile
from tackside.records.trial import Intent

_INTENTS: dict[Intent, ImageCms.Intent] = {
    "perceptual": ImageCms.Intent.PERCEPTUAL,
    "relative": ImageCms.Intent.RELATIVE_COLORIMETRIC,
    "saturation": ImageCms.Intent.SATURATION,
    "absolute": ImageCms.Intent.ABSOLUTE_COLORIMETRIC,
}


@lru_cache(maxsize=64)
def _transform(source: bytes, target: bytes, intent: Intent, compensated: bool, mode: str) -> Any:
    flags = ImageCms.Flags.NOOPTIMIZE
    if compensated:
        flags |= ImageCms.Flags.BLACKPOINTCOMPENSATION
    return ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(BytesIO(source)),
        ImageCms.ImageCmsProfile(BytesIO(target)),
        "RGB",
        mode,
        renderingIntent=_INTENTS[intent],
        flags=flags,
    )


def converted(rgb: Floats, space: SpaceName, profile: bytes, intent: Intent, compensated: bool) -> Floats:
    """Device numbers (n, 3 or 4), 0 to 1, of ``rgb`` (n, 3) in ``space`` through a printer's profile."""
    mode = "CMYK" if profile[16:20] == b"CMYK" else "RGB"
    through = _transform(working_space_profile(space), profile, intent, compensated, mode)
    return _through(through, rgb, mode)


def _through(transform: Any, rgb: Floats, mode: str) -> Floats:
    numbers = np.rint(np.clip(rgb, 0.0, 1.0) * 255.0).astype(np.uint8)
    image = Image.frombytes("RGB", (len(numbers), 1), np.ascontiguousarray(numbers).tobytes())
    out = ImageCms.applyTransform(image, transform)
    assert out is not None
    return np.asarray(out, dtype=np.float64).reshape(-1, len(mode)) / 255.0
