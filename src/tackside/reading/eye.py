"""Answers by eye: what a person tells of a print in the hand, as a reading with wide, honest uncertainty.

Patches are given only where the answers tell something: bare card, the darkest grey, and the ends of the grey ramp. All
else becomes attributes. What an answer is worth is this project's own estimate, written in the tables below.
"""

from __future__ import annotations

import hashlib
from datetime import UTC, datetime
from typing import Annotated, ClassVar, Literal

import numpy as np
from pydantic import Field

from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.reading.eye_checks import contradictions
from tackside.reading.swatches import MATCHED, STEPS
from tackside.records import Attribute, Patch, PatchReading, Placement, Reading, SheetPlan, Uncertainty
from tackside.records.base import Record
from tackside.records.reading import TINT_HUES, Flaw

Some = Literal["no", "slightly", "much"]
Drag = Literal["yes", "unsure", "no"]
Tint = Literal["none", "red", "yellow", "green", "cyan", "blue", "magenta"]
Beside = Literal["more", "same", "less", "much-less"]
Soft = Literal["much-more", "more", "same", "less", "much-less"]
TurnOfPurples = Literal["redder", "same", "bluer"]
TurnOfBlues = Literal["redder", "same", "greener"]
TurnOfReds = Literal["yellower", "same", "bluer"]
# Steps of ``swatches``: lighter and stronger; or how far the hue is turned.
Step = Annotated[int, Field(ge=-STEPS, le=STEPS)]
Steps = tuple[Step, Step]
RulerMm = tuple[Annotated[float, Field(gt=0)], Annotated[float, Field(gt=0)]]

HALF_WET = Message("eye.half-wet")
TOUCH_DRY_HOURS = 1.0  # as in ``scan.fitness``
# One standard uncertainty, in ΔE00, of a colour told by eye without a measure: it is remembered, not seen
# beside another.
ANSWERED_DE00, ANSWERED_BESIDE_DE00 = 8.0, 5.0
# A ruler read to half a millimetre, a rectangular distribution at each end.
RULER_SD_MM = 0.5 / np.sqrt(3.0)
# CIELAB hue angles, degrees, of what people call these colours, rounded (docs/sources.md, S39).
DEGREES = {"no": 0.0, "slightly": 0.5, "much": 1.0}
DRAGS = {"no": 0.0, "unsure": 0.5, "yes": 1.0}
LINES = {"none": 0.0, "few": 0.5, "many": 1.0}
TONES = {"lighter": -1.0, "same": 0.0, "darker": 1.0}
HUES_WRONG = {"right": 0.0, "wrong": 1.0}
VIVID = {"more": -1.0, "same": 0.0, "less": 1.0, "much-less": 2.0}
SOFT = {"much-more": -2.0, **VIVID}
# Anticlockwise in CIELAB's hue angle is 1. Of what the sheet's file asks for (sRGB, IEC 61966-2-1) soft blues lie at
# 290°, purples at 325° and reds at 26°: so blues that turn to purple are redder, purples that turn to red likewise, and
# reds go on to yellow (at 95°).
TURNS = {
    "purples": {"redder": 1.0, "same": 0.0, "bluer": -1.0},
    "blues": {"redder": 1.0, "same": 0.0, "greener": -1.0},
    "reds": {"yellower": 1.0, "same": 0.0, "bluer": -1.0},
}


class Answers(Record):
    """The short form. Every answer may be left out; None means not answered.

    ``dark_steps_alike``: how many grey steps next to black look like black; ``light_steps_alike``: next to white.
    ``beside_screen``: the picture's colours beside the screen; ``*_beside_good``: beside a print known to be good, on
    whatever card. ``light_greens``: the light steps of the green and cyan ramps, in which the two spaces of the sheets
    differ most (sRGB, IEC 61966-2-1, and Adobe RGB (1998) share red and blue and nearly white, not green).
    ``soft_*``: the greyish cyans and the greyish reds of the cube. Every card holds these, so no way into gamut hides
    what becomes of them: one space read as the other moves cyans most, reds less, and what lies between hardly; too
    much or too little ink moves all alike. ``soft_*_hue_beside_good``: which way the hue of the greyish purples, blues
    and reds has turned; a screen, which turns hues itself, is not asked about.
    ``*_match``: the swatch that looks like the patch, in steps from the colour that the file asks for
    (``reading.swatches``): lighter, and for soft colours stronger. ``*_hue_match``: steps by which the hue is turned,
    anticlockwise in CIELAB: cyans bluer, reds yellower, greens bluer, purples redder.
    ``hues_off``: how many of the six full colours are plainly another, or none; ``hues``: the same in one word, for
    answers that were written down before. ``ruler_*_mm``: the printed ruler's own figure, and what a real ruler says.
    """

    KIND: ClassVar[str] = "answers"

    dark_steps_alike: Annotated[int, Field(ge=0, le=60)] | None = None
    light_steps_alike: Annotated[int, Field(ge=0, le=60)] | None = None
    smallest_type_pt: Annotated[float, Field(gt=0, le=72)] | None = None
    smallest_reversed_type_pt: Annotated[float, Field(gt=0, le=72)] | None = None
    creep: Some | None = None
    drag_this_side: Drag | None = None
    drag_other_side: Drag | None = None
    beside_screen: Beside | None = None
    greys_tint: Tint | None = None
    tint_strength: Literal["slight", "strong"] | None = None
    light_lines: Literal["none", "few", "many"] | None = None
    doubled_lines: Literal["none", "vertical", "horizontal", "both"] | None = None
    missing_inks: tuple[Literal["c", "m", "y", "k"], ...] | None = None
    ruler_across_mm: RulerMm | None = None
    ruler_along_mm: RulerMm | None = None
    black_beside_good: Literal["same", "less", "much-less"] | None = None
    colour_beside_good: Beside | None = None
    middle_beside_good: Literal["lighter", "same", "darker"] | None = None
    light_greens_beside_good: Beside | None = None
    soft_cyans_beside_good: Soft | None = None
    soft_reds_beside_good: Soft | None = None
    soft_reds_hue_beside_good: TurnOfReds | None = None
    soft_purples_hue_beside_good: TurnOfPurples | None = None
    soft_blues_hue_beside_good: TurnOfBlues | None = None
    soft_cyans_beside_screen: Soft | None = None
    soft_reds_beside_screen: Soft | None = None
    greys_match: Step | None = None
    soft_cyans_match: Steps | None = None
    soft_reds_match: Steps | None = None
    soft_greens_match: Steps | None = None
    soft_purples_match: Steps | None = None
    soft_cyans_hue_match: Step | None = None
    soft_reds_hue_match: Step | None = None
    soft_greens_hue_match: Step | None = None
    soft_purples_hue_match: Step | None = None
    hues_off: Annotated[int, Field(ge=0, le=6)] | None = None
    hues: Literal["right", "wrong"] | None = None
    drying_hours: Annotated[float, Field(ge=0)] | None = None


def read_answers(answers: Answers, plan: SheetPlan, *, trial: str, source_name: str = "answers") -> Reading:
    """A reading of kind ``eye``. Raises BadRequest where nothing was answered.

    Answers that contradict each other are all kept, with a notice each and wider uncertainty.
    """
    given = answers.model_dump(exclude_none=True)
    if not given:
        raise BadRequest("eye.nothing-answered")
    text = answers.model_dump_json(exclude_none=True)
    found = contradictions(given)
    attributes = _attributes(answers, plan)
    attributes |= _ends(answers, plan)
    flaws = [Flaw(code=one.code, degree=min(0.5 * len(found), 1.0)) for one in found]
    if found:
        attributes = {name: _wider(one, found) for name, one in attributes.items()}
        attributes["unfit"] = Attribute(value=flaws[0].degree, unit="1")
    if answers.drying_hours is not None and answers.drying_hours < TOUCH_DRY_HOURS:
        flaws.append(Flaw(code=HALF_WET.code, degree=0.5))
    beside = answers.black_beside_good is not None or answers.colour_beside_good is not None
    de00 = (ANSWERED_BESIDE_DE00 if beside else ANSWERED_DE00) * (1.5 if found else 1.0)
    return Reading(
        trial=trial,
        kind="eye",
        source_name=source_name,
        source_sha256=hashlib.sha256(text.encode()).hexdigest(),
        made_at=datetime.now(UTC),
        patches=_patches(answers, plan),
        placement=_placement(answers),
        attributes=attributes,
        uncertainty=Uncertainty(
            de00=de00,
            basis=Message("uncertainty.eye-beside" if beside else "uncertainty.eye-alone"),
            comparable_with="eye",
        ),
        notices=(*found, *_notices(answers, beside)),
        flaws=tuple(flaws),
    )


def _attributes(answers: Answers, plan: SheetPlan) -> dict[str, Attribute]:
    found: dict[str, Attribute] = {}

    def code(name: str, value: float | None, sd: float) -> None:
        if value is not None:
            found[name] = Attribute(value=value, unit="answer", sd=sd)

    def of(table: dict[str, float], answer: str | None) -> float | None:
        return None if answer is None else table[answer]

    code("eye_creep", of(DEGREES, answers.creep), 0.3)
    code("eye_drag_this_side", of(DRAGS, answers.drag_this_side), 0.3)
    code("eye_drag_other_side", of(DRAGS, answers.drag_other_side), 0.3)
    code("eye_dull", of(VIVID, answers.beside_screen), 0.7)  # screens differ more than prints do
    code("eye_light_lines", of(LINES, answers.light_lines), 0.2)
    code("eye_black_beside", of(VIVID, answers.black_beside_good), 0.4)
    code("eye_colour_beside", of(VIVID, answers.colour_beside_good), 0.4)
    code("eye_middle_beside", of(TONES, answers.middle_beside_good), 0.4)
    code("eye_light_greens_beside", of(VIVID, answers.light_greens_beside_good), 0.4)
    code("eye_soft_cyans_beside", of(SOFT, answers.soft_cyans_beside_good), 0.4)
    code("eye_soft_reds_beside", of(SOFT, answers.soft_reds_beside_good), 0.4)
    code("eye_soft_reds_hue", of(TURNS["reds"], answers.soft_reds_hue_beside_good), 0.4)
    code("eye_soft_purples_hue", of(TURNS["purples"], answers.soft_purples_hue_beside_good), 0.4)
    code("eye_soft_blues_hue", of(TURNS["blues"], answers.soft_blues_hue_beside_good), 0.4)
    code("eye_soft_cyans_screen", of(SOFT, answers.soft_cyans_beside_screen), 0.7)
    code("eye_soft_reds_screen", of(SOFT, answers.soft_reds_beside_screen), 0.7)
    for what in MATCHED:
        found |= _matches(what, answers)
    code("eye_hues_off", None if answers.hues_off is None else float(answers.hues_off), 0.3)
    code("eye_hues_wrong", of(HUES_WRONG, answers.hues), 0.2)
    if answers.greys_tint is not None:
        length = {None: 1.0, "slight": 1.0, "strong": 2.0}[answers.tint_strength]
        length = 0.0 if answers.greys_tint == "none" else length
        hue = np.radians(TINT_HUES.get(answers.greys_tint, 0.0))
        code("eye_tint_a", float(length * np.cos(hue)), 0.5)
        code("eye_tint_b", float(length * np.sin(hue)), 0.5)
    if answers.doubled_lines is not None:
        for direction in ("vertical", "horizontal"):
            code(f"eye_doubled_{direction}", float(answers.doubled_lines in (direction, "both")), 0.2)
    if answers.missing_inks is not None:
        for ink in "cmyk":
            code(f"eye_missing_{ink}", float(ink in answers.missing_inks), 0.2)
    sizes = sorted({target.size_pt for target in plan.targets if target.kind == "text" and target.size_pt})
    for name, size in (
        ("positive", answers.smallest_type_pt),
        ("reversed", answers.smallest_reversed_type_pt),
    ):
        if size is not None:
            step = max(float(np.min(np.diff(sizes))) if len(sizes) > 1 else 1.0, 1.0)
            found[f"text_legible_{name}"] = Attribute(value=size, unit="pt", sd=step)
    return found


def _matches(what: str, answers: Answers) -> dict[str, Attribute]:
    """The swatch that was picked, in steps: ``eye_match_…_l`` lighter, ``_s`` stronger, ``_h`` turned anticlockwise.
    Two people pick a step apart."""
    if what == "greys":
        picked = {"l": answers.greys_match}
    else:
        steps = getattr(answers, f"soft_{what}_match") or (None, None)
        picked = {"l": steps[0], "s": steps[1], "h": getattr(answers, f"soft_{what}_hue_match")}
    return {
        f"eye_match_{what}_{axis}": Attribute(value=float(step), unit="answer", sd=0.7)
        for axis, step in picked.items()
        if step is not None
    }


def _ends(answers: Answers, plan: SheetPlan) -> dict[str, Attribute]:
    """The device level of the first step told apart from black, the last told apart from white."""
    levels = _grey_levels(plan)
    found = {}
    for name, count, ordered in (
        ("shadow_step", answers.dark_steps_alike, levels),
        ("highlight_step", answers.light_steps_alike, levels[::-1]),
    ):
        if count is not None and len(ordered) > 2:
            at = min(count + 1, len(ordered) - 1)
            beside = abs(ordered[min(at + 1, len(ordered) - 1)] - ordered[max(at - 1, 0)])
            # Two people differ by a step or so either way.
            found[name] = Attribute(value=ordered[at], unit="1", sd=max(beside / 2, 0.01))
    return found


def _grey_levels(plan: SheetPlan) -> list[float]:
    return sorted({patch.rgb[0] for patch in plan.patches if max(patch.rgb) - min(patch.rgb) < 1e-6})


def _patches(answers: Answers, plan: SheetPlan) -> tuple[PatchReading, ...]:
    """Bare card, black and the ramp between, where greys were looked at; typical of a print, and no more than that."""
    if answers.dark_steps_alike is None and answers.black_beside_good is None:
        return ()
    levels = _grey_levels(plan)
    closed = (answers.dark_steps_alike or 0) / max(len(levels), 1)
    # Typical black L* (docs/sources.md, S26 and S27): 5 gloss … 16 matt … 30 bare card. What is told of
    # the black only leans that way.
    weaker = {None: 0.0, "same": 0.0, "less": 8.0, "much-less": 18.0}[answers.black_beside_good]
    black = 12.0 + weaker
    open_at = levels[min((answers.dark_steps_alike or 0), len(levels) - 1)]
    greys: dict[float, Patch] = {}
    for patch in plan.patches:
        if max(patch.rgb) - min(patch.rgb) < 1e-6:
            greys.setdefault(patch.rgb[0], patch)

    def lightness(level: float) -> float:
        if level <= open_at:
            return black
        return black + (95.0 - black) * (level - open_at) / (1.0 - open_at)

    sd = 8.0 if answers.black_beside_good is None else 6.0
    return tuple(
        PatchReading(
            name=patch.name, rgb=patch.rgb, lab=(lightness(level), 0.0, 0.0), sd=sd + 4.0 * float(closed)
        )
        for level, patch in sorted(greys.items())
    )


def _placement(answers: Answers) -> Placement | None:
    across, along = answers.ruler_across_mm, answers.ruler_along_mm
    if across is None or along is None:
        return None
    shortest = min(across[0], along[0])
    return Placement(
        scale_x=across[1] / across[0],
        scale_y=along[1] / along[0],
        residual_um=1000.0 * float(RULER_SD_MM) * 100.0 / shortest,
        marks_found=0,
    )


def _wider(one: Attribute, found: list[Message]) -> Attribute:
    return one.model_copy(update={"sd": None if one.sd is None else one.sd * (1.0 + 0.5 * len(found))})


def _notices(answers: Answers, beside: bool) -> tuple[Message, ...]:
    said = []
    if not beside:
        said.append(Message("eye.nothing-beside"))
    if answers.drying_hours is not None and answers.drying_hours < TOUCH_DRY_HOURS:
        said.append(HALF_WET)
    if (answers.ruler_across_mm is None) != (answers.ruler_along_mm is None):
        said.append(Message("eye.one-ruler"))
    return tuple(said)
