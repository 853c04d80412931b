"""Gamut volume beside an independent Monte Carlo of the same solid, in the same run.

    .venv/bin/python benchmarks/gamut_volume.py

The Monte Carlo throws points into the box around the solid and asks of each whether the surface winds around it (the
sum of the solid angles of its triangles: A. Van Oosterom and J. Strackee, IEEE Transactions on Biomedical Engineering
30, 1983). It uses neither tetrahedra nor the lattice. Aim: within 1 %.
"""

from __future__ import annotations

import time

import numpy as np

from tackside.colour.spaces import ADOBE_RGB, SRGB, Floats, rgb_to_lab, xyz_to_lab
from tackside.press.printer.colour_table import colour_table, look_up
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel, cotton_etching, craft_card, semi_gloss
from tackside.profile.gamut.gamut_solid import GamutSolid, solid_of

THROWS = 40_000
ROOM = 4_000_000  # solid angles at once


def winding(points: Floats, corners: Floats) -> Floats:
    """How often the surface winds around each point (n,), its triangles (m, 3, 3) turned alike."""
    a, b, c = (corners[None, :, i] - points[:, None] for i in range(3))
    la, lb, lc = (np.linalg.norm(part, axis=-1) for part in (a, b, c))
    top = np.sum(a * np.cross(b, c), axis=-1)
    below = la * lb * lc + np.sum(a * b, -1) * lc + np.sum(b * c, -1) * la + np.sum(c * a, -1) * lb
    return np.sum(np.arctan2(top, below), axis=1) / (2 * np.pi)


def turned_alike(grid: Floats) -> Floats:
    """The triangles (m, 3, 3) of a grid's six faces, all seen from outside."""
    faces = []
    for axis in range(3):
        for end in (0, -1):
            face = np.take(grid, end, axis=axis)
            a, b, c, d = face[:-1, :-1], face[1:, :-1], face[:-1, 1:], face[1:, 1:]
            corners = np.concatenate(
                [np.stack(part, axis=2).reshape(-1, 3, 3) for part in ((a, b, d), (a, d, c))]
            )
            faces.append(corners if (end == 0) == (axis == 1) else corners[:, ::-1])
    return np.concatenate(faces)


def monte_carlo(solid: GamutSolid) -> tuple[float, float]:
    """Volume and its standard error."""
    corners = turned_alike(solid.grids[0])
    low, high = corners.min(axis=(0, 1)), corners.max(axis=(0, 1))
    points = np.random.default_rng(1).uniform(low, high, (THROWS, 3))
    step = max(1, ROOM // len(corners))
    inside = np.concatenate(
        [np.abs(winding(points[start : start + step], corners)) > 0.5 for start in range(0, THROWS, step)]
    )
    share, box = float(inside.mean()), float(np.prod(high - low))
    return share * box, box * float(np.sqrt(share * (1 - share) / THROWS))


def card(stock: StockModel) -> GamutSolid:
    table = colour_table(stock, PrinterModel())
    return solid_of(lambda rgb: xyz_to_lab(look_up(table, rgb)), 3)


def thinned(solid: GamutSolid) -> GamutSolid:
    """Every fourth node: the same solid for both ways, and few enough triangles for the slow one."""
    return GamutSolid((np.ascontiguousarray(solid.grids[0][::4, ::4, ::4]),))


def main() -> None:
    solids = {
        "sRGB": solid_of(lambda rgb: rgb_to_lab(rgb, SRGB), 3),
        "Adobe RGB (1998)": solid_of(lambda rgb: rgb_to_lab(rgb, ADOBE_RGB), 3),
        **{f"invented {stock.name}": card(stock) for stock in (semi_gloss(), cotton_etching(), craft_card())},
    }
    print("| solid | volume | on the lattice | Monte Carlo (± its own error) | ratio | seconds |")
    print("| --- | --- | --- | --- | --- | --- |")
    for name, full in solids.items():
        solid = thinned(full)
        start = time.perf_counter()
        volume, counted = solid.volume, solid.lattice.volume
        seconds = time.perf_counter() - start
        thrown, error = monte_carlo(solid)
        print(
            f"| {name} | {volume:.0f} | {counted:.0f} | {thrown:.0f} ± {error:.0f} | {volume / thrown:.4f} "
            f"| {seconds:.2f} |"
        )


if __name__ == "__main__":
    main()
