"""Groups of prints of known truth: what they say together, how often that is right, and how sure it may be."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from tackside.colour.spaces import Floats
from tackside.records.verdict import Cause
from tackside.verdict.causes.diagnosis import WeighedStates, of_states
from tackside.verdict.causes.symptoms import PATHS, PRIORS
from tackside.verdict.together.shared import ALIKE, DIFFERS, Shared, weigh_together

__all__ = ["DIFFERS", "DRAWN", "EIGHT", "ODDS", "Group", "draw_fault", "scores", "share_of_bare", "table"]
EIGHT = 8
SIZES = (1, 2, 4, 8)
MOVED_DE00 = 3.0
# How often each fault is drawn as the common one, and what the odds are told of it.
DRAWN: dict[Cause, float] = {
    "none": 0.4,
    **{cause: 0.07 for cause in PATHS if cause != "none"},
    "unknown": 0.11,
}
ODDS: dict[Cause, float] = {
    cause: DRAWN.get(
        cause, DRAWN["none"] * PRIORS[cause] / PRIORS["none"] if cause in ("stock", "side") else 0.0
    )
    for cause in PRIORS
}
# Shares of bare cards differ from tester to tester: a beta distribution with the mean of these odds.
_BARE = 0.25
OF_PATHS = ("managed-twice", "unmanaged", "wide-read-as-narrow", "narrow-read-as-wide")


@dataclass(frozen=True, eq=False)
class Group:
    """A group of prints: its common fault, whether that moved them, what each print says, and which of them are on
    bare card."""

    fault: Cause
    moved: bool
    prints: tuple[WeighedStates, ...]
    bare: tuple[bool, ...]

    @property
    def counts(self) -> bool:
        """Whether there is something to name: a fault that moved the prints, or none at all."""
        return self.moved or self.fault == "none"


def draw_fault(rng: np.random.Generator) -> Cause:
    causes = list(DRAWN)
    return causes[rng.choice(len(causes), p=list(DRAWN.values()))]


def share_of_bare(rng: np.random.Generator) -> float:
    return float(rng.beta(0.5, 0.5 * (1.0 - _BARE) / _BARE))


def found_in(group: Group, count: int, alike: float = ALIKE) -> Shared:
    """What the first ``count`` prints of a group say together."""
    return weigh_together([(at, one) for at, one in enumerate(group.prints[:count])], alike=alike)


def calibration_error(chances: Floats, right: Floats) -> float:
    """Expected calibration error in ten bins."""
    at = np.minimum((chances * 10).astype(int), 9)
    return float(
        sum(
            abs(right[at == each].mean() - chances[at == each].mean()) * (at == each).mean()
            for each in set(at)
        )
    )


def table(groups: Sequence[Group]) -> str:
    """For each number of prints: how often the common fault is right, sound groups accused, calibration (groups that
    count), and the cards' own state."""
    rows = [
        "| prints | fault right, of those moved | sound groups called faulty | mean chance | calibration error"
        " | cards' state right |",
        "| --- | --- | --- | --- | --- | --- |",
    ]
    for count in SIZES:
        right, chances, cards = [], [], []
        for group in groups:
            shared = found_in(group, count)
            common = of_states(shared.faults).causes
            first = max(common, key=lambda cause: common[cause])
            right.append(first == group.fault)
            chances.append(common[first])
            for one, on_bare in zip(shared.prints, group.bare, strict=False):
                own = of_states(one.states).causes
                cards.append((own["stock"] + own["side"] > 0.5) == on_bare)
        told, chance = np.array(right, dtype=float), np.array(chances)
        moved = np.array([group.fault != "none" and group.moved for group in groups])
        sound = np.array([group.fault == "none" for group in groups])
        both = moved | sound
        rows.append(
            f"| {count} | {100 * told[moved].mean():.1f} % of {moved.sum()} | {100 * (1 - told[sound].mean()):.1f} % of"
            f" {sound.sum()} | {100 * chance[both].mean():.1f} % | {calibration_error(chance[both], told[both]):.3f}"
            f" | {100 * np.mean(cards):.1f} % |"
        )
    return "\n".join(rows)


def scores(groups: Sequence[Group], alikes: tuple[float, ...]) -> str:
    """The logarithmic score (nats, less is better) of the common fault, of groups that count, by correlation and number
    of prints; and how far the mean over 2, 4 and 8 lies above the best, with the standard error of that difference.

    Of correlations that cannot be told from the best (by one standard error: L. Breiman and others, 1984) the highest
    is the most careful one.
    """
    some = [group for group in groups if group.counts]
    costs = np.array([[[_cost(one, count, alike) for one in some] for count in SIZES] for alike in alikes])
    several = costs[:, 1:].mean(axis=1)
    above = several - several[several.mean(axis=1).argmin()]
    rows = [
        f"| ALIKE | {' | '.join(map(str, SIZES))} | above the best |",
        f"| {'--- | ' * (len(SIZES) + 2)}".rstrip(),
    ]
    for alike, cost, off in zip(alikes, costs, above, strict=True):
        error = float(off.std(ddof=1) / np.sqrt(len(some)))
        shown = " | ".join(f"{each:.3f}" for each in cost.mean(axis=1))
        rows.append(f"| {alike:g} | {shown} | {off.mean():.4f} ± {error:.4f} |")
    return "\n".join(rows)


def _cost(group: Group, count: int, alike: float) -> float:
    chance = of_states(found_in(group, count, alike).faults).causes[group.fault]
    return -float(np.log(max(chance, 1e-12)))
