"""A print judged by eye: answers kept as a reading; where the sheet has the soft colours that are asked about, and the
swatches that one of its patches is held beside."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tackside.bench.store import Bench
from tackside.colour.spaces import RGB_SPACES, Floats, rgb_to_lab
from tackside.reading.eye import Answers, read_answers
from tackside.reading.soft_colours import Hue, soft_patches
from tackside.reading.swatches import MATCHED, STEPS, Matched, asked_for, is_shown, matched_patch, swatch
from tackside.records import Patch, Reading, SheetPlan
from tackside.report.patches import to_screen
from tackside.units import Box
from tackside.verdict.grade.by_eye import require_enough_answers

# Of which soft colours the form asks how strong they are, and which way their hue has turned.
_STRENGTHS: tuple[Hue, ...] = ("cyans", "reds")
_TURNS: tuple[Hue, ...] = ("reds", "purples", "blues")


def answer_by_eye(
    bench: Bench,
    trial: str,
    answers: Answers,
    *,
    source_name: str = "answers",
    file: Path | None = None,
    for_a_verdict: bool = False,
) -> Reading:
    """Answers to questions about a print in the hand, kept as a reading; ``file`` held them, and is kept too.

    ``for_a_verdict``: kept only where they are enough for a grade. A reading by scan or instrument stands before them.
    Raises NotFound, BadRequest where the answers contradict the sheet, or are too few, or the trial was withdrawn.
    """
    found = bench.trials.standing(trial)
    reading = read_answers(answers, found.sheet, trial=found.id, source_name=source_name)
    if for_a_verdict:
        require_enough_answers(reading)
    if file is not None:
        bench.keep_file(file)
    return bench.readings.add(reading)


@dataclass(frozen=True)
class SoftPlaces:
    """The patches around and of the soft colours of one hue, mm on the sheet. ``around``: what the drawing shows;
    ``patches``: each with its colour on screen, ``#rrggbb``; ``marked``: the soft ones."""

    around: Box
    patches: tuple[tuple[Box, str], ...]
    marked: tuple[Box, ...]


@dataclass(frozen=True)
class Swatch:
    """``picked``: the answer as it is typed, ``-1 0``; ``colour`` on screen, ``#rrggbb``; steps from the file's own."""

    picked: str
    colour: str
    lighter: int = 0
    stronger: int = 0
    turned: int = 0


@dataclass(frozen=True)
class Swatches:
    """Those of one question, row by row, None where no screen shows one; ``places``: where the patch is."""

    rows: tuple[tuple[Swatch | None, ...], ...]
    places: SoftPlaces


def soft_of(sheet: SheetPlan) -> dict[str, SoftPlaces]:
    """By the field of the question that a good print beside it is needed for; only what the sheet has."""
    found = {}
    for hue in dict.fromkeys((*_STRENGTHS, *_TURNS)):
        soft = soft_patches(sheet, hue)
        if not soft:
            continue
        places = _places(sheet, soft)
        if hue in _TURNS:
            found[f"soft_{hue}_hue_beside_good"] = places
        if hue in _STRENGTHS:
            found[f"soft_{hue}_beside_good"] = places
    return found


def swatches_of(sheet: SheetPlan) -> dict[str, Swatches]:
    """By the field of the question; only what the sheet has. Of soft colours rows from light to dark, each from weak to
    strong, and one row of hues, anticlockwise."""
    found = {}
    for what in MATCHED:
        patch = matched_patch(sheet, what)
        if patch is None:
            continue
        own, places, steps = asked_for(sheet, patch), _places(sheet, (patch,)), range(-STEPS, STEPS + 1)
        if what == "greys":
            found["greys_match"] = Swatches((tuple(_shown(own, f"{n}", n) for n in steps),), places)
            continue
        grid = tuple(
            tuple(_shown(own, f"{light} {strong}", light, strong) for strong in steps)
            for light in reversed(steps)
        )
        found[_field(what)] = Swatches(grid, places)
        hues = tuple(_shown(own, f"{n}", turned=n) for n in steps)
        found[_field(what, "hue_")] = Swatches((hues,), places)
    return found


def _field(what: Matched, of: str = "") -> str:
    return f"soft_{what}_{of}match"


def _shown(own: Floats, picked: str, lighter: int = 0, stronger: int = 0, turned: int = 0) -> Swatch | None:
    lab = swatch(own, lighter, stronger, turned)
    if not is_shown(lab):
        return None
    (colour,), _ = to_screen(lab[None])
    return Swatch(picked, colour, lighter, stronger, turned)


def _places(sheet: SheetPlan, marked: tuple[Patch, ...]) -> SoftPlaces:
    """Where these are, among the patches that stand with them: those of the cube, or the greys."""
    own = _stands_in_the_cube if _stands_in_the_cube(marked[0]) else _is_grey
    near = [patch for patch in sheet.patches if own(patch) and patch.panel == marked[0].panel]
    numbers = np.array([patch.rgb for patch in near])
    colours, _ = to_screen(rgb_to_lab(numbers, RGB_SPACES[sheet.space or "srgb"]))
    return SoftPlaces(
        _around([patch.box_mm for patch in near]),
        tuple((patch.box_mm, colour) for patch, colour in zip(near, colours, strict=True)),
        tuple(patch.box_mm for patch in marked),
    )


def _around(boxes: list[Box]) -> Box:
    left, top = min(box.x for box in boxes), min(box.y for box in boxes)
    return Box(
        left - 1.0,
        top - 1.0,
        max(box.right for box in boxes) - left + 2.0,
        max(box.bottom for box in boxes) - top + 2.0,
    )


def _stands_in_the_cube(patch: Patch) -> bool:
    """A colour of the cube that serves among the greys or in a ramp as well is printed there."""
    roles = set(patch.roles)
    elsewhere = "grey" in roles or any(role.startswith("ramp-") for role in roles)
    return bool({"cube", "near-grey"} & roles) and not elsewhere


def _is_grey(patch: Patch) -> bool:
    return "grey" in patch.roles
