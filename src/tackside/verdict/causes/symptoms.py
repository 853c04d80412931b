"""What the causes of a poor print look like, as data: how common each is, and how often it shows which symptom.

The chances are **this project's own estimates**, written down so that they can be argued with; they come from
no survey. Where a rule looks at the same measure, a symptom begins where that rule no longer allows ``sell``.
What speaks for which cause follows the table from symptom to cause (docs/sources.md, S50).
"""

from __future__ import annotations

from dataclasses import dataclass

from tackside.records.verdict import Cause, Grade
from tackside.verdict.grade.rules import BLACK, GAMUT, GREYS, SHADOWS, TRUE_SIZE

# How common each cause is before anything is known (this project's own estimates).
PRIORS: dict[Cause, float] = {
    "none": 0.422,
    "stock": 0.16,
    "side": 0.10,
    "too-little-ink": 0.08,
    "too-much-ink": 0.03,
    "managed-twice": 0.04,
    "unmanaged": 0.04,
    "wide-read-as-narrow": 0.03,
    "narrow-read-as-wide": 0.02,
    "missing-ink": 0.03,
    "alignment": 0.012,
    "scaling": 0.006,
    "unknown": 0.03,
}

# What the path from file to print may do to colours, nothing wrong included; the card and the head are apart.
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

# How often a print that nothing is wrong with gets each grade, beside how often one with a fault does.
SOUND: dict[Grade, float] = {"sell": 1.0, "send": 0.15, "draft": 0.05, "reject": 0.02}


@dataclass(frozen=True)
class Symptom:
    """A measure above ``limit`` (or ``below`` it), softened by ``blur`` and by the measure's own uncertainty.

    ``chances``: P(symptom | cause); causes not named have ``otherwise``. ``size``: the sign does not matter.
    """

    id: str
    measure: str
    limit: float
    blur: float
    chances: dict[Cause, float]
    below: bool = False
    size: bool = False
    path_only: bool = False
    otherwise: float = 0.05


_UNKNOWN: dict[Cause, float] = {"unknown": 0.4}
SYMPTOMS: tuple[Symptom, ...] = (
    Symptom(
        "weak black",
        "black_l",
        limit=BLACK.limits[0],
        blur=1.5,
        chances={
            **_UNKNOWN,
            "none": 0.01,
            "stock": 0.95,
            "side": 0.95,
            "too-little-ink": 0.75,
            "unmanaged": 0.2,
        },
    ),
    Symptom(
        "narrow gamut",
        "gamut_corners",
        limit=GAMUT.limits[0],
        blur=30e3,
        below=True,
        chances={
            **_UNKNOWN,
            "none": 0.02,
            "stock": 0.9,
            "side": 0.9,
            "too-little-ink": 0.7,
            "unmanaged": 0.3,
            "managed-twice": 0.3,
            "wide-read-as-narrow": 0.8,
            "missing-ink": 0.7,
        },
    ),
    Symptom(
        "a hue is missing",
        "solid_balance",
        limit=0.35,
        blur=0.07,
        below=True,
        chances={
            **_UNKNOWN,
            "none": 0.005,
            "stock": 0.1,
            "side": 0.15,
            "too-little-ink": 0.1,
            "missing-ink": 0.9,
        },
    ),
    Symptom(
        "cast in the greys",
        "grey_balance_mean",
        limit=GREYS.limits[0],
        blur=0.75,
        path_only=True,
        chances={
            **_UNKNOWN,
            "none": 0.01,
            "stock": 0.2,
            "side": 0.25,
            "too-little-ink": 0.15,
            "too-much-ink": 0.15,
            "managed-twice": 0.85,
            "unmanaged": 0.6,
            "missing-ink": 0.7,
        },
    ),
    Symptom(
        "closed shadows",
        "shadow_opens_at",
        limit=SHADOWS.limits[0],
        blur=0.02,
        path_only=True,
        chances={
            **_UNKNOWN,
            "none": 0.01,
            "stock": 0.25,
            "side": 0.25,
            "too-much-ink": 0.85,
            "managed-twice": 0.3,
            "unmanaged": 0.3,
        },
    ),
    Symptom(
        "grown lines",
        "line_gain",
        limit=45.0,
        blur=10.0,
        chances={**_UNKNOWN, "none": 0.05, "stock": 0.75, "side": 0.75, "too-much-ink": 0.6},
    ),
    Symptom(
        "wrong size",
        "size_error",
        limit=TRUE_SIZE.limits[0],
        blur=0.1,
        size=True,
        chances={**_UNKNOWN, "scaling": 0.97, "none": 0.01},
    ),
)
