"""What speaks for and against a cause, in figures: each beside what that cause would lead one to expect."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.messages.message import Message
from tackside.records.reading import Reading
from tackside.records.verdict import Cause, Evidence, Measure
from tackside.verdict.causes.diagnosis import Diagnosis
from tackside.verdict.causes.traits import DOUBLED, GAIN, SCALED, Normal, line_gain
from tackside.verdict.classifier.features import FIGURES, deviations, features, figures_of
from tackside.verdict.classifier.likelihoods import STATES, trained_weights
from tackside.verdict.explain.words import cause_as_noun
from tackside.verdict.measures.measure import number, spread

_LEAST_WEIGHT, _MOST, _LEAST_CHANCE = 0.25, 8, 0.1
# No single figure is said to weigh more than this many powers of ten.
_SAID = 12.0
BARE: tuple[Cause, ...] = ("stock", "side")


@dataclass(frozen=True)
class EvidenceFigure:
    """A figure of the print, with its value and standard uncertainty, and what each cause makes one expect.

    ``name``: as its messages have it, ``evidence.figure.NAME`` and ``evidence.NAME.for``.
    """

    name: str
    value: float
    sd: float
    expected: dict[Cause, Normal]
    otherwise: Normal

    def of(self, cause: Cause) -> Normal:
        return self.expected.get(cause, self.otherwise)


def evidence_in_figures(
    causes: dict[Cause, float],
    diagnosis: Diagnosis | None,
    reading: Reading,
    measures: dict[str, Measure],
) -> tuple[Evidence, ...]:
    """The weightiest figures for and against the likeliest causes."""
    figures = [*_lines(reading, measures)]
    if diagnosis is not None:
        figures += _of_colours(diagnosis)
    told = [
        cause for cause in sorted(causes, key=lambda one: -causes[one]) if causes[cause] >= _LEAST_CHANCE
    ][:3]
    found = [_weigh(figure, cause, causes) for cause in told if cause != "unknown" for figure in figures]
    weighty = [one for one in found if abs(one.weight) >= _LEAST_WEIGHT]
    return tuple(sorted(weighty, key=lambda one: -abs(one.weight))[:_MOST])


def alike(one: Cause, other: Cause) -> bool:
    """Whether one print cannot tell the two apart: bare card looks the same, whatever its other side is."""
    return one == other or (one in BARE and other in BARE)


def _weigh(figure: EvidenceFigure, cause: Cause, causes: dict[Cause, float]) -> Evidence:
    own = figure.of(cause)
    rest = {
        other: chance for other, chance in causes.items() if other != "unknown" and not alike(other, cause)
    }
    total = sum(rest.values())
    if total <= 0.0:
        rest, total = dict.fromkeys(rest, 1.0), float(len(rest))
    others = np.logaddexp.reduce(
        [
            np.log(chance / total) + figure.of(other).log_density(figure.value, figure.sd)
            for other, chance in rest.items()
            if chance > 0.0
        ]
    )
    weight = float(np.clip((own.log_density(figure.value, figure.sd) - others) / np.log(10), -_SAID, _SAID))
    speaks = "for" if weight > 0 else "against"
    return Evidence(
        cause=cause,
        figure=Message(f"evidence.figure.{figure.name}"),
        weight=weight,
        sentence=Message(
            f"evidence.{figure.name}.{speaks}",
            value=figure.value,
            cause=cause_as_noun(cause),
            expected=own.mean,
            sd=float(np.hypot(own.sd, figure.sd)),
        ),
    )


def _lines(reading: Reading, measures: dict[str, Measure]) -> list[EvidenceFigure]:
    found = []
    gain = line_gain(reading)
    if gain is not None:
        bare: dict[Cause, Normal] = dict.fromkeys(BARE, GAIN["bare"])
        found.append(
            EvidenceFigure("line-growth", *gain, {**bare, "too-much-ink": GAIN["flooded"]}, GAIN["coated"])
        )
    size = number(measures, "size_error")
    if size is not None:
        found.append(
            EvidenceFigure(
                "size-error",
                size,
                spread(measures, "size_error"),
                {"scaling": SCALED[True]},
                SCALED[False],
            )
        )
    doubling = reading.attributes.get("doubling_vertical")
    if doubling is not None:
        found.append(
            EvidenceFigure(
                "doubled-edges",
                doubling.value,
                doubling.sd or 10.0,
                {"alignment": DOUBLED[True]},
                DOUBLED[False],
            )
        )
    return found


def _of_colours(diagnosis: Diagnosis) -> list[EvidenceFigure]:
    """Black, the solids' chroma, the middle grey's lightness and tint, each beside what prints of the training with
    that fault were off on average: from the good print, else from what the file asks for."""
    weights = trained_weights()
    assert weights.expected is not None
    row = features(diagnosis.lab, diagnosis.beside, diagnosis.circumstances)
    off, against = (found[0] for found in deviations(row[None]))
    values = figures_of(diagnosis.lab)
    figures = []
    for place, name in enumerate(FIGURES):
        expected: dict[Cause, Normal] = {}
        for state, (mean, sd) in zip(STATES, weights.expected[against, :, place], strict=True):
            cause = state[0] if not state[1] else "stock" if state[0] == "none" else None
            if cause is not None and sd > 0:
                expected[cause] = Normal(float(values[place] - off[place] + mean), float(sd))
        if "none" not in expected:
            continue
        if "stock" in expected:
            expected["side"] = expected["stock"]
        figures.append(EvidenceFigure(name, float(values[place]), 0.3, expected, expected["none"]))
    return figures
