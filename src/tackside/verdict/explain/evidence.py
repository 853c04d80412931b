"""What speaks for and against a cause, in figures: each beside what that cause would lead one to expect."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from tackside.messages.message import Message
from tackside.records.reading import Reading
from tackside.records.verdict import Cause, Evidence, Measure
from tackside.verdict.causes.diagnosis import Diagnosis
from tackside.verdict.causes.posterior import PATCH_WEIGHT
from tackside.verdict.causes.traits import DOUBLED, GAIN, SCALED, Normal, line_gain
from tackside.verdict.explain.words import cause_as_noun
from tackside.verdict.measures.all import number, spread
from tackside.verdict.measures.patch_table import Floats, PatchTable
from tackside.verdict.model.patch_likelihoods import PatchEvidence

_LEAST_WEIGHT, _MOST, _LEAST_CHANCE = 0.25, 8, 0.1
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
    table: PatchTable | None,
    reading: Reading,
    measures: dict[str, Measure],
) -> tuple[Evidence, ...]:
    """The weightiest figures for and against the likeliest causes."""
    figures = [*_lines(reading, measures)]
    if diagnosis is not None and table is not None:
        figures += _patches(diagnosis, table)
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
    total = sum(rest.values()) or 1.0
    beside = sum(
        chance / total * np.exp(figure.of(other).log_density(figure.value, figure.sd))
        for other, chance in rest.items()
    )
    weight = (own.log_density(figure.value, figure.sd) - np.log(max(beside, 1e-12))) / np.log(10)
    speaks = "for" if weight > 0 else "against"
    return Evidence(
        cause=cause,
        figure=Message(f"evidence.figure.{figure.name}"),
        weight=float(weight),
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


def _patches(diagnosis: Diagnosis, table: PatchTable) -> list[EvidenceFigure]:
    """Black, solids' chroma, and the middle grey's lightness and tint."""
    rows = list(diagnosis.rows)
    assert table.rgb is not None
    rgb = table.rgb[rows]
    greys = np.flatnonzero(np.ptp(rgb, axis=1) < 1e-6)
    black = int(greys[np.argmin(rgb[greys, 0])])
    middle = int(greys[np.argmin(np.abs(rgb[greys, 0] - 0.5))])
    solids = [rows.index(row) for row in table.solids.values() if row in rows]
    readers: list[tuple[str, Callable[[Floats], float]]] = [
        ("black", lambda lab: float(lab[black, 0])),
        ("middle-grey-lightness", lambda lab: float(lab[middle, 0])),
        ("middle-grey-a", lambda lab: float(lab[middle, 1])),
        ("middle-grey-b", lambda lab: float(lab[middle, 2])),
    ]
    axes = [(black, 0), (middle, 0), (middle, 1), (middle, 2)]
    if solids:
        readers.append(("solids-chroma", lambda lab: float(np.hypot(lab[solids, 1], lab[solids, 2]).mean())))
        axes.append((solids[0], 1))
    figures = []
    for (name, read), (patch, axis) in zip(readers, axes, strict=True):
        expected = _expected(diagnosis, read, 3 * patch + axis)
        figures.append(EvidenceFigure(name, read(table.lab[rows]), 0.3, expected, expected["none"]))
    return figures


def _expected(diagnosis: Diagnosis, read: Callable[[Floats], float], at: int) -> dict[Cause, Normal]:
    weight = PATCH_WEIGHT[diagnosis.known]
    found = {
        cause: _of(weight, diagnosis.coated, cause, read, at)
        for cause in dict.fromkeys(diagnosis.coated.causes)
    }
    for cause in BARE:
        found[cause] = _of(weight, diagnosis.bare, "none", read, at)
    return found


def _of(
    weight: float, evidence: PatchEvidence, cause: Cause, read: Callable[[Floats], float], at: int
) -> Normal:
    """What the variants of a cause lead one to expect, each by how well it explains the whole reading."""
    own = np.array([i for i, one in enumerate(evidence.causes) if one == cause])
    logs = weight * evidence.log_likelihood[own] + evidence.log_shares[own]
    weights = np.exp(logs - logs.max())
    weights /= weights.sum()
    values = np.array([read(mean.reshape(-1, 3)) for mean in evidence.mean[own]])
    mean = float(weights @ values)
    variance = weights @ (evidence.sd[own, at] ** 2 + (values - mean) ** 2)
    return Normal(mean, float(np.sqrt(variance)))
