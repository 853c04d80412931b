"""The virtual instrument's file says what the press laid down, in CGATS.17's own shape."""

from __future__ import annotations

import numpy as np
import pytest

from tackside.colour.spaces import xyz_to_lab
from tackside.press.instrument import measure
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import cotton_etching

PRINTED = print_sheet(np.full((60, 60, 3), 255, np.uint8), 600, cotton_etching(), PrinterModel())
PATCHES = np.array([[1, 1, 1], [0, 0, 0], [0.2, 0.4, 0.6], [1, 0, 0]], dtype=float)


def table(text: str) -> tuple[list[str], np.ndarray]:
    lines = text.splitlines()
    fields = lines[lines.index("BEGIN_DATA_FORMAT") + 1].split()
    rows = lines[lines.index("BEGIN_DATA") + 1 : lines.index("END_DATA")]
    return fields, np.array([[float(cell) for cell in row.split()] for row in rows])


def test_without_noise_the_file_holds_the_truth() -> None:
    fields, rows = table(measure(PRINTED, PATCHES, noise=0.0).decode("ascii"))
    assert rows[:, fields.index("RGB_R")] == pytest.approx(PATCHES[:, 0] * 255, abs=1e-4)
    lab = rows[:, [fields.index(f"LAB_{axis}") for axis in "LAB"]]
    assert lab == pytest.approx(PRINTED.lab_of(PATCHES), abs=1e-3)
    xyz = rows[:, [fields.index(f"XYZ_{axis}") for axis in "XYZ"]] / 100
    assert xyz_to_lab(xyz) == pytest.approx(lab, abs=0.02)


def test_counts_in_the_head_match_the_data() -> None:
    text = measure(PRINTED, PATCHES, columns="lab", full_scale=100).decode("ascii")
    fields, rows = table(text)
    assert f"NUMBER_OF_FIELDS {len(fields)}" in text
    assert f"NUMBER_OF_SETS {len(rows)}" in text
    assert text.startswith("CGATS.17\n")
    assert "XYZ_X" not in fields
    assert rows[0, fields.index("RGB_G")] == pytest.approx(100)


def test_noise_has_its_size_and_its_seed() -> None:
    many = np.repeat(PATCHES[2:3], 2000, axis=0)
    fields, rows = table(measure(PRINTED, many, noise=0.2, columns="lab").decode("ascii"))
    assert rows[:, fields.index("LAB_A")].std() == pytest.approx(0.2, rel=0.1)
    assert measure(PRINTED, PATCHES) == measure(PRINTED, PATCHES)
    assert measure(PRINTED, PATCHES) != measure(PRINTED, PATCHES, seed=2)
