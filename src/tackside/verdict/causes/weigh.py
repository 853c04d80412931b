"""Why a print is as it is: probabilities over the causes (``records.verdict.Cause``).

What is known of the stock and of the settings changes the odds beforehand. Where a reading has the patches of a
sheet, ``diagnosis`` weighs forward models; for bare files and CMYK, ``weigh_causes`` is naive Bayes over the symptoms
in ``symptoms``. Symptoms that were not measured say nothing.
"""

from __future__ import annotations

from math import hypot
from statistics import NormalDist

from tackside.records import Stock, Trial
from tackside.records.reading import Reading
from tackside.records.verdict import Cause, Grade, Measure
from tackside.verdict.causes.symptoms import PRIORS, SOUND, SYMPTOMS, Symptom
from tackside.verdict.measures.all import number, spread


def weigh_causes(
    measures: dict[str, Measure],
    *,
    trial: Trial | None = None,
    stock: Stock | None = None,
    grade: Grade | None = None,
    other_side: float | None = None,
) -> dict[Cause, float]:
    """Probabilities that sum to 1, in the order of PRIORS.

    ``other_side``: how many L* deeper the black is on the other side of the same card, where a comparable
    reading of it is at hand.
    """
    path = trial is not None and trial.sheet.purpose == "path"
    weights = prior_odds(trial=trial, stock=stock)
    weights["none"] *= SOUND[grade] if grade is not None else 1.0
    for symptom in SYMPTOMS:
        if symptom.path_only and not path:
            continue
        shown = _degree(symptom, measures)
        if shown is None:
            continue
        for cause in weights:
            chance = symptom.chances.get(cause, symptom.otherwise)
            weights[cause] *= shown * chance + (1 - shown) * (1 - chance)
    if other_side is not None:
        _weigh_sides(weights, other_side)
    total = sum(weights.values())
    return {cause: weight / total for cause, weight in weights.items()}


def prior_odds(
    *, trial: Trial | None = None, stock: Stock | None = None, other_side: float | None = None
) -> dict[Cause, float]:
    """Weights of the causes before the print is looked at: how common, what is known, and the other side's black."""
    weights = {cause: prior * _odds(cause, trial, stock) for cause, prior in PRIORS.items()}
    if other_side is not None:
        _weigh_sides(weights, other_side)
    return weights


def likeliest(causes: dict[Cause, float]) -> Cause:
    return max(causes, key=lambda cause: causes[cause])


def _degree(symptom: Symptom, measures: dict[str, Measure]) -> float | None:
    """How surely the symptom is there, 0 to 1: the chance that the true figure lies past the limit."""
    value = number(measures, symptom.measure)
    if value is None:
        return None
    value = abs(value) if symptom.size else value
    past = symptom.limit - value if symptom.below else value - symptom.limit
    width = hypot(symptom.blur, spread(measures, symptom.measure))
    return NormalDist().cdf(past / width)


def _odds(cause: Cause, trial: Trial | None, stock: Stock | None) -> float:
    """How what is known beforehand changes the odds of a cause (this project's own estimates)."""
    odds = 1.0
    if stock is not None:
        odds *= _stock_odds(cause, stock, trial)
    managing = cause in ("managed-twice", "unmanaged", "wide-read-as-narrow", "narrow-read-as-wide")
    if trial is None or trial.sheet.purpose == "device":
        return odds * (0.2 if managing else 1.0)  # bare numbers: no management is meant to happen
    managed_by, space = trial.settings.colour_managed_by, trial.sheet.space
    if cause == "unmanaged":
        odds *= 5.0 if managed_by == "nobody" else 0.3 if managed_by else 1.0
    if cause == "managed-twice" and managed_by in ("driver", "nobody"):
        odds *= 0.3
    if (cause, space) in (("wide-read-as-narrow", "srgb"), ("narrow-read-as-wide", "adobe-rgb")):
        odds *= 0.05
    return odds


def _stock_odds(cause: Cause, stock: Stock, trial: Trial | None) -> float:
    surely = 2.0 if stock.coated_found_by in ("damp-fingertip", "two-sided-trial") else 1.0
    if stock.coated == "none":
        return {"stock": 4.0 * surely, "side": 0.05}.get(cause, 1.0)
    if stock.coated == "both":
        return {"side": 0.05 / surely, "stock": 0.4 / surely}.get(cause, 1.0)
    if stock.coated in ("front", "back") and trial is not None:
        if trial.side == stock.coated:
            return {"side": 0.2 / surely, "stock": 0.5 / surely}.get(cause, 1.0)
        return {"side": 8.0 * surely, "stock": 0.5}.get(cause, 1.0)
    told_inkjet = {True: {"stock": 0.4, "side": 1.2}, False: {"stock": 1.8}}
    return (
        told_inkjet.get(stock.sold_for_inkjet, {}).get(cause, 1.0)
        if stock.sold_for_inkjet is not None
        else 1.0
    )


def _weigh_sides(weights: dict[Cause, float], deeper: float) -> None:
    """Two readings, one of each side: a sharp gain tells of the wrong side, none at all speaks against it."""
    gain = NormalDist(4.0, 1.5).cdf(deeper)
    for cause in weights:
        chance = {"side": 0.97, "none": 0.2, "stock": 0.03}.get(cause, 0.1)
        weights[cause] *= gain * chance + (1 - gain) * (1 - chance)


def same_card_other_side(trial: Trial | None, other: Trial | None) -> bool:
    """Whether two trials are the two sides of one stock on one printer."""
    return (
        trial is not None
        and other is not None
        and (trial.stock, trial.printer) == (other.stock, other.printer)
        and trial.side != other.side
    )


def comparable(one: Reading, other: Reading) -> bool:
    """Whether two readings may be ranked: the same scanner and settings, or instruments both."""
    return one.uncertainty.comparable_with == other.uncertainty.comparable_with
