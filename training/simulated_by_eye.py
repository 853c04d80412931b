"""Answers to teach on: invented works, a way to print, a fault, an invented person who looks, as rows of figures."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from tackside.colour.spaces import Floats
from tackside.reading.eye import Answers, read_answers
from tackside.records import Reading
from tackside.verdict.causes.diagnosis import AS_IT_COMES_DE00
from tackside.verdict.classifier.answer_features import answer_features
from tackside.verdict.classifier.features import PAPER_ROW, SAMPLED_AT, Circumstances
from tackside.verdict.classifier.likelihoods import State
from training.observer import RAMP, Observer, Sight, answers, chroma
from training.prints import plan_of
from training.teacher.device import Card
from training.teacher.prints import Drawn, Renderings, circumstances, damage_to, drawn, shown
from training.teacher.ways import Damage, laid
from training.teacher.works import Works, another_pack

# How often somebody has no good print at hand.
NONE_BESIDE = 0.15
# How often the hues are told in one word, as older answers have them.
ONE_WORD = 0.15
SIZE_MM = (210.0, 297.0)
_BESIDE = tuple(name for name in Answers.model_fields if name.endswith("_beside_good"))
# The rows of SAMPLED_AT whose means are the colours of SOFT: half way to grey where the form shows greyer ones.
_GREY = (0.5, 0.5, 0.5)
_SOFT_ROWS = [
    [int(np.flatnonzero((number == SAMPLED_AT).all(axis=1))[0]) for number in pair]
    for pair in (
        ((0.17, 0.5, 0.5), (0.17, 0.5, 0.5)),
        ((0.83, 0.5, 0.5), (0.83, 0.5, 0.5)),
        ((0.5, 0.17, 0.5), _GREY),
        ((0.5, 0.5, 0.83), _GREY),
    )
]
_LEVELS = SAMPLED_AT[np.ptp(SAMPLED_AT, axis=1) == 0, 0][:12]


def answered(count: int, seed: int) -> tuple[Floats, Floats]:
    """Rows of figures (count, d) and their states, as places in STATES (count,)."""
    return shown(_row, count, seed)


@dataclass(frozen=True, eq=False)
class Form:
    """One form of the teacher's: the print, what is wrong with it, the answers as a reading, what was noted."""

    one: Drawn
    damage: Damage
    reading: Reading
    noted: Circumstances


def _row(at: Works, renderings: Renderings, state: State, rng: np.random.Generator) -> Floats:
    form = filled_in(at, renderings, state, rng)
    return answer_features(form.reading, form.noted)


def filled_in(at: Works, renderings: Renderings, state: State, rng: np.random.Generator) -> Form:
    """A print of this state, looked at by somebody."""
    one, damage = drawn(at, renderings, state, rng), damage_to(at, state, rng)
    # The good print at hand is one of the same card, or of another that is known.
    way, good = one.beside or (one.way, another_pack(at.coated[0][0], 0.2, rng))
    here, there = laid(one.way, damage, one.card), laid(way, Damage("none"), good)
    # Faults that show elsewhere than in colours: creep, and the row of nozzles that prints nothing.
    printer = replace(at.device.printer, ink=max(damage.ink, 1.0), missing=damage.gone)
    filled = answers(
        _sight(here),
        _sight(there),
        one.card.stock,
        printer,
        _back(at, one.card, rng).stock,
        SIZE_MM,
        rng,
        Observer.anybody(rng),
        None if one.way.kind == "device" else one.way.space,
    )
    reading = read_answers(_some(filled, rng), plan_of(one.way.space), trial="TRAIN000")
    de00 = min(reading.uncertainty.de00, AS_IT_COMES_DE00)
    return Form(one, damage, reading, circumstances(one, rng, known="typical", colorimetric=False, de00=de00))


def _back(at: Works, card: Card, rng: np.random.Generator) -> Card:
    """The card's other side."""
    return at.coated[0][0] if not card.stock.takes_ink else at.bare[rng.integers(2)]


def _sight(lab: Floats) -> Sight:
    """What SAMPLED_AT says of the colours that the form asks about."""
    greys = np.column_stack([np.interp(RAMP, _LEVELS, lab[: len(_LEVELS), axis]) for axis in range(3)])
    # Solid, middle and light tint of cyan, magenta, yellow, red, green, blue follow the greys.
    hues = lab[len(_LEVELS) : len(_LEVELS) + 18].reshape(6, 3, 3)
    greens = hues[[0, 4], 1:].reshape(-1, 3)
    return Sight(
        greys, hues[:, 0], greens, lab[_SOFT_ROWS].mean(axis=1), lab[PAPER_ROW], chroma(lab[len(_LEVELS) :])
    )


def _some(filled: Answers, rng: np.random.Generator) -> Answers:
    """What one person cares to answer, all of it or hardly anything; and not all have a good print at hand."""
    alone, shy = rng.random() < NONE_BESIDE, rng.random() ** 2
    left = {name: None for name in Answers.model_fields if rng.random() < shy or (alone and name in _BESIDE)}
    if "hues_off" not in left and rng.random() < ONE_WORD:
        left |= {"hues_off": None, "hues": "wrong" if filled.hues_off else "right"}
    some = filled.model_copy(update=left)
    return some if some.model_dump(exclude_none=True) else filled
