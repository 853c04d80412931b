"""What speaks for and against a cause among the answers by eye."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from tackside.messages.message import Message
from tackside.records.reading import TINT_HUES, Reading
from tackside.records.verdict import Cause, Evidence
from tackside.verdict.causes.answers import DOUBLED, DRAG, QUESTIONS, answers_of
from tackside.verdict.explain.evidence import BARE, alike
from tackside.verdict.explain.words import cause_as_noun

_LEAST_WEIGHT, _MOST, _LEAST_CHANCE = 0.2, 8, 0.1
_VIVID = ("stronger", "alike", "weaker", "much-weaker")


def _turned(of: str, back: str, on: str) -> tuple[tuple[float, str], ...]:
    """``back`` and ``on``: what a hue turned clockwise, or anticlockwise, is called."""
    return (-1.0, f"{of}-{back}"), (0.0, f"{of}-one-hue"), (1.0, f"{of}-{on}")


def _vivid(of: str) -> tuple[tuple[float, str], ...]:
    return tuple((value - 1.0, f"{of}-{degree}") for value, degree in enumerate(_VIVID))


# What each answer says of the print (``evidence.eye.…``), from the least value of the question's scale to the most.
_SAYS: dict[str, tuple[tuple[float, str], ...]] = {
    "eye_dull": _vivid("scene"),
    "eye_colour_beside": _vivid("colours"),
    "eye_light_greens_beside": _vivid("light-greens"),
    "eye_soft_cyans_beside": ((-2.0, "soft-cyans-much-stronger"), *_vivid("soft-cyans")),
    "eye_soft_reds_beside": ((-2.0, "soft-reds-much-stronger"), *_vivid("soft-reds")),
    "eye_soft_reds_hue": _turned("soft-reds", "bluer", "yellower"),
    "eye_soft_purples_hue": _turned("soft-purples", "bluer", "redder"),
    "eye_soft_blues_hue": _turned("soft-blues", "greener", "redder"),
    "eye_soft_cyans_screen": ((-2.0, "screen-cyans-much-stronger"), *_vivid("screen-cyans")),
    "eye_soft_reds_screen": ((-2.0, "screen-reds-much-stronger"), *_vivid("screen-reds")),
    "eye_black_beside": ((0.0, "black-as-deep"), (1.0, "black-greyer"), (2.0, "black-much-greyer")),
    "eye_middle_beside": ((-1.0, "middle-lighter"), (0.0, "middle-alike"), (1.0, "middle-darker")),
    "eye_hues_off": (
        (0.0, "hues-own"),
        (1.0, "hues-one-off"),
        (2.0, "hues-two-off"),
        (3.0, "hues-three-off"),
        (4.0, "hues-many-off"),
    ),
    "eye_hues_wrong": ((0.0, "hues-own"), (1.0, "hues-wrong")),
    "eye_creep": ((0.0, "creep-none"), (0.5, "creep-little"), (1.0, "creep-much")),
    "eye_light_lines": ((0.0, "light-lines-none"), (0.5, "light-lines-few"), (1.0, "light-lines-many")),
    "missing": ((0.0, "ink-none-missing"), (1.0, "ink-missing")),
    "eye_drag_this_side": ((0.0, "finger-slides"), (0.5, "finger-perhaps-drags"), (1.0, "finger-drags")),
    "eye_doubled_vertical": ((0.0, "lines-single"), (1.0, "lines-doubled")),
}


# What a swatch that was picked says, by what the steps are of; of a hue by the colour, clockwise and anticlockwise.
_STEPS_SAY: dict[str, tuple[tuple[float, str], ...]] = {
    axis: tuple((value - 2.0, how) for value, how in enumerate(words))
    for axis, words in (
        ("l", ("much-darker", "darker", "as-light", "lighter", "much-lighter")),
        ("s", ("much-weaker", "weaker", "as-strong", "stronger", "much-stronger")),
    )
}
_TURNS_SAY = {
    "cyans": ("greener", "bluer"),
    "reds": ("bluer", "yellower"),
    "greens": ("yellower", "bluer"),
    "purples": ("bluer", "redder"),
}
_MATCH = "eye_match_"


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
                    figure=Message("evidence.figure.by-eye", says=says),
                    weight=weight,
                    sentence=Message(f"evidence.by-eye.{speaks}", says=says, cause=cause_as_noun(cause)),
                )
            )
    return tuple(sorted(found, key=lambda one: -abs(one.weight))[:_MOST])


def answers_in_words(reading: Reading) -> tuple[Message, ...]:
    """What was answered, each in a sentence."""
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


def _said(question: str, value: float, reading: Reading) -> Message | None:
    """The answer in words; None where it has none of its own (the parts of a tint are said as one)."""
    if question == "tint":
        if value < 0.25:
            return Message("evidence.eye.greys-untinted")
        a, b = (reading.attributes[f"eye_tint_{axis}"].value for axis in "ab")
        turn = {
            name: abs((np.degrees(np.arctan2(b, a)) - hue + 180) % 360 - 180)
            for name, hue in TINT_HUES.items()
        }
        much = "plainly-tinted" if value > 1.5 else "tinted"
        return Message(
            f"evidence.eye.greys-{much}",
            hue=Message(f"evidence.tint.{min(turn, key=lambda name: turn[name])}"),
        )
    if question == "shadow_step":
        return Message("evidence.eye.shadows-closed", level=255 * value)
    if question == "text_legible_reversed":
        return Message("evidence.eye.white-type", pt=value)
    if question.startswith(_MATCH):
        return _matched(question, value)
    if question not in _SAYS:
        return None
    _, nearest = min(_SAYS[question], key=lambda one: abs(one[0] - value))
    return Message(f"evidence.eye.{nearest}")


def _matched(question: str, value: float) -> Message:
    """What a swatch says of a patch beside what its file asks for."""
    what, axis = question.removeprefix(_MATCH).split("_")
    says = _STEPS_SAY.get(axis)
    if says is None:
        back, on = _TURNS_SAY[what]
        says = (-1.0, back), (0.0, "one-hue"), (1.0, on)
    _, how = min(says, key=lambda one: abs(one[0] - value))
    return Message(f"evidence.match.{how}", patches=Message(f"evidence.match.of-{what}"))
