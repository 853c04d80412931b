"""Printer profiles of any device, forward only, to match readings against: version 2, one 16-bit table.

Encoding: ICC.1:2001-04, 6.5.7 (lut16Type) and A.3 (CIELAB at 16 bits: L* 100 is FF00h, a* and b* 0 are 8000h).
Scattered data are interpolated by scipy, not by the code under test.
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from functools import cache
from itertools import product
from pathlib import Path

import numpy as np
from scipy.interpolate import RBFInterpolator

from tackside.colour.spaces import WHITE_D50, lab_to_xyz, xyz_to_lab
from tackside.reading.instrument.file import read_instrument_file
from tests.profile import small_profiles

REFERENCE = Path(__file__).parents[1] / "reference"
ToLab = Callable[[np.ndarray], np.ndarray]


def table_profile(channels: int, to_lab: ToLab, name: str, *, nodes: int | None = None) -> bytes:
    """``to_lab`` gives absolute CIELAB of device values (n, channels), 0 to 1; its paper becomes the media white."""
    nodes = nodes or {3: 25, 4: 9}[channels]
    bare = np.ones((1, 3)) if channels == 3 else np.zeros((1, 4))
    paper = lab_to_xyz(to_lab(bare)[0])
    device = np.array(list(product(np.linspace(0, 1, nodes), repeat=channels)))
    relative = xyz_to_lab(lab_to_xyz(to_lab(device)) * (WHITE_D50 / paper))
    coded = np.clip(np.rint((relative + np.array([0, 128, 128])) * [652.8, 256, 256]), 0, 65535).astype(">u2")
    identity = struct.pack(">9i", 65536, 0, 0, 0, 65536, 0, 0, 0, 65536)
    straight = struct.pack(">2H", 0, 65535)
    table = struct.pack(">4s4xBBBx", b"mft2", channels, 3, nodes) + identity + struct.pack(">HH", 2, 2)
    table += straight * channels + coded.tobytes() + straight * 3
    white = struct.pack(">4s4x3i", b"XYZ ", *(round(value * 65536) for value in paper))
    tags = [
        (b"desc", small_profiles._described(name.encode())),
        (b"cprt", small_profiles.COPYRIGHT),
        (b"wtpt", white),
        (b"A2B0", table),
        (b"A2B1", table),
    ]
    return small_profiles._profile(b"prtr", b"RGB " if channels == 3 else b"CMYK", b"Lab ", tags, 0)


@cache
def open_data(name: str) -> tuple[np.ndarray, np.ndarray]:
    """CMYK (n, 4) and CIELAB (n, 3) of a characterisation in tests/reference, each combination once."""
    reading = read_instrument_file(REFERENCE / f"{name}.txt")
    cmyk = np.array([patch.cmyk for patch in reading.patches]).round(5)
    _, first = np.unique(cmyk, axis=0, return_index=True)
    return cmyk[first], np.array([patch.lab for patch in reading.patches])[first]


@cache
def half(name: str, which: int) -> tuple[np.ndarray, np.ndarray]:
    """Every other patch of the open data; paper and the solids are in both halves."""
    cmyk, lab = open_data(name)
    ends = np.all((cmyk == 0) | (cmyk == 1), axis=1)
    rows = ends | (np.arange(len(cmyk)) % 2 == which)
    return cmyk[rows], lab[rows]


@cache
def fitted(name: str) -> ToLab:
    """The first half of the open data, interpolated by scipy's linear radial functions."""
    cmyk, lab = half(name, 0)
    return RBFInterpolator(cmyk, lab, kernel="linear", degree=1)  # type: ignore[no-any-return]
