"""What the verdict takes from offset printing is what the open data hold, and docs/sources.md tells it truly."""

from __future__ import annotations

import re
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from tackside.colour.spaces import lightness_to_density
from tackside.verdict.measures.measure import UNCOATED_CHROMA, near_neutral_aim
from tests.colour.tables import print_data
from tests.verdict.offset import INKS, NAMES, chroma, corners, duller, increase_at_half

SOURCES = Path(__file__).parents[2] / "docs" / "sources.md"


def row(label: str) -> list[list[float]]:
    """The figures of one row of the table of S28, a list for each data set."""
    (line,) = (
        line for line in SOURCES.read_text(encoding="utf-8").splitlines() if line.startswith(f"| {label} |")
    )
    cells = line.strip("|").split("|")[1:]
    return [
        [float(word) for word in re.findall(r"-?\d+(?:\.\d+)?", cell.replace("−", "-"))] for cell in cells
    ]


def test_the_table_of_offset_is_what_the_files_hold() -> None:
    for at, name in enumerate(NAMES):
        lab, solids = corners(name), chroma(name)
        darkest = print_data(f"{name}.txt").lab[:, 0].min()
        assert row("the darkest patch of all, four inks")[at] == pytest.approx([darkest], abs=0.051)
        black = [lab[1, 0], float(lightness_to_density(lab[1, 0]))]
        assert row("paper")[at] == pytest.approx(lab[0], abs=0.051)
        assert row("black (K 100)")[at] == pytest.approx(black, abs=0.06)
        assert row("from paper to black (K 100)")[at] == pytest.approx([lab[0, 0] - lab[1, 0]], abs=0.051)
        assert row("C*ab of cyan, magenta, yellow")[at] == pytest.approx(solids[:3], abs=0.051)
        assert row("C*ab of red, green, blue")[at] == pytest.approx(solids[3:], abs=0.051)
        assert row("hull of the eight, thousands")[at] == pytest.approx(
            [ConvexHull(lab).volume / 1e3], abs=0.51
        )
        dull = ConvexHull(duller(name, 5)).volume / 1e3
        assert row("the same, 5 nearer to grey")[at] == pytest.approx([dull], abs=0.51)


def test_the_weakest_solid_is_held_against_measured_ones() -> None:
    measured = dict(zip(INKS[2:], chroma("FOGRA29L"), strict=True))
    assert measured == pytest.approx(UNCOATED_CHROMA, abs=0.051)


def test_uncoated_paper_keeps_of_its_chroma_what_the_page_of_sources_says() -> None:
    kept = dict(zip(INKS[2:], chroma("FOGRA29L") / chroma("FOGRA39L"), strict=True))
    told = {"c": 0.81, "m": 0.80, "y": 0.85, "r": 0.76, "g": 0.66, "b": 0.65}  # docs/sources.md, S36
    assert kept == pytest.approx(told, abs=0.006)


@pytest.mark.parametrize(
    ("name", "colours", "black"),
    [("FOGRA39L", (11, 15), 17), ("FOGRA29L", (16, 20), 22), ("TR003", (16, 17), 20)],
)
def test_tones_grow_as_the_page_of_sources_says(
    name: str, colours: tuple[float, float], black: float
) -> None:
    # docs/sources.md, S30: 11 to 17 % on coated, 17 to 22 % on uncoated paper, 16 to 20 % in TR 003.
    increase = 100 * increase_at_half(name)
    assert np.all((increase[:3] > colours[0]) & (increase[:3] < colours[1] + 0.1))
    assert increase[3] == pytest.approx(black, abs=0.5)


@pytest.mark.parametrize("name", ["FOGRA39L", "TR003"])
def test_more_cyan_than_magenta_and_yellow_is_grey(name: str) -> None:
    # docs/sources.md, S31; FOGRA29L has no such patch.
    data = print_data(f"{name}.txt")
    grey = data.lab[np.isclose(data.cmyk, (0.5, 0.4, 0.4, 0)).all(axis=1)]
    assert len(grey) > 0
    assert np.abs(grey[:, 1:]).max() < 1.2


def test_a_black_scale_on_coated_paper_keeps_to_the_near_neutral_aim() -> None:
    # docs/sources.md, S33.
    data = print_data("FOGRA39L.txt")
    scale = data.lab[(data.cmyk[:, :3] == 0).all(axis=1)]
    aim = near_neutral_aim(scale[:, 0], corners("FOGRA39L")[0], float(scale[:, 0].min()))
    assert len(scale) > 20
    assert np.abs(scale[:, 1:] - aim).max() <= 0.301
