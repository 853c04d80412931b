"""Grade and measures of a print that was looked at, not measured: wide, and said to be so."""

from __future__ import annotations

from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.records.reading import Reading
from tackside.records.verdict import Grade, Measure

# What each answer allows at best, by its value from the first limit on: send, draft, reject. This project's own.
LIMITS: dict[str, tuple[float, float, float]] = {
    "eye_black_beside": (0.6, 1.4, 2.5),
    "eye_colour_beside": (0.6, 1.4, 2.5),
    "eye_dull": (0.9, 1.6, 2.5),
    "eye_creep": (0.3, 0.75, 1.1),
    "shadow_step": (0.1, 0.16, 0.24),
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


def grade_by_eye(reading: Reading) -> Grade:
    """The worst grade that any answer allows. A missing ink allows a draft."""
    worst = 0
    for name, limits in LIMITS.items():
        answer = reading.attributes.get(name)
        if answer is not None:
            worst = max(worst, sum(answer.value > limit for limit in limits))
    for ink in "cmyk":
        missing = reading.attributes.get(f"eye_missing_{ink}")
        if missing is not None and missing.value > 0.5:
            worst = max(worst, 2)
    return _GRADES[worst]


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
