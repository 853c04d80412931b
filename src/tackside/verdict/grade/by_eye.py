"""Grade and measures of a print that was looked at, not measured: wide, and said to be so."""

from __future__ import annotations

from collections.abc import Mapping

from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.records.reading import Attribute, Reading
from tackside.records.verdict import Cause, Grade, Measure
from tackside.verdict.causes.weigh import likeliest
from tackside.verdict.grade.grading import mismanaged
from tackside.verdict.grade.limits import shadow_limits
from tackside.verdict.known_print import Printed

# What each answer allows at best, by its value from the first limit on: send, draft, reject. This project's own.
LIMITS: dict[str, tuple[float, float, float]] = {
    "eye_black_beside": (0.6, 1.4, 2.5),
    "eye_colour_beside": (0.6, 1.4, 2.5),
    "eye_dull": (0.9, 1.6, 2.5),
    "eye_creep": (0.3, 0.75, 1.1),
    "eye_light_lines": (0.3, 0.75, 1.1),
    "eye_doubled_vertical": (0.5, 1.1, 1.2),
}
_GRADES: tuple[Grade, ...] = ("sell", "send", "draft", "reject")


# What has to be known before answers make a grade: one answer at least of each.
NEEDED: dict[str, tuple[str, ...]] = {
    "colour-beside-good": ("eye_colour_beside", "eye_dull"),
    "black-beside-good": ("eye_black_beside", "shadow_step"),
    "hues-off": ("eye_hues_off", "eye_hues_wrong"),
}


def require_enough_answers(reading: Reading) -> None:
    """Raises BadRequest, with the questions that are missing, where the answers say too little for a grade."""
    missing = [
        Message(f"eye.ask-{question}")
        for question, answers in NEEDED.items()
        if not any(answer in reading.attributes for answer in answers)
    ]
    if missing:
        raise BadRequest("verdict.too-few-answers", missing=missing)


# From this chance on the card counts as bare, which nothing makes more of than a draft: answers hold too little to say
# on better odds that it is not. Below the other a single mark at "an ink is missing" is a slip that the rest of the
# form speaks against.
_BARE, _BELIEVED = 0.15, 0.2


def grade_by_eye(reading: Reading, printed: Printed, causes: Mapping[Cause, float]) -> Grade:
    """The worst grade that any answer allows; at best a draft for a missing ink and for bare card, and ``send`` where
    colours were likely managed wrongly.

    Shadows are held against what was ``printed``, as a measured print's are; where black is as deep as a good print's
    they cost one grade at most, since it is the path then that closes them. How the print looks beside a screen counts
    only where no good print lay beside it. ``causes``: what all answers together say.
    """
    limits = LIMITS | {"shadow_step": shadow_limits(printed)}
    if "eye_colour_beside" in reading.attributes:
        del limits["eye_dull"]
    worst = 0
    for name, its in limits.items():
        answer = reading.attributes.get(name)
        if answer is not None:
            down = _steps_down(name, answer, its)
            worst = max(worst, min(down, 1) if name == "shadow_step" and _is_deep(reading) else down)
    missing = [reading.attributes.get(f"eye_missing_{ink}") for ink in "cmyk"]
    borne_out = causes["missing-ink"] + causes["unknown"] >= _BELIEVED
    if borne_out and any(one is not None and one.value > 0.5 for one in missing):
        worst = max(worst, 2)
    if mismanaged(printed, causes, likeliest(dict(causes))):
        worst = max(worst, 1)
    if causes["stock"] + causes["side"] >= _BARE:
        worst = max(worst, 2)
    return _GRADES[worst]


# Answers that say less than they seem to.
_DOUBTFUL = ("eye_dull", "shadow_step")


def _steps_down(name: str, answer: Attribute, limits: tuple[float, float, float]) -> int:
    """How many grades below ``sell``.

    Two people count dark steps differently by one or so: a draft is only what that does not explain. Screens differ
    more than prints do, and none of them shows what a card can hold, so that a dull print beside one is no draft for
    that alone.
    """
    steps = sum(answer.value > limit for limit in limits)
    if steps < 2 or name not in _DOUBTFUL:
        return steps
    return max(1, sum(answer.value - (answer.sd or 0.0) > limit for limit in limits))


def _is_deep(reading: Reading) -> bool:
    """Whether black was found to be as deep as that of a good print beside it."""
    black = reading.attributes.get("eye_black_beside")
    return black is not None and black.value <= LIMITS["eye_black_beside"][0]


def by_eye_measures(reading: Reading) -> dict[str, Measure]:
    """The few measures that answers give: where shadows and highlights open, and the size by the rulers."""
    found = {}
    for measure, answer in (("shadow_opens_at", "shadow_step"), ("highlight_opens_at", "highlight_step")):
        one = reading.attributes.get(answer)
        if one is not None:
            value = one.value if measure == "shadow_opens_at" else 1.0 - one.value
            found[measure] = Measure(value=value, unit="device", sd=one.sd, method="by eye")
    if reading.placement is not None:
        off = max((100 * (s - 1) for s in (reading.placement.scale_x, reading.placement.scale_y)), key=abs)
        sd = 100 * (reading.placement.residual_um / 1000) / 90
        found["size_error"] = Measure(value=off, unit="%", sd=sd, method="rulers, by eye")
    return found
