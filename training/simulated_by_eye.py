"""Answers to teach on: invented works, a way to print, a fault, an invented person who looks, as rows of figures."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from tackside.colour.spaces import Floats
from tackside.reading.eye import Answers, read_answers
from tackside.records import Reading, SheetPlan
from tackside.records.sheet_plan import Space
from tackside.verdict.causes.diagnosis import AS_IT_COMES_DE00
from tackside.verdict.classifier.answer_features import answer_features
from tackside.verdict.classifier.features import PAPER_ROW, SAMPLED_AT, Circumstances
from tackside.verdict.classifier.likelihoods import State
from training.observer import RAMP, Observer, Sight, answers, chroma
from training.prints import plan_of
from training.swatch_picker import AtScreen, Picker, Screen, grids_of
from training.teacher.device import Card
from training.teacher.prints import Drawn, Renderings, circumstances, damage_to, drawn, shown
from training.teacher.ways import Damage, laid
from training.teacher.works import Works, another_pack

# How often somebody has no good print at hand.
NONE_BESIDE = 0.3
# How often there is no screen at hand to pick swatches on, and how often a form was filled in before there were any,
# with words for how soft colours looked beside a screen.
NO_SCREEN, BEFORE_SWATCHES = 0.15, 0.15
# How often the hues are told in one word, as older answers have them.
ONE_WORD = 0.15
SIZE_MM = (210.0, 297.0)
# Sizes of sheets, whose cubes differ and so the patches that are held beside swatches, and how often each is in hand.
SHEETS_MM, _SHEET_SHARES = ((210, 297), (148, 210), (105, 148)), (0.5, 0.25, 0.25)
_BESIDE = tuple(name for name in Answers.model_fields if name.endswith("_beside_good"))
_MATCHES = tuple(name for name in Answers.model_fields if name.endswith("_match"))
_WORDS = tuple(name for name in Answers.model_fields if name.startswith("soft") and name.endswith("_screen"))
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


@lru_cache(maxsize=2)
def seen_at(space: Space) -> Floats:
    """Numbers (n, 3) of everything that is looked at: SAMPLED_AT, and the patches of all SHEETS_MM that are held beside
    swatches."""
    matched = [grid.number for size in SHEETS_MM for grid in grids_of(space, size).values()]
    numbers = np.concatenate([SAMPLED_AT, list(dict.fromkeys(matched))])
    numbers.flags.writeable = False
    return numbers


@lru_cache(maxsize=2)
def _greys_of(space: Space) -> SheetPlan:
    """The sheet with one patch of each grey, which is all that answers are read by: the rest takes time."""
    plan = plan_of(space)
    greys = {patch.rgb: patch for patch in plan.patches[::-1] if np.ptp(patch.rgb) < 1e-6}
    return plan.model_copy(update={"patches": tuple(greys.values())})


def _row(at: Works, renderings: Renderings, state: State, rng: np.random.Generator) -> Floats:
    form = filled_in(at, renderings, state, rng)
    return answer_features(form.reading, form.noted)


def filled_in(at: Works, renderings: Renderings, state: State, rng: np.random.Generator) -> Form:
    """A print of this state, looked at by somebody."""
    one = drawn(at, renderings, state, rng)
    space = one.way.space
    numbers = seen_at(space)
    damage = damage_to(at, state, rng, numbers)
    # The good print at hand is one of the same card, or of another that is known.
    way, good = one.beside or (one.way, another_pack(at.coated[0][0], 0.2, rng))
    here, there = laid(one.way, damage, one.card, numbers), laid(way, Damage("none"), good, numbers)
    # Faults that show elsewhere than in colours: creep, and the row of nozzles that prints nothing.
    printer = replace(at.device.printer, ink=max(damage.ink, 1.0), missing=damage.gone)
    size = SHEETS_MM[rng.choice(len(SHEETS_MM), p=_SHEET_SHARES)]
    at_screen = AtScreen(Screen.anybodys(rng), Picker.anybody(rng), grids_of(space, size))
    is_device = one.way.kind == "device"
    filled = answers(
        _sight(here, space, at_screen),
        _sight(there, space, at_screen),
        one.card.stock,
        printer,
        _back(at, one.card, rng).stock,
        SIZE_MM,
        rng,
        Observer.anybody(rng),
        None if is_device else space,
        None if is_device or rng.random() < NO_SCREEN else at_screen,
    )
    reading = read_answers(_some(filled, rng), _greys_of(space), trial="TRAIN000")
    de00 = min(reading.uncertainty.de00, AS_IT_COMES_DE00)
    return Form(one, damage, reading, circumstances(one, rng, known="typical", colorimetric=False, de00=de00))


def _back(at: Works, card: Card, rng: np.random.Generator) -> Card:
    """The card's other side."""
    return at.coated[0][0] if not card.stock.takes_ink else at.bare[rng.integers(2)]


def _sight(lab: Floats, space: Space, at: AtScreen) -> Sight:
    """What the colours (n, 3) at ``seen_at`` say of those that the form asks about."""
    placed = {tuple(number): place for place, number in enumerate(seen_at(space).tolist())}
    matched = {what: lab[placed[grid.number]] for what, grid in at.grids.items()}
    lab = lab[: len(SAMPLED_AT)]
    greys = np.column_stack([np.interp(RAMP, _LEVELS, lab[: len(_LEVELS), axis]) for axis in range(3)])
    # Solid, middle and light tint of cyan, magenta, yellow, red, green, blue follow the greys.
    hues = lab[len(_LEVELS) : len(_LEVELS) + 18].reshape(6, 3, 3)
    greens = hues[[0, 4], 1:].reshape(-1, 3)
    return Sight(
        greys,
        hues[:, 0],
        greens,
        lab[_SOFT_ROWS].mean(axis=1),
        lab[PAPER_ROW],
        chroma(lab[len(_LEVELS) :]),
        matched,
    )


def _some(filled: Answers, rng: np.random.Generator) -> Answers:
    """What one person cares to answer, all of it or hardly anything; and not all have a good print at hand."""
    alone, shy = rng.random() < NONE_BESIDE, rng.random() ** 2
    unasked = {*(_BESIDE if alone else ()), *(_MATCHES if rng.random() < BEFORE_SWATCHES else _WORDS)}
    left = {name: None for name in Answers.model_fields if rng.random() < shy or name in unasked}
    if "hues_off" not in left and rng.random() < ONE_WORD:
        left |= {"hues_off": None, "hues": "wrong" if filled.hues_off else "right"}
    some = filled.model_copy(update=left)
    return some if some.model_dump(exclude_none=True) else filled.model_copy(update=dict.fromkeys(unasked))
