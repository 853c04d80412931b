"""Which regression: each is fitted to nine tenths of the patches and tried on the rest, ten times over."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats
from tackside.errors import BadRequest
from tackside.reading.scanners.model import RECIPES, Recipe, apply, fit, straightened
from tackside.records.scanner import ColourModel

FEWEST_PATCHES = 24
FOLDS = 10
# A simpler recipe is kept unless a richer one is better by this share: the simpler carries over to other stocks.
CLEARLY_BETTER = 0.97


@dataclass(frozen=True, eq=False)
class ChosenRegression:
    """The model fitted to all patches; ``held_out`` (n,) the ΔE00 of each patch when it was left out; rivals'
    medians.
    """

    model: ColourModel
    recipe: Recipe
    held_out: Floats
    others: dict[str, float]


def choose(scan_lab: Floats, true_lab: Floats, primaries: Floats, seed: int = 5) -> ChosenRegression:
    """The recipe with the least cross-validated median plus 95th percentile. Raises BadRequest for too few patches."""
    count = len(scan_lab)
    if count < FEWEST_PATCHES:
        raise BadRequest("scanner.too-few-patches", patches=count, least=FEWEST_PATCHES)
    order = np.random.default_rng(seed).permutation(count)
    folds = [order[start::FOLDS] for start in range(FOLDS)]
    tone = straightened(scan_lab, true_lab, primaries)
    tried: dict[Recipe, Floats] = {}
    for recipe in RECIPES:
        if _terms(recipe) * 2 > count * (FOLDS - 1) / FOLDS:
            continue
        left_out = np.empty(count)
        for fold in folds:
            rest = np.setdiff1d(order, fold)
            model = fit(scan_lab[rest], true_lab[rest], primaries, recipe, tone)
            left_out[fold] = delta_e_2000(apply(model, scan_lab[fold]), true_lab[fold])
        tried[recipe] = left_out
    best = _best(tried)
    return ChosenRegression(
        fit(scan_lab, true_lab, primaries, best, tone),
        best,
        tried[best],
        {recipe.name: round(float(np.median(errors)), 3) for recipe, errors in tried.items()},
    )


def _best(tried: dict[Recipe, Floats]) -> Recipe:
    best: tuple[Recipe, float] | None = None
    for recipe, errors in sorted(tried.items(), key=lambda each: _terms(each[0])):
        score = float(np.median(errors) + np.percentile(errors, 95))
        if best is None or score < CLEARLY_BETTER * best[1]:
            best = (recipe, score)
    assert best is not None
    return best[0]


def _terms(recipe: Recipe) -> int:
    """How many coefficients a recipe fits for each of the three results; a smoothed table counts for a dozen."""
    if recipe.kind == "table":
        return 12
    counts = {"polynomial": (4, 10, 20), "root-polynomial": (3, 6, 13), "lab-polynomial": (4, 10, 20)}
    return counts[recipe.kind][recipe.degree - 1]
