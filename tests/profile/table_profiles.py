"""Printer profiles with tables, to test with: RGB of an invented ink set, CMYK of the open data FOGRA39L.

Encoded here for the tests alone, from ISO 15076-1:2010: version 2 with lut16Type (CIELAB coded as in 6.3.4.2:
L* 100 is FF00h), version 4 with lutAToBType and lutBToAType (L* 100 is FFFFh, a* and b* 0 are 8080h).
"""

from __future__ import annotations

import hashlib
import struct
from collections.abc import Callable
from functools import cache
from itertools import product
from pathlib import Path

import numpy as np
from scipy.interpolate import RBFInterpolator
from scipy.spatial import cKDTree

from tackside.colour.spaces import WHITE_D50, lab_to_xyz, xyz_to_lab

FOGRA39 = Path(__file__).parents[1] / "reference" / "FOGRA39L.txt"
PAPER = lab_to_xyz([94.0, 1.0, -4.0])  # an invented stock, a shade blue
BLACK_Y = 0.01  # of its blackest ink, media-relative: L* 8.99
# Invented primaries under D50, whose sum is D50; a light set of inks seen as three lights.
LIGHTS = np.array([[0.40, 0.20, 0.02], [0.36, 0.68, 0.09]])
LIGHTS = np.vstack([LIGHTS, WHITE_D50 - LIGHTS.sum(axis=0)])
TINTED_BLACK = np.array([14.0, 4.0, -9.0])  # media-relative
GAMMA = 2.0
LAB_SIDE = 33

Convert = Callable[[np.ndarray], np.ndarray]


def invented_to_lab(rgb: np.ndarray) -> np.ndarray:
    """Media-relative CIELAB of the invented RGB printer: lights to a power, above a black that is not quite."""
    return xyz_to_lab(BLACK_Y * WHITE_D50 + (1 - BLACK_Y) * (rgb**GAMMA @ LIGHTS))


def lab_to_invented(lab: np.ndarray) -> np.ndarray:
    light = (lab_to_xyz(lab) - BLACK_Y * WHITE_D50) / (1 - BLACK_Y) @ np.linalg.inv(LIGHTS)
    return np.clip(light, 0, 1) ** (1 / GAMMA)


def less_chroma(lab: np.ndarray) -> np.ndarray:
    """What the invented perceptual table does before it asks for ink."""
    return lab * [1, 0.8, 0.8]


@cache
def rgb_printer(version: int = 2) -> bytes:
    """The relative tables are exact; perceptual has a way in of its own, which saturation shares."""
    return printer(
        b"RGB ",
        version,
        invented_to_lab,
        {"0": lambda lab: lab_to_invented(less_chroma(lab)), "1": lab_to_invented},
        PAPER,
        nodes=17,
        name="Tern 8, Harbour Satin 300",
    )


def tinted_to_lab(rgb: np.ndarray) -> np.ndarray:
    """The same printer with a bluish black: light to a power above TINTED_BLACK."""
    black = lab_to_xyz(TINTED_BLACK)
    return xyz_to_lab(black + (1 - black / WHITE_D50) * (rgb**GAMMA @ LIGHTS))


def lab_to_tinted(lab: np.ndarray) -> np.ndarray:
    black = lab_to_xyz(TINTED_BLACK)
    light = (lab_to_xyz(lab) - black) / (1 - black / WHITE_D50) @ np.linalg.inv(LIGHTS)
    return np.clip(light, 0, 1) ** (1 / GAMMA)


@cache
def tinted_printer(version: int = 2) -> bytes:
    """Its tables are exact by every intent."""
    ways = {"0": lab_to_tinted, "1": lab_to_tinted}
    return printer(b"RGB ", version, tinted_to_lab, ways, PAPER, nodes=33, name="Tinted black")


@cache
def cmyk_printer(version: int = 2) -> bytes:
    """FOGRA39L, refitted: the nearest 60 patches by a thin spline; black put in from half of the common grey on."""
    paper, to_lab, from_lab = fogra39()
    return printer(
        b"CMYK", version, to_lab, {"0": from_lab, "1": from_lab}, paper, nodes=9, name="FOGRA39L, refitted"
    )


@cache
def fogra39() -> tuple[np.ndarray, Convert, Convert]:
    """The paper's XYZ, and both ways between CMYK and media-relative CIELAB."""
    rows = [line.split() for line in FOGRA39.read_text().splitlines() if len(line.split()) == 11]
    data = np.array([[float(cell) for cell in row[1:]] for row in rows if row[0].isdigit()])
    _, first = np.unique(data[:, :4], axis=0, return_index=True)  # some patches were printed twice
    device, xyz = data[first, :4] / 100, data[first, 4:7] / 100
    paper = xyz[np.all(device == 0, axis=1)][0]
    to_lab = RBFInterpolator(device, xyz_to_lab(xyz * (WHITE_D50 / paper)), neighbors=60, kernel="linear")
    axis = np.linspace(0, 1, 17)
    separations = _separate(np.array(list(product(axis, repeat=3))))
    colours = to_lab(separations)
    tree = cKDTree(colours)

    def from_lab(lab: np.ndarray) -> np.ndarray:
        far, near = tree.query(lab, k=4)
        weight = 1 / (far + 1e-6) ** 2
        return (separations[near] * weight[..., None]).sum(axis=1) / weight.sum(axis=1)[:, None]

    return paper, to_lab, from_lab


def _separate(rgb: np.ndarray) -> np.ndarray:
    ink = 1 - rgb
    black = np.clip(2 * ink.min(axis=1, keepdims=True) - 1, 0, 1)
    return np.hstack([ink - 0.4 * black, black])


def printer(
    space: bytes,
    version: int,
    to_lab: Convert,
    from_lab: dict[str, Convert],
    paper_xyz: np.ndarray,
    *,
    nodes: int,
    name: str,
    to_lab_perceptual: Convert | None = None,
) -> bytes:
    """``from_lab``: tables B2A0, B2A1, B2A2 by number; saturation shares the perceptual one where it has none."""
    channels = len(space.strip())
    device = np.array(list(product(np.linspace(0, 1, nodes), repeat=channels)))
    lab = lab_nodes(version)
    forward = table(version, channels, 3, nodes, coded_lab(to_lab(device), version), b"mAB ")
    perceptual = forward
    if to_lab_perceptual is not None:
        perceptual = table(
            version, channels, 3, nodes, coded_lab(to_lab_perceptual(device), version), b"mAB "
        )
    back = {
        number: table(version, 3, channels, LAB_SIDE, np.clip(way(lab), 0, 1) * 65535, b"mBA ")
        for number, way in from_lab.items()
    }
    gamut = table(version, 3, 1, 2, np.zeros((8, 1)), b"mBA ")
    tags = [
        (b"desc", text(name, version, description=True)),
        (b"cprt", text("None", version, description=False)),
        (b"wtpt", xyz_tag(paper_xyz)),
        (b"A2B0", perceptual),
        (b"A2B1", forward),
        (b"A2B2", perceptual),
        (b"B2A0", back["0"]),
        (b"B2A1", back["1"]),
        (b"B2A2", back.get("2", back["0"])),
        (b"gamt", gamut),
    ]
    return assemble(b"prtr", space, b"Lab ", version, tags)


def lab_nodes(version: int) -> np.ndarray:
    """CIELAB at the nodes of a table from CIELAB; those of version 2 reach beyond L* 100."""
    grid = np.array(list(product(np.linspace(0, 1, LAB_SIDE), repeat=3)))
    steps = np.array([652.8, 256, 256]) if version == 2 else np.array([655.35, 257, 257])
    return grid * 65535 / steps - [0, 128, 128]


def coded_lab(lab: np.ndarray, version: int) -> np.ndarray:
    steps = np.array([652.8, 256, 256]) if version == 2 else np.array([655.35, 257, 257])
    return np.clip(
        (lab + np.array([0, 128, 128])) * steps, 0, [65280 if version == 2 else 65535, 65535, 65535]
    )


def table(version: int, inputs: int, outputs: int, side: int, values: np.ndarray, kind: bytes) -> bytes:
    stored = np.rint(values).astype(">u2").tobytes()
    if version == 2:
        identity = struct.pack(">9i", 65536, 0, 0, 0, 65536, 0, 0, 0, 65536)
        head = struct.pack(">4s4xBBBx", b"mft2", inputs, outputs, side) + identity + struct.pack(">HH", 2, 2)
        return head + struct.pack(">HH", 0, 65535) * inputs + stored + struct.pack(">HH", 0, 65535) * outputs
    straight = struct.pack(">4s4xI", b"curv", 0)
    before, after = (outputs, inputs) if kind == b"mAB " else (inputs, outputs)
    b_curves, a_curves = straight * before, straight * after
    a_place = 32 + len(b_curves)
    table_place = a_place + len(a_curves)
    places = (32, 0, 0, table_place, a_place)
    grid = bytes([side] * inputs).ljust(16, b"\0") + bytes([2, 0, 0, 0])
    return struct.pack(">4s4xBBxx5I", kind, inputs, outputs, *places) + b_curves + a_curves + grid + stored


def text(words: str, version: int, *, description: bool) -> bytes:
    if version == 4:
        coded = words.encode("utf-16-be")
        return struct.pack(">4s4xII2s2sII", b"mluc", 1, 12, b"en", b"GB", len(coded), 28) + coded
    plain = words.encode("ascii") + b"\0"
    if not description:
        return b"text\0\0\0\0" + plain
    return struct.pack(">4s4xI", b"desc", len(plain)) + plain + bytes(78)


def xyz_tag(xyz: np.ndarray) -> bytes:
    return struct.pack(">4s4x3i", b"XYZ ", *(round(float(value) * 65536) for value in xyz))


def assemble(
    kind: bytes, space: bytes, connection: bytes, version: int, tags: list[tuple[bytes, bytes]]
) -> bytes:
    """Equal data are stored once; version 4 carries its profile ID."""
    start = 128 + 4 + 12 * len(tags)
    entries, data, places = b"", b"", dict[bytes, int]()
    for signature, content in tags:
        if content not in places:
            places[content] = start + len(data)
            data += content + bytes(-len(content) % 4)
        entries += struct.pack(">4sII", signature, places[content], len(content))
    header = struct.pack(
        ">I4xI4s4s4s6H4s4x20xI3i48x",
        start + len(data),
        0x02400000 if version == 2 else 0x04300000,
        kind,
        space,
        connection,
        *(2026, 1, 1, 12, 30, 0),
        b"acsp",
        0,
        63190,
        65536,
        54061,
    )
    profile = header + struct.pack(">I", len(tags)) + entries + data
    if version == 2:
        return profile
    return with_id(profile)


def with_id(profile: bytes) -> bytes:
    """ISO 15076-1:2010, 7.2.18; flags and intent are zero here."""
    digest = hashlib.md5(profile[:84] + bytes(16) + profile[100:], usedforsecurity=False).digest()
    return profile[:84] + digest + profile[100:]
