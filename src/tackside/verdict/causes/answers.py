"""What answers by eye say of the causes: for each question, what an observer tends to answer under each fault.

Means and spreads on each question's own scale; all are this project's own estimates, after the table from
symptom to cause (docs/sources.md, S50). They are wide, since an eye without a print beside it remembers badly.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from tackside.records.reading import Reading
from tackside.records.verdict import Cause
from tackside.verdict.causes.swatch_answers import MATCHES
from tackside.verdict.causes.symptoms import PATHS
from tackside.verdict.causes.traits import Normal, Traits, weigh_scale


@dataclass(frozen=True)
class Yes:
    """How often the answer is yes (1) and not no (0)."""

    chance: float

    def log_density(self, value: float, sd: float) -> float:
        """Of an answer; ``sd``, its doubt beyond the usual, draws it towards saying nothing."""
        chance = self.chance + (0.5 - self.chance) * min(sd, 1.0)
        return float(np.log(value * chance + (1.0 - value) * (1.0 - chance)))


Expected = Mapping[Cause | str, Normal | Yes]

# "bare" stands for a card, or a side, with no coating, whatever else is wrong; "else" for every fault not named.
QUESTIONS: dict[str, Expected] = {
    "eye_dull": {
        "else": Normal(0.0, 0.5),
        "bare": Normal(1.3, 0.6),
        "too-little-ink": Normal(1.2, 0.7),
        "wide-read-as-narrow": Normal(0.8, 0.6),
        "narrow-read-as-wide": Normal(-0.7, 0.6),
        "missing-ink": Normal(0.2, 0.9),
        "managed-twice": Normal(0.3, 0.6),
        "unmanaged": Normal(-0.2, 0.6),
        "too-much-ink": Normal(-0.4, 0.6),
        "unknown": Normal(0.0, 1.0),
    },
    "eye_colour_beside": {
        "else": Normal(0.0, 0.25),
        "bare": Normal(1.3, 0.55),
        "too-little-ink": Normal(1.2, 0.7),
        "wide-read-as-narrow": Normal(0.8, 0.5),
        "narrow-read-as-wide": Normal(-0.8, 0.4),
        "missing-ink": Normal(0.3, 0.9),
        "managed-twice": Normal(0.3, 0.6),
        "unmanaged": Normal(-0.3, 0.5),
        "too-much-ink": Normal(-0.4, 0.5),
        "unknown": Normal(0.0, 0.8),
    },
    "eye_black_beside": {
        "else": Normal(0.0, 0.25),
        "bare": Normal(1.7, 0.5),
        "too-little-ink": Normal(1.2, 0.8),
        "missing-ink": Normal(0.5, 0.8),
        "unknown": Normal(0.3, 0.8),
    },
    "eye_middle_beside": {
        "else": Normal(0.0, 0.25),
        "bare": Normal(0.2, 0.6),
        "too-little-ink": Normal(-0.7, 0.5),
        "too-much-ink": Normal(0.7, 0.5),
        "managed-twice": Normal(-0.9, 0.4),
        "unmanaged": Normal(0.9, 0.4),
        "missing-ink": Normal(-0.5, 0.6),
        "unknown": Normal(0.0, 0.7),
    },
    # The two spaces of the sheets differ in green: taken one for the other, light greens fade or glow, and reds stay.
    "eye_light_greens_beside": {
        "else": Normal(0.0, 0.3),
        "bare": Normal(0.9, 0.8),
        "too-little-ink": Normal(1.2, 0.8),
        "wide-read-as-narrow": Normal(1.8, 0.5),
        "narrow-read-as-wide": Normal(-1.0, 0.4),
        "managed-twice": Normal(0.6, 0.9),
        "unmanaged": Normal(-0.4, 0.8),
        "missing-ink": Normal(0.5, 1.2),
        "unknown": Normal(0.0, 1.2),
    },
    # Soft cyans and reds, which every card holds (``reading.soft_colours``); after what invented people say of some 240
    # prints of those that the weights are taught on, rounded and widened.
    "eye_soft_cyans_beside": {
        "else": Normal(0.1, 0.65),
        "bare": Normal(0.6, 0.9),
        "too-little-ink": Normal(1.4, 0.7),
        "too-much-ink": Normal(-0.6, 0.7),
        "wide-read-as-narrow": Normal(1.5, 0.5),
        "narrow-read-as-wide": Normal(-1.6, 0.7),
        "managed-twice": Normal(-1.3, 0.9),
        "unmanaged": Normal(1.4, 0.7),
        "missing-ink": Normal(-0.5, 1.5),
        "unknown": Normal(-0.2, 1.4),
    },
    "eye_soft_reds_beside": {
        "else": Normal(0.1, 0.65),
        "bare": Normal(0.6, 0.9),
        "too-little-ink": Normal(1.3, 0.7),
        "too-much-ink": Normal(-0.8, 0.7),
        "wide-read-as-narrow": Normal(0.9, 0.7),
        "narrow-read-as-wide": Normal(-1.1, 0.7),
        "managed-twice": Normal(-0.7, 1.0),
        "unmanaged": Normal(0.4, 1.2),
        "missing-ink": Normal(0.2, 1.5),
        "unknown": Normal(0.0, 1.4),
    },
    # Which way the hues of soft colours have turned, + anticlockwise; after some 50 000 forms of the same people.
    "eye_soft_purples_hue": {
        "else": Normal(0.0, 0.6),
        "bare": Normal(0.0, 0.7),
        "too-much-ink": Normal(-0.3, 0.7),
        "wide-read-as-narrow": Normal(-0.3, 0.7),
        "narrow-read-as-wide": Normal(0.3, 0.7),
        "managed-twice": Normal(-0.6, 0.8),
        "unmanaged": Normal(0.6, 0.8),
        "missing-ink": Normal(-0.1, 0.95),
        "unknown": Normal(0.0, 0.95),
    },
    "eye_soft_blues_hue": {
        "else": Normal(0.0, 0.6),
        "bare": Normal(0.0, 0.7),
        "managed-twice": Normal(-0.1, 0.9),
        "unmanaged": Normal(0.3, 0.9),
        "missing-ink": Normal(0.0, 0.9),
        "unknown": Normal(0.0, 0.95),
    },
    "eye_soft_reds_hue": {
        "else": Normal(0.0, 0.55),
        "managed-twice": Normal(-0.4, 0.8),
        "unmanaged": Normal(0.5, 0.8),
        "missing-ink": Normal(0.0, 0.85),
        "unknown": Normal(0.0, 0.95),
    },
    "eye_soft_cyans_screen": {
        "else": Normal(0.3, 0.9),
        "bare": Normal(0.8, 1.0),
        "too-little-ink": Normal(1.6, 0.7),
        "too-much-ink": Normal(-0.3, 1.0),
        "wide-read-as-narrow": Normal(1.7, 0.5),
        "narrow-read-as-wide": Normal(-1.1, 0.9),
        "managed-twice": Normal(-0.8, 1.2),
        "unmanaged": Normal(1.5, 0.8),
        "missing-ink": Normal(0.0, 1.5),
        "unknown": Normal(0.0, 1.4),
    },
    "eye_soft_reds_screen": {
        "else": Normal(0.3, 0.9),
        "bare": Normal(0.8, 1.0),
        "too-little-ink": Normal(1.4, 0.8),
        "too-much-ink": Normal(-0.3, 1.0),
        "wide-read-as-narrow": Normal(1.2, 0.8),
        "narrow-read-as-wide": Normal(-0.6, 1.0),
        "managed-twice": Normal(-0.4, 1.2),
        "unmanaged": Normal(0.8, 1.1),
        "missing-ink": Normal(0.4, 1.4),
        "unknown": Normal(0.2, 1.4),
    },
    "eye_hues_off": {
        "else": Normal(0.03, 0.3),
        "bare": Normal(0.1, 0.4),
        "missing-ink": Normal(2.0, 1.2),
        "unknown": Normal(2.5, 1.8),
    },
    # Each full colour has its own hue unless an ink is missing or something that nobody knows is wrong.
    "eye_hues_wrong": {
        "else": Yes(0.03),
        "bare": Yes(0.05),
        "missing-ink": Yes(0.6),
        "unknown": Yes(0.6),
    },
    # How strong a tint the greys have, and towards red (positive a*) or green.
    "tint": {
        "else": Normal(0.0, 0.35),
        "bare": Normal(0.4, 0.55),
        "managed-twice": Normal(1.7, 0.5),
        "unmanaged": Normal(1.7, 0.5),
        "missing-ink": Normal(1.6, 0.7),
        "too-little-ink": Normal(0.2, 0.4),
        "too-much-ink": Normal(0.4, 0.5),
        "unknown": Normal(0.5, 0.8),
    },
    "eye_tint_a": {
        "else": Normal(0.0, 0.4),
        "managed-twice": Normal(-1.2, 0.6),
        "unmanaged": Normal(1.3, 0.6),
        "missing-ink": Normal(0.0, 1.4),
        "unknown": Normal(0.0, 0.8),
    },
    "shadow_step": {
        "else": Normal(0.1, 0.05),
        "bare": Normal(0.16, 0.07),
        "unmanaged": Normal(0.16, 0.08),
        "too-much-ink": Normal(0.2, 0.07),
        "managed-twice": Normal(0.07, 0.05),
    },
    # Ink that spreads fills white type, in pt: common practice asks for two or three points more on uncoated paper.
    "text_legible_reversed": {
        "else": Normal(4.7, 1.3),
        "bare": Normal(6.5, 1.8),
        "too-much-ink": Normal(5.8, 1.6),
        "unknown": Normal(5.0, 1.6),
    },
    "eye_creep": {
        "else": Normal(0.04, 0.15),
        "bare": Normal(0.55, 0.4),
        "too-much-ink": Normal(0.4, 0.4),
        "unknown": Normal(0.2, 0.4),
    },
    "eye_light_lines": {"else": Normal(0.02, 0.12), "missing-ink": Normal(0.3, 0.5)},
    "missing": {"else": Normal(0.03, 0.15), "missing-ink": Normal(0.95, 0.2), "unknown": Normal(0.2, 0.4)},
    **MATCHES,
}
# The weights on answers were taught without this, so that the table alone speaks of it, this many times as loudly as
# of the rest (this project's own).
NOT_TAUGHT = ("text_legible_reversed",)
_LOUDER = 4.0
# A fault that nobody knows shows here, whatever else it leaves alone.
OFF_ANYHOW = ("eye_hues_off", "eye_hues_wrong", "missing")
# What the form itself states of an answer's spread.
USUAL_SD = {"eye_dull": 0.7, "eye_hues_wrong": 0.2, "tint": 0.3, "eye_tint_a": 0.5, "eye_creep": 0.3} | {
    "eye_light_lines": 0.2,
    "missing": 0.2,
    "eye_colour_beside": 0.4,
    "eye_black_beside": 0.4,
    "eye_middle_beside": 0.4,
    "eye_light_greens_beside": 0.4,
    "eye_soft_cyans_beside": 0.4,
    "eye_soft_reds_beside": 0.4,
    "eye_soft_purples_hue": 0.4,
    "eye_soft_blues_hue": 0.4,
    "eye_soft_reds_hue": 0.4,
    "eye_soft_cyans_screen": 0.7,
    "eye_soft_reds_screen": 0.7,
    # A step between two sizes of type.
    "text_legible_reversed": 1.0,
    "eye_hues_off": 0.3,
    **dict.fromkeys(MATCHES, 0.7),
}
# A damp finger drags on a coating (docs/sources.md, S51); 0.5 is "unsure".
DRAG = {True: Normal(0.92, 0.25), False: Normal(0.1, 0.25)}
DOUBLED = {False: Normal(0.03, 0.12), True: Normal(0.85, 0.3)}


@dataclass(frozen=True)
class AnswerEvidence:
    """Log likelihoods by fault of the path on coated and on bare card, of a fault nobody knows, and of traits.

    ``other_side_coated``: log odds that the other side is coated, from the damp finger.
    """

    coated: dict[Cause, float]
    bare: dict[Cause, float]
    unknown: float
    traits: Traits
    other_side_coated: float


def weigh_answers(reading: Reading) -> AnswerEvidence:
    """What the answers of a reading by eye say; questions left out say nothing."""
    answers = answers_of(reading)
    coated, bare = dict.fromkeys(PATHS, 0.0), dict.fromkeys(PATHS, 0.0)
    as_sound = anywhere = 0.0
    for question, expected in QUESTIONS.items():
        if question not in answers:
            continue
        value, sd = answers[question]
        # The spreads hold the observer's own error; only doubt beyond it, as by contradictions, comes on top.
        more = max(sd - USUAL_SD.get(question, sd), 0.0)
        loud = _LOUDER if question in NOT_TAUGHT else 1.0
        said = {cause: loud * one.log_density(value, more) for cause, one in expected.items()}
        for path in PATHS:
            coated[path] += said.get(path, said["else"])
            # On bare card a fault of the path shows less than the card, where the card has a say at all.
            bare[path] += said.get("bare", said.get(path, said["else"]))
        as_sound += said["unknown" if question in OFF_ANYHOW else "else"]
        anywhere += said.get("unknown", said["else"])
    drag = answers.get("eye_drag_this_side")
    if drag is not None:
        for table, is_coated in ((coated, True), (bare, False)):
            for path in PATHS:
                table[path] += DRAG[is_coated].log_density(*drag)
        as_sound += DRAG[True].log_density(*drag)
        anywhere += DRAG[True].log_density(*drag)
    doubled = answers.get("eye_doubled_vertical")
    return AnswerEvidence(
        coated,
        bare,
        float(np.logaddexp(as_sound, anywhere) - np.log(2.0)),
        Traits(
            {"coated": 0.0, "bare": 0.0, "flooded": 0.0},
            {key: one.log_density(*doubled) if doubled else 0.0 for key, one in DOUBLED.items()},
            weigh_scale(reading),
        ),
        drag_odds(answers.get("eye_drag_other_side")),
    )


def drag_odds(drag: tuple[float, float] | None) -> float:
    """Log odds that a side is coated, by what a damp finger found on it; 0 where nobody tried."""
    return 0.0 if drag is None else DRAG[True].log_density(*drag) - DRAG[False].log_density(*drag)


def answers_of(reading: Reading) -> dict[str, tuple[float, float]]:
    """Each question's answer and its standard deviation, on the question's own scale."""
    found = {name: (one.value, one.sd or 0.2) for name, one in reading.attributes.items()}
    if "eye_tint_a" in found and "eye_tint_b" in found:
        found["tint"] = float(np.hypot(found["eye_tint_a"][0], found["eye_tint_b"][0])), 0.3
    missing = [found[name] for name in (f"eye_missing_{ink}" for ink in "cmyk") if name in found]
    if missing:
        found["missing"] = max(missing)
    return found


def most_were_picked(reading: Reading) -> bool:
    """Whether more than half of what swatches tell was told."""
    return 2 * sum(name in reading.attributes for name in MATCHES) > len(MATCHES)
