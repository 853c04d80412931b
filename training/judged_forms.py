"""The verdict by eye on the teacher's own forms, of seeds that nothing is taught on: what its rules are chosen by.

    .venv/bin/python -m training.judged_forms --forms 6000 --seed 990001    # a minute or two

Of a form that holds too little for a grade no verdict is given. People of the teacher leave out more than most do, and
its good cards lie beside better ones, so that more is lost here than on other prints: only differences count.
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.hull import hull_volume_and_slopes
from tackside.errors import BadRequest
from tackside.records import Settings, Stock
from tackside.records.sheet_plan import SheetPlan
from tackside.records.verdict import Cause, Grade
from tackside.verdict.causes.diagnosis import CARD_FAULTS
from tackside.verdict.classifier.features import SAMPLED_AT, Circumstances
from tackside.verdict.classifier.likelihoods import STATES
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from training.counting import (
    Judged,
    calibration_error,
    chance_of,
    confusion,
    share_accused,
    share_right,
)
from training.groups import MOVED_DE00
from training.observer import FULL
from training.prints import plan_of, trial_of
from training.simulated_by_eye import SIZE_MM, filled_in, seen_at
from training.teacher.prints import states_drawn
from training.teacher.ways import Damage, laid

# What a card holds that deserves ``send``: L* of its black, at most, and thousands that its corners span, at least.
GOOD_BLACK, GOOD_SPAN = 19.0, 260.0
_CORNERS = np.concatenate([[[0.0] * 3, [1.0] * 3], FULL])


@dataclass(frozen=True, eq=False)
class Posed:
    """One form as it comes to the verdict, and what is so of its print: ``truth``, whether the fault ``moved`` it, and
    whether its card is ``good``."""

    known: KnownPrint
    truth: tuple[Cause, ...]
    moved: bool
    good: bool


@dataclass(frozen=True)
class Graded(Judged):
    """One form beside its verdict."""

    grade: Grade
    good: bool


def posed(count: int, seed: int) -> Iterator[Posed]:
    """So many forms."""
    for at, renderings, place, rng in states_drawn(count, seed):
        cause, on_bare = STATES[place]
        form = filled_in(at, renderings, STATES[place], rng)
        way, card = form.one.way, form.one.card
        stock = Stock(name="Trial card", base=form.noted.base or "unknown", open_size_mm=SIZE_MM)
        trial = trial_of("TRAIN000", _sheet(way.space, way.kind == "device"), "front")
        trial = trial.model_copy(update={"settings": _settings(form.noted)})
        numbers = seen_at(way.space)
        off = delta_e_2000(laid(way, form.damage, card, numbers), laid(way, Damage("none"), card, numbers))
        faults: tuple[Cause, ...] = (cause,) if cause != "none" else ()
        corners = way.device.lab(_CORNERS, card)
        yield Posed(
            KnownPrint(form.reading, trial, stock),
            ((*CARD_FAULTS, *faults) if on_bare else faults) or ("none",),
            bool(on_bare or (faults and float(np.mean(off[: len(SAMPLED_AT)])) >= MOVED_DE00)),
            not on_bare
            and bool(corners[0, 0] <= GOOD_BLACK)
            and hull_volume_and_slopes(corners)[0] >= 1000.0 * GOOD_SPAN,
        )


def graded(count: int, seed: int) -> list[Graded]:
    """So many forms judged, less those that hold too little."""
    found = []
    for one in posed(count, seed):
        try:
            verdict = judge(one.known)
        except BadRequest:
            continue
        found.append(
            Graded(
                one.truth,
                one.moved,
                _beside(one),
                verdict.cause,
                chance_of(verdict),
                0.0,
                verdict.grade,
                one.good,
            )
        )
    return found


def _beside(one: Posed) -> str:
    return "a good print" if "eye_black_beside" in one.known.reading.attributes else "none"


@lru_cache(maxsize=4)
def _sheet(space: str, is_device: bool) -> SheetPlan:
    plan = plan_of(space)
    return plan.model_copy(update={"purpose": "device", "space": None}) if is_device else plan


def _settings(noted: Circumstances) -> Settings:
    if noted.intent is None:
        return Settings()
    return Settings(
        colour_managed_by="application",
        intent=noted.intent,  # type: ignore[arg-type]
        black_point_compensation=noted.compensated,
    )


def row(some: Sequence[Graded]) -> str:
    """One Markdown row: as the examiner's, without the time."""
    low = [one.grade in ("draft", "reject") for one in some if one.good and one.truth == ("none",)]
    bare = [one.grade in ("draft", "reject") for one in some if one.truth == CARD_FAULTS]
    right, faulty = share_right(some)
    accused, sound = share_accused(some)
    error = calibration_error([one for one in some if one.moved or one.truth == ("none",)])
    return (
        f"| {len(some)} | {100 * right:.1f} % of {faulty} | {100 * accused:.1f} % of {sound} | "
        f"{100 * np.mean(low):.1f} % of {len(low)} | {100 - 100 * np.mean(bare):.1f} % of {len(bare)} | {error:.3f} |"
    )


HEAD = (
    "| forms | named right, of those moved | sound accused | sound on good card below send | bare above draft | ECE |\n"
    "| --- | --- | --- | --- | --- | --- |"
)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--forms", type=int, default=6000)
    parser.add_argument("--seed", type=int, default=990001)
    asked = parser.parse_args()
    some = graded(asked.forms, asked.seed)
    print(HEAD)
    print(row(some))
    print()
    print(confusion(some))


if __name__ == "__main__":
    main()
