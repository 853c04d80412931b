"""From the likelihoods to probabilities over the causes, single and in pairs.

A *state* is a fault of the path (or none) on coated or on bare card, with heads aligned or not, at true size or
not. Bare card is the fault ``stock`` or ``side`` by what is known of the card. Faults come together seldom, and then
independently: a state with two of them has the product of their odds, times ``TOGETHER``; three are left out. Of two
that come together, that which no setting can cure leads, and a fault of colours before one of lines or lengths.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import product

import numpy as np

from tackside.records.verdict import Cause
from tackside.verdict.causes.symptoms import PATHS, PRIORS
from tackside.verdict.causes.traits import NOTHING_READ, Traits

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
