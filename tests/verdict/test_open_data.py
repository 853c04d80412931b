"""Open characterisation data come out in the classes that their papers have."""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial import ConvexHull

from tackside.reading.instrument.file import read_instrument_file
from tackside.records import Verdict
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint

REFERENCE = Path(__file__).parents[1] / "reference"


@lru_cache(maxsize=4)
def verdict_on(name: str) -> Verdict:
    return judge(KnownPrint(read_instrument_file(REFERENCE / f"{name}.txt")))


# FOGRA39L and TR 003 are offset on coated paper, FOGRA29L on uncoated (as the files state).
@pytest.mark.parametrize(
    ("name", "grades"), [("FOGRA39L", "sell"), ("TR003", "sell"), ("FOGRA29L", "draft reject")]
)
def test_grades_follow_the_paper(name: str, grades: str) -> None:
    verdict = verdict_on(name)
    assert verdict.grade in grades.split()
    assert not verdict.estimate


def test_the_uncoated_papers_grade_is_not_for_one_figure_alone() -> None:
    # A grade that hung on one threshold near one file's figure would be tuning.
    limiting = [
        outcome.rule for outcome in verdict_on("FOGRA29L").rules if outcome.grade in ("draft", "reject")
    ]
    assert {"black", "gamut"} <= set(limiting)


@pytest.mark.parametrize("name", ["FOGRA39L", "TR003", "FOGRA29L"])
def test_hull_volume_is_that_of_the_published_lab(name: str) -> None:
    # The LAB columns of the open file, through scipy's Qhull alone.
    rows = (REFERENCE / f"{name}.txt").read_text("latin-1").split("BEGIN_DATA\n")[1].split("END_DATA")[0]
    lab = np.array([[float(word) for word in row.split()[8:11]] for row in rows.strip().splitlines()])
    assert verdict_on(name).measures["gamut_hull"].value == pytest.approx(ConvexHull(lab).volume, rel=1e-6)


@pytest.mark.parametrize(
    "measure", ["gamut_volume", "gamut_hull", "gamut_corners", "l_range", "dmax", "chroma_m"]
)
def test_coated_paper_measures_more_than_uncoated(measure: str) -> None:
    coated, uncoated = (verdict_on(name).measures[measure].value for name in ("FOGRA39L", "FOGRA29L"))
    assert isinstance(coated, float)
    assert isinstance(uncoated, float)
    assert coated > 1.08 * uncoated


def test_good_data_have_no_fault_and_weak_data_no_certain_one() -> None:
    assert verdict_on("FOGRA39L").cause == "none"
    weak = verdict_on("FOGRA29L")
    assert weak.cause in ("stock", "side")
    assert max(weak.causes.values()) < 0.8  # nothing is known but the file
    assert weak.causes["too-little-ink"] > 0.05
