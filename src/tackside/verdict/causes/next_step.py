"""Which next print would tell most: expected information gain over the causes, and its cost in sheets.

For a step with outcomes o, gain = H(p) − Σ P(o) H(p | o) bits (Lindley's expected information; docs/sources.md,
S98). How often each cause leads to which outcome is this project's own estimate, after the table from symptom to
cause (docs/sources.md, S50).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from tackside.messages.message import Message
from tackside.records.verdict import Cause, NextStep

# Steps that gain less are not worth a sheet.
LEAST_GAIN_BITS = 0.05
# Bits that a sheet of card is taken to be worth, where two steps tell about as much.
SHEET_BITS = 0.02


@dataclass(frozen=True)
class NextPrint:
    """``chances``: for each cause, how often each outcome follows; ``otherwise`` for causes not named.

    What it says stands under ``step.ID``, with its cost in words: ``sheets`` of card, a quarter for a plain sheet.
    """

    id: str
    sheets: float
    chances: dict[Cause, tuple[float, ...]]
    otherwise: tuple[float, ...]


# Outcomes: (much better, about the same) unless a step says otherwise.
STEPS: tuple[NextPrint, ...] = (
    NextPrint(
        "other-side",
        1.0,
        # much better, the same, much worse
        {"side": (0.96, 0.03, 0.01), "stock": (0.03, 0.94, 0.03), "none": (0.02, 0.38, 0.6)},
        (0.04, 0.48, 0.48),
    ),
    NextPrint(
        "known-card",
        1.0,
        {"stock": (0.95, 0.05), "side": (0.95, 0.05), "none": (0.1, 0.9), "too-much-ink": (0.5, 0.5)},
        (0.06, 0.94),
    ),
    NextPrint(
        "device-sheet",
        1.0,
        {
            "managed-twice": (0.95, 0.05),
            "unmanaged": (0.6, 0.4),
            "wide-read-as-narrow": (0.95, 0.05),
            "narrow-read-as-wide": (0.95, 0.05),
            "none": (0.9, 0.1),
            "unknown": (0.4, 0.6),
        },
        (0.05, 0.95),
    ),
    NextPrint(
        "media-setting",
        1.0,
        {"too-little-ink": (0.92, 0.08), "too-much-ink": (0.92, 0.08), "unknown": (0.25, 0.75)},
        (0.05, 0.95),
    ),
    NextPrint(
        "nozzle-check",
        0.25,
        # gaps or a missing ink, none
        {"missing-ink": (0.95, 0.05), "unknown": (0.15, 0.85)},
        (0.03, 0.97),
    ),
    NextPrint(
        "head-alignment",
        0.25,
        {"alignment": (0.95, 0.05), "unknown": (0.1, 0.9)},
        (0.04, 0.96),
    ),
    NextPrint(
        "measure-ruler",
        0.0,
        {"scaling": (0.97, 0.03), "unknown": (0.05, 0.95)},
        (0.02, 0.98),
    ),
    NextPrint(
        "rescan",
        0.0,
        # the fault is gone, it stays
        {"none": (0.5, 0.5), "unknown": (0.35, 0.65)},
        (0.04, 0.96),
    ),
)


def next_steps(causes: dict[Cause, float], *, done: frozenset[str] = frozenset()) -> tuple[NextStep, ...]:
    """Steps worth taking, the most informative for its cost first; those already ``done`` are left out."""
    found = []
    for step in STEPS:
        gain = expected_gain(causes, step)
        if step.id in done or gain < LEAST_GAIN_BITS:
            continue
        found.append(
            NextStep(
                step=step.id,
                gain_bits=gain,
                sheets=step.sheets,
                sentence=Message(f"step.{step.id}", gain_bits=gain),
            )
        )
    return tuple(sorted(found, key=lambda one: -(one.gain_bits - SHEET_BITS * one.sheets)))


def expected_gain(causes: dict[Cause, float], step: NextPrint) -> float:
    """Bits by which the step is expected to narrow the causes; never negative."""
    prior = np.array(list(causes.values()))
    chances = np.array([step.chances.get(cause, step.otherwise) for cause in causes])
    joint = prior[:, None] * chances
    outcomes = joint.sum(axis=0)
    after = joint / np.maximum(outcomes, 1e-300)
    return max(float(_bits(prior) - outcomes @ np.array([_bits(column) for column in after.T])), 0.0)


def _bits(probabilities: np.ndarray[tuple[int], np.dtype[np.float64]]) -> float:
    some = probabilities[probabilities > 0]
    return float(-(some * np.log2(some)).sum())
