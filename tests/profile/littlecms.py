"""LittleCMS called directly, without its shortcuts: the reference for whole chains of profiles at 16 bits.

The library is the one inside Pillow's wheel, else the system's. Constants and layout: lcms2.h, version 2. Its version
2.18 and later keep the tint of the darkest colour in a black point; ISO 18619 takes a neutral (docs/sources.md, S74),
as earlier versions did. So the reference for relative colorimetric with compensation asks the library for the lightness
of the black alone, and maps by the standard's formula, spelled out here.
"""

from __future__ import annotations

import ctypes
import ctypes.util
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import PIL
import pytest

TINTED_SINCE = 2180  # the version from which a black point keeps its tint, as cmsGetEncodedCMMversion counts
D50 = np.array([0.9642, 1.0, 0.8249])
INTENTS = {"perceptual": 0, "relative": 1, "saturation": 2, "absolute": 3}
NO_OPTIMISATION, NO_CACHE = 0x0100, 0x0040
RGB_16 = 4 << 16 | 3 << 3 | 2
CMYK_16 = 6 << 16 | 4 << 3 | 2
LAB_DOUBLE = 1 << 22 | 10 << 16 | 3 << 3
PCS_LAB = b""  # stands for CIELAB in a chain


def exact_lab(
    start: np.ndarray,
    chain: Sequence[bytes],
    intents: Sequence[str],
    bpc: Sequence[bool],
    *,
    library: ctypes.CDLL | None = None,
) -> np.ndarray:
    """CIELAB (n, 3) at the end of a chain of profiles, in double precision.

    ``start``: RGB (n, 3) uint16, CMYK (n, 4) uint16, or CIELAB (n, 3) float64.
    """
    library = library or _library()
    from_lab = start.dtype == np.float64
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
        LAB_DOUBLE if from_lab else RGB_16 if start.shape[1] == 3 else CMYK_16,
        LAB_DOUBLE,
        NO_OPTIMISATION | NO_CACHE,
    )
    assert transform, "LittleCMS refuses the chain"
    stored = np.ascontiguousarray(start, dtype=np.float64 if from_lab else np.uint16)
    lab = np.empty((len(stored), 3))
    library.cmsDoTransform(transform, stored.ctypes.data, lab.ctypes.data, len(stored))
    library.cmsDeleteTransform(transform)
    for profile in opened:
        library.cmsCloseProfile(profile)
    return lab


def printed_lab(rgb: np.ndarray, source: bytes, card: bytes, intent: str, *, bpc: bool) -> np.ndarray:
    """Media-relative CIELAB (n, 3) of RGB (n, 3) uint16, printed by ``intent``, read relative colorimetric.

    The picture's own black is L* 0.
    """
    last = [intent, "relative", "relative"]
    if bpc and intent == "relative":
        lab = exact_lab(rgb, [source, PCS_LAB], [intent, intent], [False, False])
        aims = led_to_black(lab, black_lightness(card, intent))
        return exact_lab(aims, [PCS_LAB, card, card, PCS_LAB], [intent, *last], [False] * 4)
    return exact_lab(rgb, [source, card, card, PCS_LAB], [intent, *last], [bpc, bpc, False, False])


def led_to_black(lab: np.ndarray, black_l: float) -> np.ndarray:
    """ISO 18619 from a black of L* 0 to a neutral one: XYZ · (W − K) / W + K, with CIELAB's formulas of CIE 15."""
    black = D50 * (((black_l + 16) / 116) ** 3 if black_l > 8 else black_l / 903.2963)
    f = np.column_stack([lab[:, 0] + 16, lab[:, 0] + 16, lab[:, 0] + 16]) / 116
    f = f + lab[:, [1]] * [1 / 500, 0, 0] - lab[:, [2]] * [0, 0, 1 / 200]
    xyz = D50 * np.where(f > 24 / 116, f**3, (116 * f - 16) / 903.2963)
    ratio = (xyz * (D50 - black) / D50 + black) / D50
    f = np.where(ratio > 216 / 24389, np.cbrt(ratio), (903.2963 * ratio + 16) / 116)
    return np.column_stack([116 * f[:, 1] - 16, 500 * (f[:, 0] - f[:, 1]), 200 * (f[:, 1] - f[:, 2])])


def black_lightness(card: bytes, intent: str) -> float:
    """L* of the black point that LittleCMS finds for a destination."""
    library = _library()
    opened, found = _open(library, card), (ctypes.c_double * 3)()
    assert library.cmsDetectDestinationBlackPoint(found, opened, INTENTS[intent], 0)
    library.cmsCloseProfile(opened)
    light = found[1]
    return float(116 * np.cbrt(light) - 16 if light > 216 / 24389 else 903.2963 * light)


def neutral_library() -> ctypes.CDLL:
    """A LittleCMS from before TINTED_SINCE: whichever of the two that may be here is one. Skips the test without."""
    for name in _names():
        library = _loaded(name)
        if library.cmsGetEncodedCMMversion() < TINTED_SINCE:
            return library
    pytest.skip("no LittleCMS of version 2.17 or earlier is here")


def _library() -> ctypes.CDLL:
    names = _names()
    if not names:
        pytest.skip("LittleCMS is not here as a library of its own")
    return _loaded(names[0])


def _names() -> list[str]:
    bundled = sorted((Path(PIL.__file__).parents[1] / "pillow.libs").glob("liblcms2*"))
    system = ctypes.util.find_library("lcms2")
    return [*(str(path) for path in bundled), *([system] if system else [])]


def _loaded(name: str) -> ctypes.CDLL:
    library = ctypes.CDLL(name)
    pointer, number = ctypes.c_void_p, ctypes.c_uint32
    for function, result, arguments in (
        ("cmsOpenProfileFromMem", pointer, [ctypes.c_char_p, number]),
        ("cmsCreateLab4Profile", pointer, [pointer]),
        ("cmsCloseProfile", ctypes.c_int, [pointer]),
        ("cmsDeleteTransform", None, [pointer]),
        ("cmsDetectDestinationBlackPoint", ctypes.c_int, [pointer, pointer, number, number]),
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
