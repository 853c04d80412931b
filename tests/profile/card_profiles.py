"""Table-based printer profiles to test with: version 2, 16-bit tables, from open and from invented data.

``press_profile``: an RGB printer on an invented stock of the virtual press. ``fogra39_profile``: offset printing
on coated paper, CMYK, from the characterisation data FOGRA39L (tests/reference). Encoding: ICC.1:2001-04,
6.5.7 (lut16Type) and A.3 (CIELAB at 16 bits: L* 100 is FF00h, a* and b* 0 are 8000h).
"""

from __future__ import annotations

import struct
from collections.abc import Callable
from functools import cache
from itertools import product
from pathlib import Path

import numpy as np
from scipy.interpolate import RBFInterpolator
from scipy.ndimage import convolve1d
from scipy.spatial import cKDTree

from tackside.colour.spaces import WHITE_D50, xyz_to_lab
from tackside.press.printer.colour_table import colour_table, look_up
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel

FOGRA39 = Path(__file__).parents[1] / "reference" / "FOGRA39L.txt"
LAB_GRID = 33
PERCEPTUAL_CHROMA, SATURATION_CHROMA = 0.82, 1.08  # invented: how the two picture intents treat chroma

ToLab = Callable[[np.ndarray], np.ndarray]


@cache
def press_profile(stock: StockModel) -> bytes:
    """An RGB printer profile of ``stock`` on the virtual press's plain printer."""
    table = colour_table(stock, PrinterModel())
    paper = look_up(table, np.ones((1, 3)))[0]

    def to_lab(rgb: np.ndarray) -> np.ndarray:
        return xyz_to_lab(look_up(table, rgb) * (WHITE_D50 / paper))

    return printer_profile(b"RGB ", to_lab, lambda rgb: rgb, paper, nodes=33, name=stock.name.encode())


@cache
def fogra39_profile() -> bytes:
    """A CMYK profile of FOGRA39L: scattered data interpolated, black put in from half of the common grey on."""
    rows = [line.split() for line in FOGRA39.read_text().splitlines() if len(line.split()) == 11]
    data = np.array([[float(cell) for cell in row[1:]] for row in rows if row[0].isdigit()])
    paper = data[np.all(data[:, :4] == 0, axis=1)][0, 4:7] / 100
    _, first = np.unique(data[:, :4], axis=0, return_index=True)  # some patches were printed twice
    relative = xyz_to_lab(data[first, 4:7] / 100 * (WHITE_D50 / paper))
    fitted = RBFInterpolator(data[first, :4] / 100, relative, kernel="linear", degree=1)
    axis = np.linspace(0, 1, 9)
    coarse = fitted(np.array(list(product(axis, repeat=4)))).reshape(9, 9, 9, 9, 3)

    def to_lab(cmyk: np.ndarray) -> np.ndarray:
        return multilinear(coarse, cmyk)

    def separate(rgb: np.ndarray) -> np.ndarray:
        ink = 1 - rgb
        black = np.clip(2 * ink.min(axis=1, keepdims=True) - 1, 0, 1)
        return np.hstack([ink - 0.4 * black, black])

    return printer_profile(b"CMYK", to_lab, separate, paper, nodes=9, name=b"FOGRA39L, refitted")


def printer_profile(
    space: bytes, to_lab: ToLab, separate: ToLab, paper_xyz: np.ndarray, *, nodes: int, name: bytes
) -> bytes:
    """Encode a printer: ``to_lab`` media-relative, ``separate`` RGB-like numbers to device numbers."""
    axis = np.linspace(0, 1, nodes)
    device = np.array(list(product(axis, repeat=len(space.strip()))))
    forward = _lut16(device.shape[1], 3, nodes, _coded_lab(to_lab(device)))
    inverse = _inverse(lambda rgb: to_lab(separate(rgb)))
    grid = np.array(list(product(np.linspace(0, 1, LAB_GRID), repeat=3)))
    lab = grid * 65535 / np.array([652.8, 256, 256]) - np.array([0, 128, 128])
    darkest = to_lab(separate(np.zeros((1, 3))))[0, 0]
    tables = [
        _lut16(3, device.shape[1], LAB_GRID, np.rint(_smoothed(separate(inverse(aim(lab, darkest)))) * 65535))
        for aim in (_perceptual, lambda lab, _: lab, _saturation)
    ]
    tags = [
        (b"desc", struct.pack(">4s4xI", b"desc", len(name) + 1) + name + bytes(79)),
        (b"cprt", b"text\0\0\0\0None\0"),
        (b"wtpt", struct.pack(">4s4x3i", b"XYZ ", *(round(value * 65536) for value in paper_xyz))),
        *((b"A2B%d" % number, forward) for number in range(3)),
        *((b"B2A%d" % number, table) for number, table in enumerate(tables)),
    ]
    return _assembled(space, tags)


def multilinear(grid: np.ndarray, points: np.ndarray) -> np.ndarray:
    """Values (n, 3) between the nodes of an even grid over 0 to 1, linear along each axis."""
    place = np.clip(points, 0, 1) * (grid.shape[0] - 1)
    low = np.minimum(place.astype(int), grid.shape[0] - 2)
    rest = place - low
    total = np.zeros((len(points), 3))
    for corner in product((0, 1), repeat=points.shape[1]):
        weight = np.prod(np.where(corner, rest, 1 - rest), axis=1)
        total += weight[:, None] * grid[tuple((low + corner).T)]
    return total


def _smoothed(device: np.ndarray) -> np.ndarray:
    """The dark half once by 1, 2, 1 along each axis of the Lab grid, as makers of profiles smooth.

    Nearest colours alone jump where black begins.
    """
    grid = device.reshape(LAB_GRID, LAB_GRID, LAB_GRID, -1)
    smooth = grid
    for axis in range(3):
        smooth = convolve1d(smooth, np.array([0.25, 0.5, 0.25]), axis=axis, mode="nearest")
    dark = np.clip(2 - np.arange(LAB_GRID) / (LAB_GRID // 3), 0, 1)[:, None, None, None]
    return (dark * smooth + (1 - dark) * grid).reshape(device.shape)


def _perceptual(lab: np.ndarray, darkest: float) -> np.ndarray:
    """Lightness between black and paper, less chroma."""
    lightness = darkest + np.maximum(lab[:, :1], 0) * (100 - darkest) / 100
    return np.hstack([lightness, lab[:, 1:] * PERCEPTUAL_CHROMA])


def _saturation(lab: np.ndarray, darkest: float) -> np.ndarray:
    lightness = darkest + np.maximum(lab[:, :1], 0) * (100 - darkest) / 100
    return np.hstack([lightness, lab[:, 1:] * SATURATION_CHROMA])


def _inverse(to_lab: ToLab) -> ToLab:
    """Lab to RGB-like numbers: the nearest of a dense grid, then steps of Gauss and Newton held inside."""
    axis = np.linspace(0, 1, 33)
    known = np.array(list(product(axis, repeat=3)))
    tree = cKDTree(to_lab(known))

    def inverse(lab: np.ndarray) -> np.ndarray:
        rgb = known[tree.query(lab)[1]]
        error = np.sum((to_lab(rgb) - lab) ** 2, axis=1)
        for _ in range(3):
            base = to_lab(rgb)
            slope = np.stack(
                [(to_lab(rgb + step) - to_lab(rgb - step)) / 0.02 for step in 0.01 * np.eye(3)], axis=2
            )
            normal = slope.transpose(0, 2, 1) @ slope + 2 * np.eye(3)
            move = np.linalg.solve(normal, slope.transpose(0, 2, 1) @ (lab - base)[..., None])[..., 0]
            tried = np.clip(rgb + np.clip(move, -0.05, 0.05), 0, 1)
            now = np.sum((to_lab(tried) - lab) ** 2, axis=1)
            rgb, error = np.where((now < error)[:, None], tried, rgb), np.minimum(now, error)
        return rgb

    return inverse


def _coded_lab(lab: np.ndarray) -> np.ndarray:
    return np.clip(np.rint((lab + np.array([0, 128, 128])) * np.array([652.8, 256, 256])), 0, 65535)


def _lut16(inputs: int, outputs: int, nodes: int, table: np.ndarray) -> bytes:
    identity = struct.pack(">9i", 65536, 0, 0, 0, 65536, 0, 0, 0, 65536)
    straight = struct.pack(">2H", 0, 65535)
    head = struct.pack(">4s4xBBBx", b"mft2", inputs, outputs, nodes) + identity + struct.pack(">HH", 2, 2)
    return head + straight * inputs + table.astype(">u2").tobytes() + straight * outputs


def _assembled(space: bytes, tags: list[tuple[bytes, bytes]]) -> bytes:
    """Clauses 6.1 and 6.2; equal tables are stored once."""
    entries, data, places = b"", b"", {}
    start = 128 + 4 + 12 * len(tags)
    for signature, content in tags:
        if content not in places:
            places[content] = start + len(data)
            data += content + bytes(-len(content) % 4)
        entries += struct.pack(">4sII", signature, places[content], len(content))
    header = struct.pack(
        ">I4xI4s4s4s6H4s28x3i48x",
        start + len(data),
        0x02100000,
        b"prtr",
        space,
        b"Lab ",
        *(2026, 1, 1, 0, 0, 0),
        b"acsp",
        63190,
        65536,
        54061,
    )
    return header + struct.pack(">I", len(tags)) + entries + data
