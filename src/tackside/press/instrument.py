"""A virtual instrument: what a spectrophotometer would report of a printed sheet, as CGATS.17 text (ISO
28178)."""

from __future__ import annotations

from typing import Literal

import numpy as np
from numpy.typing import ArrayLike

from tackside.colour.spaces import lab_to_xyz
from tackside.press.printer.printing import Print


def measure(
    printed: Print,
    rgb: ArrayLike,
    *,
    noise: float = 0.05,
    full_scale: Literal[100, 255] = 255,
    columns: Literal["lab", "xyz", "both"] = "both",
    seed: int = 1,
) -> bytes:
    """Read flat patches of ``rgb`` (n, 3), 0 to 1, and write a text file: RGB beside XYZ (Y = 100) and
    CIELAB.

    ``noise`` is the standard deviation of each of L*, a* and b* from reading to reading. ``full_scale`` is
    what a full RGB number is written as. Spectra are left out: the press knows three bands only.
    """
    numbers = np.atleast_2d(np.asarray(rgb, dtype=np.float64))
    rng = np.random.default_rng(seed)
    lab = printed.lab_of(numbers) + noise * rng.standard_normal((len(numbers), 3))
    xyz = 100.0 * lab_to_xyz(lab)
    fields = ["SAMPLE_ID", "RGB_R", "RGB_G", "RGB_B"]
    values = [numbers * full_scale]
    if columns != "lab":
        fields += ["XYZ_X", "XYZ_Y", "XYZ_Z"]
        values.append(xyz)
    if columns != "xyz":
        fields += ["LAB_L", "LAB_A", "LAB_B"]
        values.append(lab)
    rows = np.column_stack(values)
    lines = [
        "CGATS.17",
        'ORIGINATOR "a virtual instrument, figures invented"',
        f'DESCRIPTOR "{printed.stock.name}"',
        'MEASUREMENT_CONDITION "M1"',
        'MEASUREMENT_SOURCE "D50, 2 degree observer"',
        f"NUMBER_OF_FIELDS {len(fields)}",
        "BEGIN_DATA_FORMAT",
        " ".join(fields),
        "END_DATA_FORMAT",
        f"NUMBER_OF_SETS {len(rows)}",
        "BEGIN_DATA",
        *(
            f"{number} " + " ".join(f"{value:.4f}" for value in row)
            for number, row in enumerate(rows, start=1)
        ),
        "END_DATA",
    ]
    return ("\n".join(lines) + "\n").encode("ascii")
