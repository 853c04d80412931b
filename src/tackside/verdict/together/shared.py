"""What several prints, made in one way, say together of the fault behind them and each of its own card.

The fault of the path (or none) is common to all; whether a card is bare is its own. With P the chance before a reading
and L(i) the likelihood of print i, chances after over chances before, normalised:

    P(fault | all)  is proportional to  P(fault) · Π over faces [ Σ over card P(card | fault) · Π over prints M(i) ]^t
    M(i)            =  (1 - DIFFERS) · L(i; fault, card)  +  DIFFERS · Σ over faults P(fault | card) · L(i; fault, card)

so a print may always have been made otherwise than the rest. Prints of one face of one card share its state. Readings
of one scanner, prints of one press share what the likelihoods got wrong of them, so that many weigh less than as many
that are independent: t = 1 / (1 + (n - 1) · ALIKE), with ALIKE the correlation within a group (L. Kish, "Survey
Sampling", 1965, the design effect: docs/sources.md, S113) and n the number of prints as their information counts,
(Σ w)² / Σ w² (Kish's effective size), so that one which says nothing takes nothing away from another. Each print's own
states come from the same sum; for one print alone they are those of its own verdict.
"""

from __future__ import annotations

from collections.abc import Hashable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from tackside.records.verdict import Cause
from tackside.verdict.causes.diagnosis import CARD_FAULTS, Faults, WeighedStates
from tackside.verdict.measures.patch_table import Floats

# How often a print was made otherwise than its settings say, or has a fault of its own (this project's own estimate).
DIFFERS = 0.05
# How far likelihoods of one group stray together: the highest that cannot be told from the best on the teacher's groups
# (0.6), since prints by what nobody taught stray together more, if anything (``training/together.py``).
ALIKE = 0.8
# No print rules out a state further than this.
_LEAST = 1e-12
NO_FAULT: Faults = ("none",)
_CARDS: tuple[Cause | None, ...] = (None, *CARD_FAULTS)


@dataclass(frozen=True, eq=False)
class InGroup:
    """One print of a group: chances of its ``states`` given all prints, which sum to 1; the chance that it ``differs``,
    having another fault of the path than the rest; and log10 of how much likelier its own reading is with the group's
    likeliest fault than with the others together (``weight``)."""

    states: dict[Faults, float]
    differs: float
    weight: float


@dataclass(frozen=True, eq=False)
class Shared:
    """``faults``: chances of each fault of the path, or two of them, as the common one, sum 1; ``NO_FAULT`` is one of
    them. ``speaking``: as how many independent prints these count."""

    faults: dict[Faults, float]
    prints: tuple[InGroup, ...]
    speaking: float


def weigh_together(
    prints: Sequence[tuple[Hashable, WeighedStates]], *, alike: float = ALIKE, differs: float = DIFFERS
) -> Shared:
    """The common fault of prints, each given with a name for the face of card it is on; at least one print."""
    paths = list(dict.fromkeys(_parted(state)[0] for _, one in prints for state in one.before))
    # The order of prints changes nothing, not even how sums round.
    paths.sort()
    befores = [_table(paths, one.before) for _, one in prints]
    likes = [_likelihoods(paths, one) for _, one in prints]
    path_given_card = [_share(before, before.sum(axis=0)) for before in befores]
    otherwise = [(given * like).sum(axis=0) for given, like in zip(path_given_card, likes, strict=True)]
    mixed = [(1.0 - differs) * like + differs * own for like, own in zip(likes, otherwise, strict=True)]
    informed = [_information(before, like) for before, like in zip(befores, likes, strict=True)]

    faces: dict[Hashable, list[int]] = {}
    for at, (face, _) in enumerate(prints):
        faces.setdefault(face, []).append(at)
    cards, said, weights = {}, {}, {}
    for face, members in faces.items():
        power, _ = _tempered([informed[at] for at in members], alike)
        given = np.mean([_share(befores[at], befores[at].sum(axis=1)[:, None]) for at in members], axis=0)
        joint = given * np.exp(power * sum(np.log(mixed[at]) for at in members))
        said[face] = joint.sum(axis=1)
        cards[face] = _share(joint, said[face][:, None])
        weights[face] = power * sum(informed[at] for at in members)
    power, speaking = _tempered(list(weights.values()), alike)
    with np.errstate(divide="ignore"):
        before = np.mean([np.log(table.sum(axis=1)) for table in befores], axis=0)
        logs = before + power * sum(np.log(one) for one in said.values())
    chances, before = _normalised(logs), _normalised(before)

    top = int(chances.argmax())
    apart = _apart(paths)
    found = []
    for at, (face, _) in enumerate(prints):
        joint = chances[:, None] * cards[face]
        mine = joint * (1.0 - differs) * likes[at] / mixed[at]
        own_share = (
            joint * differs / mixed[at]
        )  # (faults, cards): chances that the print has a fault of its own …
        own = path_given_card[at] * likes[at]  # … and which
        states = mine + own_share.sum(axis=0) * own
        off = float(np.einsum("qk,pk,qp->", own_share, own, apart))
        seen = (_share(befores[at], befores[at].sum(axis=1)[:, None]) * mixed[at]).sum(axis=1)
        found.append(InGroup(_named(paths, states), off, _weight(seen, before, top)))
    return Shared({path: float(chances[at]) for at, path in enumerate(paths)}, tuple(found), speaking)


def _parted(state: Faults) -> tuple[Faults, int]:
    """A state's faults of the path, and the place in _CARDS of the card's own."""
    if state[0] in CARD_FAULTS:
        return state[1:] or NO_FAULT, _CARDS.index(state[0])
    return state, 0


def _named(paths: list[Faults], table: Floats) -> dict[Faults, float]:
    states: dict[Faults, float] = {}
    for at, path in enumerate(paths):
        for place, card in enumerate(_CARDS):
            if table[at, place] > 0.0:
                state = path if card is None else (card,) if path == NO_FAULT else (card, *path)
                states[state] = float(table[at, place])
    return states


def _table(paths: list[Faults], chances: Mapping[Faults, float]) -> Floats:
    table = np.zeros((len(paths), len(_CARDS)))
    for state, chance in chances.items():
        path, place = _parted(state)
        table[paths.index(path), place] = chance
    return np.asarray(table / table.sum())


def _likelihoods(paths: list[Faults], one: WeighedStates) -> Floats:
    """(faults, cards), 1 on the average of the chances before; as far as the reading is trusted and fit."""
    before, after = _table(paths, one.before), _table(paths, one.after)
    possible = before > 0.0
    ratio = np.maximum(_share(after, before), _LEAST)
    like = np.where(possible, ratio**one.trust, 0.0)
    like /= (before * like).sum()
    return np.where(possible, one.fit * like + 1.0 - one.fit, 1.0)


def _information(before: Floats, like: Floats) -> float:
    """What a reading tells of the fault of the path, in nats: the divergence of its chances from those before."""
    here, there = (before * like).sum(axis=1), before.sum(axis=1)
    some = here > 0.0
    return float((here[some] * np.log(here[some] / there[some])).sum())


def _tempered(weights: Sequence[float], alike: float) -> tuple[float, float]:
    """The power at which so many readings count, and as how many of equal weight they do."""
    total, squares = sum(weights), sum(weight**2 for weight in weights)
    count = total**2 / squares if squares > 0.0 else 1.0
    power = 1.0 / (1.0 + (count - 1.0) * alike)
    return power, count * power


def _apart(paths: list[Faults]) -> Floats:
    """1 where a print with the second fault does not fit a group with the first: neither the same nor a part of it."""
    return np.array([[float(not set(own) <= set(common)) for own in paths] for common in paths])


def _weight(seen: Floats, before: Floats, top: int) -> float:
    others = np.delete(before, top)
    return float(np.log10(seen[top] / (np.delete(seen, top) @ others / others.sum())))


def _normalised(logs: Floats) -> Floats:
    weights = np.exp(logs - logs.max())
    return np.asarray(weights / weights.sum())


def _share(part: Floats, whole: Floats) -> Floats:
    """``part`` over ``whole``, 0 where there is nothing."""
    return np.divide(
        part, whole, out=np.zeros(np.broadcast_shapes(part.shape, whole.shape)), where=whole > 0.0
    )
