"""Reference tables as arrays."""

from __future__ import annotations

from pathlib import Path
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

REFERENCE = Path(__file__).resolve().parent.parent / "reference"

Floats = NDArray[np.float64]


class PrintData(NamedTuple):
    """Open characterisation data: CMYK 0 to 1, XYZ with Y = 1 for the perfect diffuser, CIELAB."""

    cmyk: Floats
    xyz: Floats
    lab: Floats


def print_data(name: str) -> PrintData:
    lines = [line.strip() for line in (REFERENCE / name).read_text(encoding="ascii").splitlines()]
    fields = lines[lines.index("BEGIN_DATA_FORMAT") + 1].split()
    rows = lines[lines.index("BEGIN_DATA") + 1 : lines.index("END_DATA")]
    table = np.array([[float(cell) for cell in row.split()] for row in rows])

    def columns(*names: str) -> Floats:
        return table[:, [fields.index(each) for each in names]]

    return PrintData(
        columns("CMYK_C", "CMYK_M", "CMYK_Y", "CMYK_K") / 100,
        columns("XYZ_X", "XYZ_Y", "XYZ_Z") / 100,
        columns("LAB_L", "LAB_A", "LAB_B"),
    )


def ciede2000_pairs() -> Floats:
    """Pair number, L*a*b* of both colours, ΔE00: shape (34, 8)."""
    return np.loadtxt(REFERENCE / "ciede2000_pairs.csv", delimiter=",", skiprows=1)
