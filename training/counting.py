"""What verdicts on prints of known truth are counted by: shares right, calibration, confusion."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import get_args

import numpy as np

from tackside.records import Cause, Verdict

BINS = 10


@dataclass(frozen=True)
class Judged:
    """One print of the study beside its verdict; ``seconds``: how long the verdict took."""

    truth: tuple[Cause, ...]
    moved: bool
    beside: str
    cause: Cause
    probability: float
    seconds: float

    @property
    def is_right(self) -> bool:
        return self.cause in self.truth


def chance_of(verdict: Verdict) -> float:
    """The stated chance that the likeliest cause is at work, alone or in a pair, whose chance is shared by halves."""
    shared = sum(pair.probability for pair in verdict.combined if verdict.cause in pair.causes)
    return min(verdict.causes[verdict.cause] + 0.5 * shared, 1.0)


def share_right(judged: Iterable[Judged]) -> tuple[float, int]:
    """Share right among the faulty prints that the fault moved, and how many there are."""
    faulty = [one for one in judged if one.moved and one.truth != ("none",)]
    return float(np.mean([one.is_right for one in faulty])), len(faulty)


def share_accused(judged: Iterable[Judged]) -> tuple[float, int]:
    """Share called faulty among the prints that nothing is wrong with, and how many there are."""
    sound = [one for one in judged if one.truth == ("none",)]
    return float(np.mean([not one.is_right for one in sound])), len(sound)


def calibration_error(judged: Sequence[Judged]) -> float:
    """Expected calibration error of the likeliest cause: mean gap of stated and true chance over ten equal bins."""
    stated = np.array([one.probability for one in judged])
    right = np.array([one.is_right for one in judged], dtype=float)
    place = np.minimum((stated * BINS).astype(int), BINS - 1)
    return float(
        sum(abs(stated[place == b].sum() - right[place == b].sum()) for b in range(BINS)) / len(judged)
    )


def rows(name: str, judged: Sequence[Judged]) -> str:
    """One Markdown row of the study's table."""
    right, faulty = share_right(judged)
    accused, sound = share_accused(judged)
    slow = 1000 * float(np.percentile([one.seconds for one in judged], 95))
    return (
        f"| {name} | {len(judged)} | {100 * right:.1f} % of {faulty} | {100 * accused:.1f} % of {sound} | "
        f"{calibration_error(judged):.3f} | {slow:.0f} ms |"
    )


HEAD = (
    "| what | prints | right, of those moved | sound ones called faulty | calibration error | verdict, p95 |\n"
    "| --- | --- | --- | --- | --- | --- |"
)


def confusion(judged: Sequence[Judged]) -> str:
    """Truth by row, verdict by column, moved prints and sound ones; pairs by their first."""
    names = list(get_args(Cause))
    cells = Counter(
        (one.cause if one.is_right else one.truth[0], one.cause)
        for one in judged
        if one.moved or one.truth == ("none",)
    )
    short = {name: str(i + 1) for i, name in enumerate(names)}
    lines = [f"| truth | {' | '.join(short[name] for name in names)} |", "| --- " * (len(names) + 1) + "|"]
    for row in names:
        found = " | ".join(str(cells[row, column] or "·") for column in names)
        lines.append(f"| {short[row]} {row} | {found} |")
    return "\n".join(lines)
