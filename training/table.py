"""Prints drawn and judged; ``counting`` says what their verdicts are worth."""

from __future__ import annotations

from time import perf_counter
from typing import Literal

import numpy as np

from tackside.colour.spaces import Floats, xyz_to_lab
from tackside.press.printer.driver import rgb_to_xyz
from tackside.reading.eye import read_answers
from tackside.records import Reading, Verdict
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from training.counting import (
    HEAD,
    Judged,
    calibration_error,
    chance_of,
    confusion,
    rows,
    share_accused,
    share_right,
)
from training.images import draw_image
from training.observer import Sight, answers
from training.prints import VirtualPrint, asked_numbers, draw_print
from training.stocks import Family, varied

__all__ = [
    "HEAD",
    "Judged",
    "Way",
    "calibration_error",
    "confusion",
    "rows",
    "run",
    "share_accused",
    "share_right",
]

# How a print is read: patches and lines in figures, a scan pixel by pixel, or an observer's answers alone.
Way = Literal["figures", "image", "eye"]


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
        chance_of(verdict),
        taken,
    )


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
        space=one.trial.sheet.space,
    )
    return read_answers(filled, one.trial.sheet, trial=one.trial.id)
