"""Printer profiles as bytes, and their colorimetric table read back: ISO 15076-1:2010 and ICC.1:2001-04 (version 2).

Lookups are ``lut16Type`` (ISO 15076-1, 10.10): three or four channels to CIELAB, and CIELAB to channels, in the legacy
16-bit encoding that this type keeps in both versions (10.10, table 42: L* 100 is 0xFF00, a* and b* 0 are 0x8000).
"""

from __future__ import annotations

import struct
from dataclasses import dataclass

import numpy as np
from scipy.ndimage import map_coordinates

from tackside.colour.spaces import WHITE_D50, Floats, lab_to_xyz, xyz_to_lab

INTENTS = ("perceptual", "relative", "saturation")


def lab_nodes(size: int) -> Floats:
    """CIELAB (size³, 3) at the even steps of a table's three encoded channels."""
    axis = np.linspace(0.0, 65535.0, size)
    grid = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)
    return np.column_stack([grid[:, 0] / 652.8, grid[:, 1] / 256.0 - 128.0, grid[:, 2] / 256.0 - 128.0])


def lab_numbers(lab: Floats) -> Floats:
    """CIELAB in the legacy 16-bit encoding, as numbers 0 to 65535."""
    return np.clip(
        np.column_stack([lab[:, 0] * 652.8, (lab[:, 1] + 128.0) * 256.0, (lab[:, 2] + 128.0) * 256.0]),
        0.0,
        65535.0,
    )


def printer_profile(
    channels: int, to_lab: Floats, from_lab: dict[str, Floats], paper_xyz: Floats, version: int, name: str
) -> bytes:
    """A profile of the class ``prtr``.

    ``to_lab`` (size^channels, 3): CIELAB relative to paper at even steps of the channels, the first slowest.
    ``from_lab``: by intent (``INTENTS``), channels (size³, n), 0 to 1, at ``lab_nodes``. ``paper_xyz``: against the
    perfect diffuser. ``version``: 2 or 4.
    """
    forward = _lut16(channels, 3, lab_numbers(to_lab))
    tags: list[tuple[bytes, bytes]] = [
        (b"desc", _described(name, version)),
        (b"cprt", _text("Made for a test; no rights reserved", version)),
        (b"wtpt", b"XYZ " + bytes(4) + _fixed(paper_xyz)),
        *((f"A2B{number}".encode(), forward) for number in range(3)),
        *(
            (f"B2A{number}".encode(), _lut16(3, channels, 65535.0 * from_lab[intent]))
            for number, intent in enumerate(INTENTS)
        ),
    ]
    if version == 4:
        tags.append((b"chad", b"sf32" + bytes(4) + _fixed(np.eye(3).ravel())))
    return _assembled(tags, b"prtr", b"CMYK" if channels == 4 else b"RGB ", b"Lab ", version)


def _assembled(tags: list[tuple[bytes, bytes]], kind: bytes, space: bytes, pcs: bytes, version: int) -> bytes:
    places: dict[bytes, int] = {}
    body, at, table = b"", 128 + 4 + 12 * len(tags), struct.pack(">I", len(tags))
    for signature, data in tags:
        if data not in places:
            places[data] = at + len(body)
            body += data + bytes(-len(data) % 4)
        table += struct.pack(">4sII", signature, places[data], len(data))
    head = struct.pack(
        ">I4sI4s4s4s6H4s4s",
        at + len(body), b"\0\0\0\0", 0x04300000 if version == 4 else 0x02400000, kind, space, pcs,
        2026, 1, 1, 0, 0, 0, b"acsp", bytes(4),
    )  # fmt: skip
    head += bytes(28) + _fixed(WHITE_D50)
    return head + bytes(128 - len(head)) + table + body


def scanner_profile(matrix: Floats, gamma: float, white: Floats, name: str) -> bytes:
    """A version 2 profile of the class ``scnr``: linear numbers by ``gamma``, then ``matrix`` (3, 3) to XYZ."""
    curve = b"curv" + bytes(4) + struct.pack(">IH", 1, round(gamma * 256))
    tags = [
        (b"desc", _described(name, 2)),
        (b"cprt", _text("Made for a test; no rights reserved", 2)),
        (b"wtpt", b"XYZ " + bytes(4) + _fixed(white)),
        *((f"{c}XYZ".encode(), b"XYZ " + bytes(4) + _fixed(matrix[:, i])) for i, c in enumerate("rgb")),
        *((f"{c}TRC".encode(), curve) for c in "rgb"),
    ]
    return _assembled(tags, b"scnr", b"RGB ", b"XYZ ", 2)


def _fixed(values: Floats) -> bytes:
    return b"".join(struct.pack(">i", round(float(value) * 65536)) for value in values)


def _described(name: str, version: int) -> bytes:
    if version == 4:
        return _text(name, 4)
    plain = name.encode("ascii") + b"\0"
    return b"desc" + bytes(4) + struct.pack(">I", len(plain)) + plain + bytes(8 + 3 + 67)


def _text(words: str, version: int) -> bytes:
    if version == 2:
        return b"text" + bytes(4) + words.encode("ascii") + b"\0"
    wide = words.encode("utf-16-be")
    return b"mluc" + bytes(4) + struct.pack(">II2s2sII", 1, 12, b"en", b"US", len(wide), 28) + wide


def _lut16(inputs: int, outputs: int, numbers: Floats) -> bytes:
    size = round(len(numbers) ** (1.0 / inputs))
    straight = struct.pack(">2H", 0, 65535)
    return (
        b"mft2"
        + bytes(4)
        + struct.pack(">4B", inputs, outputs, size, 0)
        + _fixed(np.eye(3).ravel())
        + struct.pack(">2H", 2, 2)
        + straight * inputs
        + np.rint(np.clip(numbers, 0, 65535)).astype(">u2").tobytes()
        + straight * outputs
    )


@dataclass(frozen=True, eq=False)
class ColorimetricTable:
    """A profile's A2B1 (else A2B0) as arrays: ``curves_in`` (i, n), ``grid`` (size, …, 3), ``curves_out`` (3, m), all 0
    to 1; ``white`` (3,): XYZ of the paper.
    """

    curves_in: Floats
    grid: Floats
    curves_out: Floats
    white: Floats
    is_16_bit: bool

    def lab(self, device: Floats) -> Floats:
        """CIELAB (n, 3) against the perfect diffuser of device numbers (n, i), 0 to 1, linear between the nodes."""
        bent = np.column_stack(
            [
                np.interp(device[:, i], np.linspace(0, 1, len(curve)), curve)
                for i, curve in enumerate(self.curves_in)
            ]
        )
        at = bent.T * (self.grid.shape[0] - 1)
        shown = [map_coordinates(self.grid[..., i], at, order=1, mode="nearest") for i in range(3)]
        coded = np.column_stack(
            [
                np.interp(each, np.linspace(0, 1, len(curve)), curve)
                for each, curve in zip(shown, self.curves_out, strict=True)
            ]
        )
        # ISO 15076-1, 10.10: sixteen bits count to 0xFF00, eight bits to 255 with zero at 128.
        lab = (
            np.column_stack([coded[:, 0] * 65535 / 652.8, coded[:, 1:] * 65535 / 256.0 - 128.0])
            if self.is_16_bit
            else np.column_stack([coded[:, 0] * 100.0, coded[:, 1:] * 255.0 - 128.0])
        )
        return xyz_to_lab(lab_to_xyz(lab) * self.white / WHITE_D50)


def colorimetric_table(profile: bytes) -> ColorimetricTable:
    """The table of a CMYK or RGB printer profile with lut8 or lut16 lookups. Raises KeyError where it has none."""
    count = struct.unpack(">I", profile[128:132])[0]
    entries = [struct.unpack(">4sII", profile[132 + 12 * i : 144 + 12 * i]) for i in range(count)]
    tags = {signature: profile[at : at + size] for signature, at, size in entries}
    data = tags[b"A2B1"] if b"A2B1" in tags else tags[b"A2B0"]
    wide = data[:4] == b"mft2"
    inputs, outputs, size = data[8], data[9], data[10]
    n_in, n_out = struct.unpack(">2H", data[48:52]) if wide else (256, 256)
    numbers = np.frombuffer(data[52 if wide else 48 :], dtype=">u2" if wide else ">u1").astype(float)
    numbers /= 65535.0 if wide else 255.0
    ends = np.cumsum([inputs * n_in, size**inputs * outputs, outputs * n_out])
    first, grid, last = np.split(numbers[: ends[-1]], ends[:-1])
    white = np.array(struct.unpack(">3i", tags[b"wtpt"][8:20])) / 65536.0
    return ColorimetricTable(
        first.reshape(inputs, n_in),
        grid.reshape(*[size] * inputs, outputs),
        last.reshape(outputs, n_out),
        white,
        wide,
    )
