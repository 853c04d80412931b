"""A print judged by eye: answers kept as a reading, and where the sheet has the soft colours that are asked about."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from tackside.bench.store import Bench
from tackside.colour.spaces import RGB_SPACES, rgb_to_lab
from tackside.reading.eye import Answers, read_answers
from tackside.reading.soft_colours import Hue, soft_patches
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


def soft_of(sheet: SheetPlan) -> dict[str, SoftPlaces]:
    """By the field of the question; only what the sheet has, and beside the screen only where its file has a space."""
    found = {}
    cube = [patch for patch in sheet.patches if _stands_in_the_cube(patch)]
    for hue in dict.fromkeys((*_STRENGTHS, *_TURNS)):
        soft = soft_patches(sheet, hue)
        if not soft:
            continue
        near = [patch for patch in cube if patch.panel == soft[0].panel]
        numbers = np.array([patch.rgb for patch in near])
        colours, _ = to_screen(rgb_to_lab(numbers, RGB_SPACES[sheet.space or "srgb"]))
        places = SoftPlaces(
            _around([patch.box_mm for patch in near]),
            tuple((patch.box_mm, colour) for patch, colour in zip(near, colours, strict=True)),
            tuple(patch.box_mm for patch in soft),
        )
        if hue in _TURNS:
            found[f"soft_{hue}_hue_beside_good"] = places
        if hue in _STRENGTHS:
            found[f"soft_{hue}_beside_good"] = places
            if sheet.space is not None:
                found[f"soft_{hue}_beside_screen"] = places
    return found


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
