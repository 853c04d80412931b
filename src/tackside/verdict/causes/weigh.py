"""Why a print is as it is: probabilities over the causes (``records.verdict.Cause``).

What is known of the stock and of the settings changes the odds beforehand. Where a reading has the patches of a
sheet, ``diagnosis`` weighs its colours; for CMYK, ``weigh_causes`` is naive Bayes over the symptoms in ``symptoms``.
Symptoms that were not measured say nothing.
"""

from __future__ import annotations

from math import hypot
from statistics import NormalDist

from tackside.messages.message import Message
from tackside.records import Stock, Trial
from tackside.records.reading import Reading
from tackside.records.verdict import Cause, Grade, Measure
from tackside.verdict.causes.symptoms import PRIORS, SOUND, SYMPTOMS, Symptom
from tackside.verdict.measures.measure import number, spread

# A card that has held ink well is coated on one face at least. What is left is a pack of another card under its name
# (this project's own estimate).
ANOTHER_PACK = 0.05


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
    *,
    trial: Trial | None = None,
    stock: Stock | None = None,
    other_side: float | None = None,
    has_held_ink: bool = False,
) -> dict[Cause, float]:
    """Weights of the causes before the print is looked at: how common, what is known, and the other side's black.

    ``has_held_ink``: a good print of the same card lies beside this one.
    """
    weights = {cause: prior * _odds(cause, trial, stock) for cause, prior in PRIORS.items()}
    if has_held_ink:
        weights["stock"] *= ANOTHER_PACK
    if other_side is not None:
        _weigh_sides(weights, other_side)
    return weights


def likeliest(causes: dict[Cause, float]) -> Cause:
    """The cause to name. Bare card and the bare side of a card look alike, so their chances stand together against
    any other."""
    first = max(causes, key=lambda cause: causes[cause])
    bare: Cause = "stock" if causes.get("stock", 0.0) >= causes.get("side", 0.0) else "side"
    return bare if causes.get("stock", 0.0) + causes.get("side", 0.0) > causes[first] else first


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
            if surely > 1.0:
                # Whoever found one face by a test has shown that this card has a coated one: where its print looks
                # bare, the sheet went in the wrong way up, or the faces were mixed up, before the test was wrong.
                return {"side": 0.2, "stock": 0.05}.get(cause, 1.0)
            return {"side": 0.2, "stock": 0.5}.get(cause, 1.0)
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


# What not knowing whether two scans are of one scanner adds to each, ΔE00, one standard uncertainty: this project's own
# estimate. Of two unlike scanners each strays by 3; most people have one, so less than that, on the whole.
UNTOLD_DE00 = 2.0


def widened(reading: Reading) -> Reading:
    """The reading as it stands beside another of which can't be told whether it was read alike."""
    trust = reading.uncertainty
    return reading.model_copy(
        update={"uncertainty": trust.model_copy(update={"de00": hypot(trust.de00, UNTOLD_DE00)})}
    )


def differences(one: Reading, other: Reading) -> tuple[Message, ...] | None:
    """What parts two readings that are not ``comparable``, as far as it is known; None where that can't be told."""
    keys = [each.uncertainty.comparable_with.split(" | ", 2) for each in (one, other)]
    if any(len(key) < 3 or key[0] != "scan" or key[1].startswith("scanner ") for key in keys):
        return ()
    found = []
    labels = [key[1].removeprefix("device ") if key[1].startswith("device ") else None for key in keys]
    if None not in labels and labels[0] != labels[1]:
        found.append(Message("verdict.differs.device", here=labels[0], there=labels[1]))
    here, there = one.file_says, other.file_says
    if here is not None and there is not None:
        for name in ("make", "model", "software", "ppi", "bits", "profile"):
            mine, theirs = getattr(here, name), getattr(there, name)
            if mine != theirs and (name == "profile" or None not in (mine, theirs)):
                missing = Message("verdict.differs.no-profile")
                found.append(
                    Message(f"verdict.differs.{name}", here=mine or missing, there=theirs or missing)
                )
        if here.profile == there.profile and here.profile_sha256 != there.profile_sha256:
            found.append(Message("verdict.differs.profile-bytes", profile=here.profile))
        theirs = dict(there.settings)
        found += [
            Message("verdict.differs.setting", setting=name, here=value, there=theirs[name])
            for name, value in here.settings
            if name in theirs and theirs[name] != value
        ]
    elif keys[0][2] != keys[1][2]:
        found.append(Message("verdict.differs.settings", here=keys[0][2], there=keys[1][2]))
    return tuple(found) or None


# From this chance on the print is taken at its word (this project's own).
_PLAIN = 0.6
_MANAGED = 0.85


def contradictions(trial: Trial | None, causes: dict[Cause, float]) -> list[Message]:
    """What to ask about, if anything; ``causes``: chances as the print alone has them, whatever was noted."""
    if trial is None or trial.sheet.purpose != "path":
        return []
    noted = trial.settings.colour_managed_by
    found = []
    if noted in ("application", "driver"):
        for cause in ("unmanaged", "managed-twice"):
            # Managed twice leaves both notes true where each names one of the two.
            if causes[cause] >= _PLAIN:
                named = Message(f"verdict.managed-by.{noted}")
                found.append(Message(f"verdict.contradicts.{cause}", noted=named, chance=causes[cause]))
    if noted == "nobody" and causes["none"] >= _MANAGED:
        found.append(Message("verdict.contradicts.managed", chance=causes["none"]))
    misread = causes["wide-read-as-narrow"] + causes["narrow-read-as-wide"]
    space = trial.settings.source_space
    if space is not None and space == trial.sheet.space and misread >= _PLAIN:
        found.append(
            Message("verdict.contradicts.space", noted=Message(f"verdict.space.{space}"), chance=misread)
        )
    return found
