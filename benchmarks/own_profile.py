"""How near a card's own profile comes to a printer that it never saw, beside a plain spline; which patches serve best.

    .venv/bin/python benchmarks/own_profile.py                  # the table of docs/profile-build.md (some minutes)
    .venv/bin/python benchmarks/own_profile.py --patches 200    # one row of it
    .venv/bin/python benchmarks/own_profile.py --charts         # the table of docs/profile-sheet.md (many minutes)

Two invented printers of unlike physics, and for ``--charts`` the open data of FOGRA39L and TR003, each read with noise.
ΔE00, median and 95 %, at 5,000 random colours. The peer is a polyharmonic spline, its smoothing chosen by leaving each
patch out in turn. ``--charts`` compares the sheet's patches with an even grid and random ones; it says what ``after a
first reading`` gives only in the docs, where it was measured once.
"""

from __future__ import annotations

import argparse
import sys
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.profile.build.presses import PRESSES, chart, grid, read
from tests.profile.build.test_chart_colours import off as off_chart
from tests.profile.build.test_fit import ANYWHERE

from tackside.colour.difference import delta_e_2000
from tackside.profile.build.evidence import weigh
from tackside.profile.build.measured import MeasuredPatches
from tackside.profile.device.device_model import fit_device_model
from tackside.sheet.chart.choice import chosen

COUNTS = (200, 512, 900)
# One standard deviation of each of L*, a*, b*: 0.25 and 0.43 ΔE*ab, root mean square.
NOISES = (0.25 / np.sqrt(3), 0.25)


def said(error: np.ndarray) -> str:
    return f"{np.median(error):.2f}, {np.quantile(error, 0.95):.2f}"


def row(name: str, device: np.ndarray) -> None:
    cells, ratios = [], []
    for noise in NOISES:
        errors: dict[str, list[np.ndarray]] = {"ours": [], "plain": []}
        for press, prints in PRESSES.items():
            lab, there = read(press, device, noise), prints(ANYWHERE)
            surface = weigh(MeasuredPatches.of(device, lab)).surface
            errors["ours"].append(delta_e_2000(surface.at(ANYWHERE), there))
            errors["plain"].append(delta_e_2000(fit_device_model(device, lab).to_lab(ANYWHERE), there))
        cells += [" · ".join(map(said, each)) for each in errors.values()]
        pairs = zip(*errors.values(), strict=True)
        ratios += [np.median(ours) / np.median(plain) for ours, plain in pairs]
    print(
        f"| {name} | {' | '.join(cells)} | ratio of medians {min(ratios):.2f} to {max(ratios):.2f}",
        flush=True,
    )


def charts() -> None:
    for printer in ("FOGRA39L", "TR003", *PRESSES):
        for side in (6, 8, 9):
            random = np.random.default_rng(5).random((side**3, 3))
            random[:8] = grid(2)
            ways = (np.array([colour.rgb for colour in chosen(side**3)]), grid(side), random)
            cells = ["{:.2f}, {:.2f} · {:.2f}, {:.2f}".format(*off_chart(printer, way)) for way in ways]
            print(f"| {printer}, {side**3} | {' | '.join(cells)} |", flush=True)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("--patches", type=int, choices=COUNTS, help="one row alone")
    parser.add_argument("--charts", action="store_true", help="which patches serve best")
    asked = parser.parse_args()
    if asked.charts:
        charts()
        return
    for count in COUNTS if asked.patches is None else (asked.patches,):
        row(str(count), chart(count))
        if count == 512:
            row("512, an even grid", grid(8))


if __name__ == "__main__":
    main()
