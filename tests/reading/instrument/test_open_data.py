"""Open characterisation data are read whole and right."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tackside.colour.difference import delta_e_76
from tackside.reading.instrument.file import parse_instrument, read_instrument_file

REFERENCE = Path(__file__).parents[2] / "reference"


# Row counts as the files state them; colours of bare paper and solid black as Fogra and CGATS publish them.
@pytest.mark.parametrize(
    ("file", "rows", "paper", "solid_black"),
    [
        ("FOGRA39L.txt", 1617, (95.0, 0.0, -2.0), (16.0, 0.0, 0.0)),
        ("FOGRA29L.txt", 1485, (95.71, 0.61, -2.32), (31.88, 2.05, 2.08)),
        ("TR003.txt", 1617, (92.5, 0.0, 0.0), (18.06, 0.01, -0.11)),
    ],
)
def test_open_data_are_read_whole(
    file: str, rows: int, paper: tuple[float, ...], solid_black: tuple[float, ...]
) -> None:
    measured = parse_instrument((REFERENCE / file).read_bytes(), file)
    assert measured.lab.shape == (rows, 3)
    assert measured.cmyk is not None
    assert measured.cmyk.max() == 1.0
    reading = read_instrument_file(REFERENCE / file)
    by_ink = {patch.cmyk: patch.lab for patch in reading.patches}
    assert by_ink[(0, 0, 0, 0)] == pytest.approx(paper)
    assert by_ink[(0, 0, 0, 1)] == pytest.approx(solid_black)


@pytest.mark.parametrize("file", ["FOGRA39L.txt", "FOGRA29L.txt", "TR003.txt"])
def test_xyz_columns_alone_give_the_published_lab(file: str) -> None:
    data = (REFERENCE / file).read_bytes()
    lab = parse_instrument(data, file).lab
    from_xyz = parse_instrument(data.replace(b"LAB_L", b"OLD_L"), file).lab
    # The published XYZ has two decimals: 0.005 in a Y of 0.6 is 0.05 L*, in a dark X or Z tenths of a* or b*.
    gap = delta_e_76(lab, from_xyz)
    assert float(np.median(gap)) < 0.05
    assert float(gap.max()) < 0.6
