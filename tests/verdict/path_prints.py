"""Readings of path sheets as colour paths print them on known gamuts, and what the rules say of them."""

from __future__ import annotations

from functools import cache
from pathlib import Path

import numpy as np
from numpy.typing import NDArray
from training.path_limits.gamuts import Gamut, characterised, gamut_of

from tackside.colour.spaces import lab_to_xyz, xyz_to_lab
from tackside.records import Measure, PatchReading, Reading, Settings, Stock, Trial, Uncertainty
from tackside.records.sheet_plan import Space
from tackside.records.verdict import Grade, RuleOutcome
from tackside.verdict.grade.grading import apply_rules, worst_grade
from tackside.verdict.known_print import Printed, what_was_printed
from tackside.verdict.measures.measure import measure, weakest_solid
from tackside.verdict.measures.patch_table import patch_table
from tackside.verdict.measures.path import cube_levels, path_measures
from tests.services import open_charts
from tests.sheet.sheets import plan
from tests.verdict.readings import NOON

REFERENCE = Path(__file__).parents[1] / "reference"
SPACES: tuple[Space, ...] = ("srgb", "adobe-rgb")
# As the files themselves say; those of the first row set the limits, the others did not.
SET_BY = {"FOGRA39L": "coated", "TR003": "coated", "FOGRA29L": "uncoated"}
HELD_OUT = {
    "FOGRA28L": "coated",
    "TR005": "coated",
    "TR006": "coated",
    "FOGRA30L": "uncoated",
    "TR002": "newsprint",
}
NOISE = 0.15  # ΔE*ab an axis, a spectrophotometer's repeats


@cache
def known_gamut(name: str) -> Gamut:
    """The gamut of a set of characterisation data, in the project or of the Debian package."""
    if name in SET_BY:
        return gamut_of(name, characterised(REFERENCE / f"{name}.txt").to_lab)
    folder = open_charts()
    assert folder is not None
    return gamut_of(name, characterised(Path(folder) / f"{name}.ti3").to_lab)


def numbers(space: Space, sheet: str = "a6") -> NDArray[np.float64]:
    """The numbers (n, 3) of a path sheet, 0 to 1."""
    return np.array([patch.rgb for patch in plan(sheet, space=space).patches])


def path_trial(space: Space, settings: Settings | None = None, sheet: str = "a6") -> Trial:
    return Trial(
        id="7K3M9QPA",
        stock="Harbour Satin 300",
        stock_revision=1,
        printer="Tern 8",
        printer_revision=1,
        feed="rear",
        side="front",
        settings=settings or Settings(),
        sheet=plan(sheet, space=space),
        made_at=NOON,
    )


def path_reading(space: Space, lab: NDArray[np.float64], sheet: str = "a6", *, seed: int = 1) -> Reading:
    """An instrument's reading of a sheet that shows these colours (n, 3)."""
    seen = lab + NOISE * np.random.default_rng(seed).standard_normal(lab.shape)
    patches = plan(sheet, space=space).patches
    return Reading(
        kind="instrument",
        source_name="path.txt",
        source_sha256="0" * 64,
        made_at=NOON,
        patches=tuple(
            PatchReading(name=patch.name, rgb=patch.rgb, lab=(float(light), float(a), float(b)), sd=0.2)
            for patch, (light, a, b) in zip(patches, seen, strict=True)
        ),
        uncertainty=Uncertainty(de00=0.5, basis="an invented instrument", comparable_with="colorimetric"),
    )


def scanned(reading: Reading, stray: float) -> Reading:
    """The same by a flatbed as it comes: this share of the sheet's mean light lies over every colour."""
    light = lab_to_xyz(np.array([patch.lab for patch in reading.patches]))
    seen = xyz_to_lab(light + stray * (light.mean(axis=0) - light))
    key = "scan | device Invented flatbed | 600 ppi, 8 bits, sRGB assumed"
    return reading.model_copy(
        update={
            "kind": "scan",
            "patches": tuple(
                patch.model_copy(update={"lab": tuple(lab)})
                for patch, lab in zip(reading.patches, seen.tolist(), strict=True)
            ),
            "uncertainty": Uncertainty(de00=5.0, basis="an invented flatbed", comparable_with=key),
        }
    )


def measured(
    trial: Trial, reading: Reading, stock: Stock | None = None
) -> tuple[Printed, dict[str, Measure]]:
    """What was printed, and all measures that the rules look at."""
    table = patch_table(reading, trial.sheet)
    printed = what_was_printed(trial, stock, cube_levels(table))
    found = measure(table, reading)
    return printed, found | weakest_solid(found) | path_measures(table, printed.space, printed.levels)


def graded(
    trial: Trial, reading: Reading, stock: Stock | None = None
) -> tuple[Grade, tuple[RuleOutcome, ...]]:
    """The grade by the rules, and what each of them says."""
    printed, found = measured(trial, reading, stock)
    outcomes = apply_rules(found, printed)
    return worst_grade(outcomes), outcomes
