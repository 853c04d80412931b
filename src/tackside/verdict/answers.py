"""What answers by eye say of the causes: for each question, what an observer tends to answer under each fault.

Means and spreads on each question's own scale; all are this project's own estimates, after the trade's table from
symptom to cause. They are wide, since an eye without a print beside it remembers badly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.bench.records.reading import Reading
from tackside.bench.records.verdict import Cause
from tackside.verdict.traits import Normal, Traits, weigh_scale

Expected = dict[Cause | str, Normal]

# "bare" stands for a card, or a side, with no coating, whatever else is wrong; "else" for every fault not named.
QUESTIONS: dict[str, Expected] = {
    "eye_dull": {
        "else": Normal(0.0, 0.2),
        "bare": Normal(1.4, 0.5),
        "too-little-ink": Normal(1.2, 0.5),
        "wide-read-as-narrow": Normal(1.0, 0.3),
        "narrow-read-as-wide": Normal(-1.0, 0.3),
        "missing-ink": Normal(0.8, 0.7),
        "managed-twice": Normal(0.7, 0.6),
        "unmanaged": Normal(-0.2, 0.6),
        "too-much-ink": Normal(-0.3, 0.5),
    },
    "eye_colour_beside": {
        "else": Normal(0.0, 0.1),
        "bare": Normal(1.5, 0.4),
        "too-little-ink": Normal(1.2, 0.5),
        "wide-read-as-narrow": Normal(1.0, 0.2),
        "narrow-read-as-wide": Normal(-1.0, 0.2),
        "missing-ink": Normal(1.0, 0.7),
        "managed-twice": Normal(0.8, 0.5),
        "unmanaged": Normal(-0.4, 0.6),
        "too-much-ink": Normal(-0.4, 0.5),
    },
    "eye_black_beside": {
        "else": Normal(0.0, 0.15),
        "bare": Normal(1.7, 0.4),
        "too-little-ink": Normal(0.9, 0.7),
        "missing-ink": Normal(0.5, 0.8),
    },
    # How strong a tint the greys have, and towards red (positive a*) or green.
    "tint": {
        "else": Normal(0.0, 0.2),
        "bare": Normal(0.35, 0.5),
        "managed-twice": Normal(1.5, 0.5),
        "unmanaged": Normal(1.5, 0.5),
        "missing-ink": Normal(1.7, 0.6),
        "too-little-ink": Normal(0.3, 0.4),
        "too-much-ink": Normal(0.5, 0.5),
    },
    "eye_tint_a": {
        "else": Normal(0.0, 0.3),
        "managed-twice": Normal(-1.0, 0.5),
        "unmanaged": Normal(1.0, 0.5),
        "missing-ink": Normal(0.0, 1.3),
    },
    "shadow_step": {
        "else": Normal(0.07, 0.04),
        "bare": Normal(0.12, 0.08),
        "unmanaged": Normal(0.2, 0.08),
        "too-much-ink": Normal(0.2, 0.08),
        "managed-twice": Normal(0.06, 0.05),
    },
    "eye_creep": {"else": Normal(0.05, 0.1), "bare": Normal(0.75, 0.25), "too-much-ink": Normal(0.5, 0.25)},
    "eye_light_lines": {"else": Normal(0.02, 0.1), "missing-ink": Normal(0.3, 0.5)},
    "missing": {"else": Normal(0.02, 0.1), "missing-ink": Normal(0.95, 0.15)},
}
# A damp finger drags on a coating (TRADE); 0.5 is "unsure".
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


PATHS: tuple[Cause, ...] = (
    "none",
    "too-little-ink",
    "too-much-ink",
    "managed-twice",
    "unmanaged",
    "wide-read-as-narrow",
    "narrow-read-as-wide",
    "missing-ink",
)


def weigh_answers(reading: Reading) -> AnswerEvidence:
    """What the answers of a reading by eye say; questions left out say nothing."""
    answers = _answers(reading)
    coated, bare = dict.fromkeys(PATHS, 0.0), dict.fromkeys(PATHS, 0.0)
    unknown = 0.0
    for question, expected in QUESTIONS.items():
        if question not in answers:
            continue
        value, sd = answers[question]
        said = {cause: one.log_density(value, sd) for cause, one in expected.items()}
        for path in PATHS:
            coated[path] += said.get(path, said["else"])
            # On bare card a fault of the path shows less than the card, where the card has a say at all.
            bare[path] += said.get("bare", said.get(path, said["else"]))
        unknown += float(np.mean(list(said.values()))) - 0.5
    drag = answers.get("eye_drag_this_side")
    if drag is not None:
        for table, is_coated in ((coated, True), (bare, False)):
            for path in PATHS:
                table[path] += DRAG[is_coated].log_density(*drag)
        unknown += DRAG[True].log_density(*drag)
    doubled = answers.get("eye_doubled_vertical")
    return AnswerEvidence(
        coated,
        bare,
        unknown,
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


def _answers(reading: Reading) -> dict[str, tuple[float, float]]:
    found = {name: (one.value, one.sd or 0.2) for name, one in reading.attributes.items()}
    if "eye_tint_a" in found and "eye_tint_b" in found:
        found["tint"] = float(np.hypot(found["eye_tint_a"][0], found["eye_tint_b"][0])), 0.3
    missing = [found[name] for name in (f"eye_missing_{ink}" for ink in "cmyk") if name in found]
    if missing:
        found["missing"] = max(missing)
    return found
