"""The causes of one reading: its colours, lines and lengths brought together into probabilities, single and in pairs.

A *state* is a fault of the path (or none) on coated or on bare card, with heads aligned or not, at true size or
not. Bare card is the fault ``stock`` or ``side`` by what is known of the card. Faults come together seldom, and then
independently: a state with two of them has the product of their odds, times ``TOGETHER``; three are left out. Of two
that come together, that which no setting can cure leads, and a fault of colours before one of lines or lengths.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import product

import numpy as np

from tackside.records import Stock, Trial
from tackside.records.reading import Reading
from tackside.records.sheet_plan import Space
from tackside.records.verdict import Cause
from tackside.verdict.causes.symptoms import PATHS, PRIORS
from tackside.verdict.causes.traits import NOTHING_READ, Traits, weigh_traits
from tackside.verdict.classifier.features import Circumstances, Known, numbers_in, sampled_lab
from tackside.verdict.classifier.likelihoods import likelihoods_of_colours
from tackside.verdict.measures.patch_table import Floats, PatchTable

# What the teacher calls the uncertainty of a scanner that nobody characterised.
AS_IT_COMES_DE00 = 3.0


@dataclass(frozen=True)
class Standard:
    """What the print is held against: a good print's table, or what a profile predicts, and how it is ``known``.

    ``space``: of the numbers of its sheet, None for bare device numbers. ``misused``: what the profile says of faults
    of the path.
    """

    table: PatchTable
    known: Known
    space: Space | None
    reading: Reading | None = None
    misused: Mapping[Cause, Sequence[PatchTable]] | None = None


@dataclass(frozen=True, eq=False)
class Diagnosis:
    """The posterior and what it was weighed from: colours (36, 3) at SAMPLED_AT of the print and of the standard."""

    posterior: Posterior
    circumstances: Circumstances
    lab: Floats
    beside: Floats | None


def diagnose(
    reading: Reading,
    table: PatchTable | None,
    odds: dict[Cause, float],
    *,
    trial: Trial,
    stock: Stock | None = None,
    standard: Standard | None = None,
) -> Diagnosis | None:
    """What the reading says of the causes; None where it lacks RGB numbers, paper, black or one of the six solids.

    ``standard``: a good print read alike (same scanner and settings, or instruments both) or a profile's prediction.
    """
    lab = None if table is None else sampled_lab(table)
    if lab is None:
        return None
    beside = None if standard is None else _same_colours(standard, trial)
    of = circumstances(
        reading, trial, stock, "typical" if beside is None or standard is None else standard.known
    )
    foretold: dict[Cause, list[Floats]] = {}
    if standard is not None and beside is not None and standard.misused:
        for cause, ways in standard.misused.items():
            foretold[cause] = [shown for way in ways if (shown := sampled_lab(way)) is not None]
    said = likelihoods_of_colours(lab, beside, of, {cause: ways for cause, ways in foretold.items() if ways})
    traits = weigh_traits(reading, standard.reading if standard is not None else None)
    return Diagnosis(weigh_states(odds, said.coated, said.bare, said.unknown, traits), of, lab, beside)


def _same_colours(standard: Standard, trial: Trial) -> Floats | None:
    """The standard's colours (36, 3) where its sheet asks for what SAMPLED_AT asks for on the trial's. None where
    nothing says which those are: of the two sheets one holds colours of a space, and the other bare device numbers."""
    own = space_of(trial)
    if is_another_kind(standard, trial):
        return None
    if own is None or standard.space is None or own == standard.space:
        return sampled_lab(standard.table)
    return sampled_lab(standard.table, numbers_in(standard.space, own))


def is_another_kind(standard: Standard, trial: Trial) -> bool:
    """Whether of the two sheets one holds a space's colours and the other bare device numbers."""
    return (standard.space is None) != (space_of(trial) is None)


def space_of(trial: Trial) -> Space | None:
    """The space of the sheet's numbers; None for bare device numbers."""
    return (trial.sheet.space or "srgb") if trial.sheet.purpose == "path" else None


def circumstances(reading: Reading, trial: Trial, stock: Stock | None, known: Known) -> Circumstances:
    """What is known of the print besides its colours."""
    path = trial.sheet.purpose == "path"
    noted = trial.settings if path else None
    return Circumstances(
        known=known,
        space=space_of(trial),
        base=stock.base if stock else None,
        intent=noted.intent if noted else None,
        # It changes a relative rendering alone: perceptual tables lead black to black by themselves.
        compensated=noted.black_point_compensation if noted and noted.intent == "relative" else None,
        colorimetric=reading.uncertainty.comparable_with == "colorimetric",
        # The weights were taught on scanners as they come by one figure; more is left to the trust in a reading.
        de00=min(reading.uncertainty.de00, AS_IT_COMES_DE00),
        cut=any(flaw.weakens_only for flaw in reading.flaws),
    )


# How much of what the odds alone say of two faults at once.
TOGETHER = 0.5
# How often a fault that nobody knows shows in doubled lines, or in lengths (this project's own).
_ALSO_STRANGE = 0.05
CARD_FAULTS: tuple[Cause, ...] = ("stock", "side")
Faults = tuple[Cause, ...]


@dataclass(frozen=True)
class Posterior:
    """``causes`` sum to 1, each pair counted for the fault that leads; ``pairs`` are the two-fault states' own, and
    ``states`` all of them, which sum to 1 too."""

    causes: dict[Cause, float]
    pairs: dict[tuple[Cause, Cause], float]
    states: dict[Faults, float]


@dataclass(frozen=True)
class WeighedStates:
    """Chances of one print's states ``before`` and ``after`` its reading was weighed; each sum to 1.

    ``trust``: the power at which the reading's likelihoods count; ``fit``: the chance that it says anything at all.
    """

    before: Mapping[Faults, float]
    after: Mapping[Faults, float]
    trust: float = 1.0
    fit: float = 1.0


def weigh_states(
    odds: dict[Cause, float],
    coated: dict[Cause, float],
    bare: dict[Cause, float],
    unknown: float,
    traits: Traits,
) -> Posterior:
    """Probabilities, from log likelihoods of the patches by fault of the path, on coated and on bare card.

    ``odds``: each cause's prior weight, what is known of stock, settings and the other side included. ``unknown``:
    log likelihood of the patches under a fault that no model knows. Without patches all are 0.
    """
    base = {cause: weight / odds["none"] for cause, weight in odds.items()}
    logs: dict[Faults, float] = {}

    def add(faults: Faults, log_weight: float) -> None:
        logs[faults] = float(np.logaddexp(logs.get(faults, -np.inf), log_weight))

    for (path, seen), card, doubled, scaled in product(
        _paths(coated, bare), ("none", *CARD_FAULTS), (False, True), (False, True)
    ):
        on_bare = card != "none"
        faults: Faults = tuple(
            fault
            for fault in (card, path, "alignment" if doubled else "none", "scaling" if scaled else "none")
            if fault != "none"
        )
        if len(faults) > 2 or any(base[fault] <= 0 for fault in faults):
            continue
        prior = sum(np.log(base[fault]) for fault in faults) + (np.log(TOGETHER) if len(faults) == 2 else 0.0)
        state = "bare" if on_bare else "flooded" if path == "too-much-ink" else "coated"
        add(
            faults or ("none",),
            prior + seen[on_bare] + traits.card[state] + traits.doubled[doubled] + traits.scaled[scaled],
        )
    # A fault that nobody knows may lie in the card; with doubled lines or lengths it comes as seldom as any other does.
    strange = float(np.logaddexp.reduce(list(traits.card.values())) - np.log(len(traits.card)))
    for table in (traits.doubled, traits.scaled):
        strange += float(
            np.logaddexp(table[False] + np.log(1 - _ALSO_STRANGE), table[True] + np.log(_ALSO_STRANGE))
        )
    add(("unknown",), np.log(base["unknown"]) + unknown + strange)
    return _shared_out(logs)


def _paths(coated: dict[Cause, float], bare: dict[Cause, float]) -> list[tuple[Cause, dict[bool, float]]]:
    return [(path, {False: coated[path], True: bare[path]}) for path in coated]


def _shared_out(logs: dict[Faults, float]) -> Posterior:
    top = max(logs.values())
    weights = {faults: float(np.exp(value - top)) for faults, value in logs.items()}
    total = sum(weights.values())
    return of_states({faults: weight / total for faults, weight in weights.items()})


def of_states(states: dict[Faults, float]) -> Posterior:
    """The causes and pairs of chances that sum to 1."""
    causes: dict[Cause, float] = dict.fromkeys(PRIORS, 0.0)
    pairs: dict[tuple[Cause, Cause], float] = {}
    for faults, chance in states.items():
        causes[faults[0]] += chance  # the states name the fault that leads first
        if len(faults) == 2:
            pairs[faults[0], faults[1]] = chance
    return Posterior(causes, pairs, states)


def before_reading(odds: dict[Cause, float]) -> Posterior:
    """The chances that ``odds`` alone give each state: what ``weigh_states`` says where nothing was read."""
    nothing: dict[Cause, float] = dict.fromkeys(PATHS, 0.0)
    return weigh_states(odds, nothing, nothing, 0.0, NOTHING_READ)


def of_causes(causes: dict[Cause, float], odds: dict[Cause, float]) -> Posterior:
    """Chances by cause alone, as ``weigh_causes`` gives them, as a posterior: no pairs are told apart there, so that a
    state of two faults takes the part that it had beforehand in the chance of the fault that leads."""
    before = before_reading(odds)
    states = {
        faults: chance * causes[faults[0]] / before.causes[faults[0]]
        for faults, chance in before.states.items()
        if before.causes[faults[0]] > 0
    }
    return Posterior(causes, {}, states)


def flattened(causes: dict[Cause, float], prior: dict[Cause, float], share: float) -> dict[Cause, float]:
    """The probabilities drawn back towards the prior: all of them at ``share`` 0, none at 1."""
    total = sum(prior.values())
    logs = {
        cause: share * np.log(max(causes[cause], 1e-12))
        + (1 - share) * np.log(max(prior[cause] / total, 1e-12))
        for cause in causes
    }
    top = max(logs.values())
    weights = {cause: float(np.exp(value - top)) for cause, value in logs.items()}
    return {cause: weight / sum(weights.values()) for cause, weight in weights.items()}
