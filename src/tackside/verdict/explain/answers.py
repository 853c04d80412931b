"""What speaks for and against a cause among the answers by eye, each said in words."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tackside.reading.eye import HUES
from tackside.records.reading import Reading
from tackside.records.verdict import Cause, Evidence
from tackside.verdict.causes.answers import DOUBLED, DRAG, QUESTIONS, answers_of
from tackside.verdict.explain.evidence import BARE, alike
from tackside.verdict.explain.words import as_noun

_LEAST_WEIGHT, _MOST, _LEAST_CHANCE = 0.2, 8, 0.1
# What each answer says of the print, from the least value of the question's scale to the most.
_VIVID = ("stronger than", "as strong as", "weaker than", "much weaker than")
_SAYS: dict[str, tuple[tuple[float, str], ...]] = {
    "eye_dull": tuple(
        (value - 1.0, f"the scene's colours are {word} on the screen") for value, word in enumerate(_VIVID)
    ),
    "eye_colour_beside": tuple(
        (value - 1.0, f"the colours are {word} the good print's") for value, word in enumerate(_VIVID)
    ),
    "eye_light_greens_beside": tuple(
        (value - 1.0, f"the light greens and cyans are {word} the good print's")
        for value, word in enumerate(_VIVID)
    ),
    "eye_black_beside": (
        (0.0, "the black is as deep as the good print's"),
        (1.0, "the black is greyer than the good print's"),
        (2.0, "the black is much greyer than the good print's"),
    ),
    "eye_middle_beside": (
        (-1.0, "the middle greys are lighter than the good print's"),
        (0.0, "the middle greys are as dark as the good print's"),
        (1.0, "the middle greys are darker than the good print's"),
    ),
    "eye_hues_off": (
        (0.0, "each full colour has its own hue"),
        (1.0, "one full colour is plainly another"),
        (2.0, "two full colours are plainly others"),
        (3.0, "three full colours are plainly others"),
        (4.0, "four full colours or more are plainly others"),
    ),
    "eye_hues_wrong": (
        (0.0, "each full colour has its own hue"),
        (1.0, "a full colour is plainly another"),
    ),
    "eye_creep": (
        (0.0, "no ink creeps out of the solids"),
        (0.5, "ink creeps a little out of the solids"),
        (1.0, "ink creeps out of the solids"),
    ),
    "eye_light_lines": (
        (0.0, "no light lines cross the solids"),
        (0.5, "a few light lines cross the solids"),
        (1.0, "many light lines cross the solids"),
    ),
    "missing": ((0.0, "no ink is missing"), (1.0, "an ink is missing")),
    "eye_drag_this_side": (
        (0.0, "a damp finger slides on the printed side"),
        (0.5, "a damp finger perhaps drags on the printed side"),
        (1.0, "a damp finger drags on the printed side"),
    ),
    "eye_doubled_vertical": ((0.0, "upright lines are single"), (1.0, "upright lines are doubled")),
}


def evidence_in_answers(causes: dict[Cause, float], reading: Reading) -> tuple[Evidence, ...]:
    """The weightiest answers for and against the likeliest causes: log10 of how much likelier each makes it than the
    others, by what an observer tends to answer under each (``answers.QUESTIONS``).
    """
    ranked = sorted(causes, key=lambda one: -causes[one])
    told: list[Cause] = []
    for cause in ranked[:3]:
        # What speaks for the one of two that look alike speaks for the other.
        if causes[cause] >= _LEAST_CHANCE and not any(alike(cause, other) for other in told):
            told.append(cause)
    found = []
    for question, (value, _) in answers_of(reading).items():
        logs = _logs(question, value)
        says = _said(question, value, reading)
        if logs is None or says is None:
            continue
        for cause in told:
            rest = {other: chance for other, chance in causes.items() if not alike(other, cause)}
            total = sum(rest.values()) or 1.0
            beside = sum(chance / total * float(np.exp(logs(other))) for other, chance in rest.items())
            weight = (logs(cause) - float(np.log(max(beside, 1e-12)))) / float(np.log(10))
            if abs(weight) < _LEAST_WEIGHT:
                continue
            speaks = "for" if weight > 0 else "against"
            found.append(
                Evidence(
                    cause=cause,
                    figure=f"by eye: {says}",
                    weight=weight,
                    sentence=f"By eye, {says}: that speaks {speaks} {as_noun(cause)}.",
                )
            )
    return tuple(sorted(found, key=lambda one: -abs(one.weight))[:_MOST])


def answers_in_words(reading: Reading) -> tuple[str, ...]:
    """What was answered, each in half a sentence."""
    said = (_said(question, value, reading) for question, (value, _) in answers_of(reading).items())
    return tuple(each for each in said if each is not None)


def _logs(question: str, value: float) -> Callable[[Cause], float] | None:
    """Log density of the answer under each cause."""
    if question in ("eye_drag_this_side", "eye_doubled_vertical"):
        table, odd = (DRAG, BARE) if question == "eye_drag_this_side" else (DOUBLED, ("alignment",))
        # On bare card a finger slides (False); under an alignment fault lines are doubled (True).
        is_shown = question == "eye_doubled_vertical"
        return lambda cause: table[(cause in odd) == is_shown].log_density(value, 0.0)
    if question not in QUESTIONS:
        return None
    expected = QUESTIONS[question]

    def log_density(cause: Cause) -> float:
        one = expected.get("bare" if cause in BARE else cause, expected["else"])
        return one.log_density(value, 0.0)

    return log_density


def _said(question: str, value: float, reading: Reading) -> str | None:
    """The answer in words; None where it has none of its own (the parts of a tint are said as one)."""
    if question == "tint":
        if value < 0.25:
            return "the greys have no tint"
        a, b = (reading.attributes[f"eye_tint_{axis}"].value for axis in "ab")
        turn = {
            word: abs((np.degrees(np.arctan2(b, a)) - hue + 180) % 360 - 180) for word, hue in HUES.items()
        }
        much = "plainly" if value > 1.5 else "a little"
        return f"the greys are {much} tinted {min(turn, key=lambda word: turn[word])}"
    if question == "shadow_step":
        return f"greys below {255 * value:.0f} of 255 look as black as black"
    if question not in _SAYS:
        return None
    return min(_SAYS[question], key=lambda one: abs(one[0] - value))[1]
