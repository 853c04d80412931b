"""Prints judged and counted: shares right, confusion, calibration."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from time import perf_counter
from typing import Literal, get_args

import numpy as np

from tackside.colour.spaces import Floats, xyz_to_lab
from tackside.press.printer.driver import rgb_to_xyz
from tackside.reading.eye import read_answers
from tackside.records import Cause, Reading, Verdict
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from training.images import draw_image
from training.observer import Sight, answers
from training.prints import VirtualPrint, asked_numbers, draw_print
from training.stocks import Family, varied

BINS = 10
# How a print is read: patches and lines in figures, a scan pixel by pixel, or an observer's answers alone.
Way = Literal["figures", "image", "eye"]


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


def run(
    families: tuple[Family, ...],
    count: int,
    seed: int,
    *,
    way: Way = "figures",
    beside: str | None = None,
) -> list[Judged]:
    """``count`` prints drawn at random, read in this way, and judged."""
    rng = np.random.default_rng(seed)
    draw = draw_image if way == "image" else draw_print
    return [
        _judged(draw(families, rng, reference_kind=beside), rng, by_eye=way == "eye") for _ in range(count)
    ]


def _judged(one: VirtualPrint, rng: np.random.Generator, *, by_eye: bool) -> Judged:
    reading = _answered(one, rng) if by_eye else one.reading
    start = perf_counter()
    verdict = _verdict(one, reading, by_eye)
    taken = perf_counter() - start
    return Judged(
        one.truth,
        one.moved,
        one.reference_kind,
        verdict.cause,
        _chance(verdict),
        taken,
    )


def _chance(verdict: Verdict) -> float:
    """The stated chance that the likeliest cause is at work, alone or in a pair, whose chance is shared by halves."""
    shared = sum(pair.probability for pair in verdict.combined if verdict.cause in pair.causes)
    return min(verdict.causes[verdict.cause] + 0.5 * shared, 1.0)


def _verdict(one: VirtualPrint, reading: Reading, by_eye: bool) -> Verdict:
    if by_eye:
        return judge(KnownPrint(reading, one.trial, one.stock))
    return judge(
        KnownPrint(
            reading,
            one.trial,
            one.stock,
            reference=None if one.reference is None else KnownPrint(one.reference, one.reference_trial),
            other_side=None if one.other_side is None else KnownPrint(one.other_side),
        )
    )


def _answered(one: VirtualPrint, rng: np.random.Generator) -> Reading:
    asked, good = asked_numbers(one.trial.sheet.space or "srgb"), varied(one.coated, rng, 0.2)

    def here(numbers: Floats) -> Floats:
        return xyz_to_lab(
            rgb_to_xyz(numbers[:, [2, 1, 0]] if one.swapped else numbers, one.paper, one.printer)
        )

    def there(numbers: Floats) -> Floats:
        return xyz_to_lab(rgb_to_xyz(numbers, good, one.sound))

    filled = answers(
        Sight.of(here, asked),
        Sight.of(there, asked),
        one.paper,
        one.printer,
        one.back,
        one.trial.sheet.size_mm,
        rng,
    )
    return read_answers(filled, one.trial.sheet, trial=one.trial.id)


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
