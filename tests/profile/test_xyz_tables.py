"""Printer profiles that connect through XYZ, against LittleCMS in double precision and without its shortcuts."""

from __future__ import annotations

import struct
from collections.abc import Callable
from itertools import product

import numpy as np
import pytest

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import WHITE_D50
from tackside.profile.link.convert import device_to_lab_by_profile
from tests.profile.littlecms import PCS_LAB, exact_lab
from tests.profile.table_profiles import assemble, text, xyz_tag

# Invented inks: what each lets through of X, Y and Z at full strength, and a black that is nearly none.
LEFT = np.array([[0.10, 0.20, 0.72], [0.34, 0.17, 0.18], [0.72, 0.76, 0.08], [0.004, 0.004, 0.004]])
HIGHEST = 65535 / 32768  # what the highest number stands for (ISO 15076-1, 6.3.4.2)
PAPER = np.array([0.85, 0.88, 0.74])


def halftone(cmyk: np.ndarray) -> np.ndarray:
    """Dots of the inks side by side and over one another (Neugebauer, 1937, with Demichel's shares): XYZ."""
    return WHITE_D50 * np.prod(1 - cmyk[:, :, None] * (1 - LEFT), axis=1)


def lights(rgb: np.ndarray) -> np.ndarray:
    return 0.003 * WHITE_D50 + 0.997 * rgb @ np.array(
        [[0.43, 0.22, 0.02], [0.38, 0.71, 0.10], [0.15, 0.07, 0.70]]
    )


def gain(axis: np.ndarray) -> np.ndarray:
    """Dots that grow, most in the middle, as an input curve."""
    return axis + 0.8 * axis * (1 - axis)


def lut16(channels: int, nodes: int, to_xyz: Callable[[np.ndarray], np.ndarray]) -> bytes:
    """The curves do the gain, the table the rest."""
    device = np.array(list(product(np.linspace(0, 1, nodes), repeat=channels)))
    identity = struct.pack(">9i", 65536, 0, 0, 0, 65536, 0, 0, 0, 65536)
    head = struct.pack(">4s4xBBBx", b"mft2", channels, 3, nodes) + identity + struct.pack(">HH", 256, 2)
    return (
        head
        + coded(gain(np.linspace(0, 1, 256)), 2) * channels
        + coded(to_xyz(device) / HIGHEST, 2)
        + coded(np.array([0.0, 1.0]), 2) * 3
    )


def lut8(channels: int, nodes: int, to_xyz: Callable[[np.ndarray], np.ndarray]) -> bytes:
    device = np.array(list(product(np.linspace(0, 1, nodes), repeat=channels)))
    identity = struct.pack(">9i", 65536, 0, 0, 0, 65536, 0, 0, 0, 65536)
    head = struct.pack(">4s4xBBBx", b"mft1", channels, 3, nodes) + identity
    return (
        head
        + coded(gain(np.linspace(0, 1, 256)), 1) * channels
        + coded(to_xyz(device) / HIGHEST, 1)
        + bytes(range(256)) * 3
    )


def lut_a_to_b(channels: int, nodes: int, to_xyz: Callable[[np.ndarray], np.ndarray]) -> bytes:
    """A curves by formula, a table of cube roots, M curves that undo them, a matrix and B curves."""
    device = np.array(list(product(np.linspace(0, 1, nodes), repeat=channels)))
    matrix = np.array([[0.9, 0.08, 0.0], [0.02, 0.95, 0.01], [0.0, 0.03, 0.93]])
    offset = np.array([0.001, 0.002, 0.0015])
    held = np.cbrt(np.clip((to_xyz(device) / HIGHEST - offset) @ np.linalg.inv(matrix).T, 0, 1))
    straight, cube = parametric(1.0), parametric(3.0)
    parts = [
        straight * 3,
        struct.pack(">12i", *(round(v * 65536) for v in (*matrix.ravel(), *offset))),
        cube * 3,
    ]
    grid = bytes([nodes] * channels).ljust(16, b"\0") + bytes([2, 0, 0, 0]) + coded(held, 2)
    parts += [grid + bytes(-len(grid) % 4), parametric(0.75) * channels]
    places = 32 + np.cumsum([0, *(len(part) for part in parts)])
    b, matrix_at, m, table_at, a = (int(place) for place in places[:5])
    head = struct.pack(">4s4xBBxx5I", b"mAB ", channels, 3, b, matrix_at, m, table_at, a)
    return head + b"".join(parts)


def parametric(power: float) -> bytes:
    return struct.pack(">4s4xHxxi", b"para", 0, round(power * 65536))


def coded(values: np.ndarray, width: int) -> bytes:
    return np.rint(np.clip(values, 0, 1) * (256**width - 1)).astype(f">u{width}").tobytes()


def profile(channels: int, table: bytes, version: int) -> bytes:
    tags = [
        (b"desc", text("Invented inks", version, description=True)),
        (b"cprt", text("None", version, description=False)),
        (b"wtpt", xyz_tag(PAPER)),
        (b"A2B0", table),
        (b"A2B1", table),
    ]
    return assemble(b"prtr", b"CMYK" if channels == 4 else b"RGB ", b"XYZ ", version, tags)


@pytest.mark.parametrize("nodes", [2, 3, 6, 9])
@pytest.mark.parametrize(("kind", "version"), [(lut16, 2), (lut8, 2), (lut_a_to_b, 4)])
@pytest.mark.parametrize(("channels", "to_xyz"), [(4, halftone), (3, lights)])
def test_a_table_to_xyz_is_read_as_littlecms_reads_it(
    channels: int,
    to_xyz: Callable[[np.ndarray], np.ndarray],
    kind: Callable[..., bytes],
    version: int,
    nodes: int,
) -> None:
    made = profile(channels, kind(channels, nodes, to_xyz), version)
    device = np.random.default_rng(nodes).integers(0, 65536, (3000, channels)).astype(np.uint16)
    device[0], device[1] = 0, 65535
    exact = exact_lab(device, [made, PCS_LAB], ["relative", "relative"], [False, False])
    ours = device_to_lab_by_profile(device / 65535, made)
    strays = delta_e_2000(ours, exact)
    assert np.percentile(strays, 95) < 0.15
    assert strays.max() < 0.5  # the library's own 16 bits of XYZ, in a black of L* 0.03


def test_the_other_intents_come_from_their_own_tables() -> None:
    first, other = lut16(4, 5, halftone), lut16(4, 5, lambda cmyk: halftone(0.8 * cmyk))
    both = profile(4, first, 2)
    tags = [
        (b"desc", text("Invented inks", 2, description=True)),
        (b"cprt", text("None", 2, description=False)),
        (b"wtpt", xyz_tag(PAPER)),
        (b"A2B0", other),
        (b"A2B1", first),
    ]
    two = assemble(b"prtr", b"CMYK", b"XYZ ", 2, tags)
    device = np.random.default_rng(1).random((200, 4))
    for intent, same in (("relative", both), ("perceptual", profile(4, other, 2))):
        assert np.array_equal(
            device_to_lab_by_profile(device, two, intent=intent), device_to_lab_by_profile(device, same)
        )
