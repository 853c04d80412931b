"""Answers to train on: invented works, a fault drawn, a print looked at by an invented person, as rows of figures."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from tackside.colour.spaces import Floats, xyz_to_lab
from tackside.press.printer.driver import rgb_to_xyz
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel
from tackside.reading.eye import Answers, read_answers
from tackside.records.sheet_plan import Space
from tackside.records.verdict import Cause
from tackside.verdict.classifier.answer_features import answer_features
from tackside.verdict.classifier.features import SAMPLED_AT
from tackside.verdict.classifier.trained import State
from training.invented import Works
from training.observer import RAMP, Observer, Sight, answers, chroma
from training.prints import plan_of
from training.simulated import laid, own_tints, own_way, shown
from training.stocks import varied

# How often somebody has no good print at hand.
NONE_BESIDE = 0.15
# How often the hues are told in one word, as older answers have them.
ONE_WORD = 0.15
SIZE_MM = (210.0, 297.0)
_BESIDE = tuple(name for name in Answers.model_fields if name.endswith("_beside_good"))
_OF_INKS: tuple[Cause, ...] = ("too-much-ink", "missing-ink")
_LEVELS = SAMPLED_AT[np.ptp(SAMPLED_AT, axis=1) == 0, 0][:12]


def answered(count: int, seed: int) -> tuple[Floats, Floats]:
    """Rows of figures (count, d) and their states, as places in STATES (count,)."""
    return shown(_row, count, seed)


def _row(at: Works, state: State, rng: np.random.Generator) -> Floats:
    cause, on_bare = state
    space: Space = "srgb" if rng.random() < 0.5 else "adobe-rgb"
    if "-read-as-" in cause:
        space = "adobe-rgb" if cause == "wide-read-as-narrow" else "srgb"
    if cause in _OF_INKS:
        at = replace(at, style=None)
    good, _ = at.coated[rng.integers(3)]
    sound = replace(at.printer, reads_as=space, media=good)
    printer = _with_inks(sound, cause, rng)
    coated = varied(good, rng, 1.0)
    paper = varied(at.bare[rng.integers(2)], rng, 1.0) if on_bare else coated
    amount = rng.uniform(0.0, 2.0)
    way = own_way(amount, rng)
    here = _lab(cause, at, printer, paper, rng)
    here = own_tints(here, way + own_way(0.5 if on_bare else 0.0, rng))
    there = own_tints(_lab("none", at, sound, varied(coated, rng, 0.2), rng), way + own_way(0.15, rng))
    filled = answers(
        _sight(here), _sight(there), paper, printer, coated, SIZE_MM, rng, Observer.anybody(rng)
    )  # fmt: skip
    return answer_features(read_answers(_some(filled, rng), plan_of(space), trial="TRAIN000"))


def _with_inks(sound: PrinterModel, cause: Cause, rng: np.random.Generator) -> PrinterModel:
    """Faults that show elsewhere than in colours: creep, and the row of nozzles that prints nothing."""
    if cause == "too-much-ink":
        return replace(sound, ink=float(rng.uniform(1.04, 1.65)))
    if cause == "missing-ink":
        return replace(sound, missing=("cmyk"[rng.integers(4)],))  # type: ignore[arg-type]
    return sound


def _lab(
    cause: Cause, at: Works, printer: PrinterModel, paper: StockModel, rng: np.random.Generator
) -> Floats:
    if cause in _OF_INKS:
        return xyz_to_lab(rgb_to_xyz(SAMPLED_AT, paper, printer))
    return laid(cause, at, printer, paper, rng)


def _sight(lab: Floats) -> Sight:
    """What SAMPLED_AT says of the colours that the form asks about."""
    greys = np.column_stack([np.interp(RAMP, _LEVELS, lab[: len(_LEVELS), axis]) for axis in range(3)])
    # Solid, middle and light tint of cyan, magenta, yellow, red, green, blue follow the greys.
    hues = lab[len(_LEVELS) : len(_LEVELS) + 18].reshape(6, 3, 3)
    greens = hues[[0, 4], 1:].reshape(-1, 3)
    return Sight(greys, hues[:, 0], greens, chroma(lab[len(_LEVELS) :]))


def _some(filled: Answers, rng: np.random.Generator) -> Answers:
    """What one person cares to answer, all of it or hardly anything; and not all have a good print at hand."""
    alone, shy = rng.random() < NONE_BESIDE, rng.random() ** 2
    left = {name: None for name in Answers.model_fields if rng.random() < shy or (alone and name in _BESIDE)}
    if "hues_off" not in left and rng.random() < ONE_WORD:
        left |= {"hues_off": None, "hues": "wrong" if filled.hues_off else "right"}
    some = filled.model_copy(update=left)
    return some if some.model_dump(exclude_none=True) else filled
