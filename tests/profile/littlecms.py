"""LittleCMS called directly, without its shortcuts: the reference for whole chains of profiles at 16 bits.

The library is the one inside Pillow's wheel, else the system's. Constants and layout: lcms2.h, version 2.
"""

from __future__ import annotations

import ctypes
import ctypes.util
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import PIL
import pytest

INTENTS = {"perceptual": 0, "relative": 1, "saturation": 2, "absolute": 3}
NO_OPTIMISATION, NO_CACHE = 0x0100, 0x0040
RGB_16 = 4 << 16 | 3 << 3 | 2
LAB_DOUBLE = 1 << 22 | 10 << 16 | 3 << 3
PCS_LAB = b""  # stands for CIELAB in a chain


def exact_lab(
    rgb: np.ndarray, chain: Sequence[bytes], intents: Sequence[str], bpc: Sequence[bool]
) -> np.ndarray:
    """CIELAB (n, 3) of RGB (n, 3) uint16 at the end of a chain of profiles, in double precision."""
    library = _library()
    count = len(chain)
    opened = [_open(library, profile) for profile in chain]
    transform = library.cmsCreateExtendedTransform(
        None,
        count,
        (ctypes.c_void_p * count)(*opened),
        (ctypes.c_int32 * count)(*bpc),
        (ctypes.c_uint32 * count)(*(INTENTS[intent] for intent in intents)),
        (ctypes.c_double * count)(*[1.0] * count),
        None,
        0,
        RGB_16,
        LAB_DOUBLE,
        NO_OPTIMISATION | NO_CACHE,
    )
    assert transform, "LittleCMS refuses the chain"
    stored = np.ascontiguousarray(rgb, dtype=np.uint16)
    lab = np.empty((len(stored), 3))
    library.cmsDoTransform(transform, stored.ctypes.data, lab.ctypes.data, len(stored))
    library.cmsDeleteTransform(transform)
    for profile in opened:
        library.cmsCloseProfile(profile)
    return lab


def printed_lab(rgb: np.ndarray, source: bytes, card: bytes, intent: str, *, bpc: bool) -> np.ndarray:
    """Media-relative CIELAB (n, 3) of RGB (n, 3) uint16, printed by ``intent``, read relative colorimetric."""
    return exact_lab(
        rgb,
        [source, card, card, PCS_LAB],
        [intent, intent, "relative", "relative"],
        [bpc, bpc, False, False],
    )


def _library() -> ctypes.CDLL:
    bundled = sorted((Path(PIL.__file__).parents[1] / "pillow.libs").glob("liblcms2*"))
    name = str(bundled[0]) if bundled else ctypes.util.find_library("lcms2")
    if name is None:
        pytest.skip("LittleCMS is not here as a library of its own")
    library = ctypes.CDLL(name)
    pointer, number = ctypes.c_void_p, ctypes.c_uint32
    for function, result, arguments in (
        ("cmsOpenProfileFromMem", pointer, [ctypes.c_char_p, number]),
        ("cmsCreateLab4Profile", pointer, [pointer]),
        ("cmsCloseProfile", ctypes.c_int, [pointer]),
        ("cmsDeleteTransform", None, [pointer]),
        ("cmsDoTransform", None, [pointer, pointer, pointer, number]),
        (
            "cmsCreateExtendedTransform",
            pointer,
            [pointer, number, *[pointer] * 5, number, number, number, number],
        ),
    ):
        getattr(library, function).restype = result
        getattr(library, function).argtypes = arguments
    return library


def _open(library: ctypes.CDLL, profile: bytes) -> ctypes.c_void_p:
    opened = (
        library.cmsOpenProfileFromMem(profile, len(profile))
        if profile
        else library.cmsCreateLab4Profile(None)
    )
    assert opened, "LittleCMS cannot open a profile"
    return ctypes.c_void_p(opened)
