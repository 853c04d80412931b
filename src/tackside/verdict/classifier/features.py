"""The features that the trained weights take: the colours of one print, and of the good print beside it, as a row of
figures.

Lines, mottle and lengths are not among them: given card and fault they go their own way, and ``traits`` weighs them.

Colours are taken at the same numbers on every sheet, whatever its patches: from the patch itself where there is one,
else carried between its patches by its tone response.
"""

from __future__ import annotations

import numpy as np

from tackside.verdict.measures.patch_table import Floats, PatchTable
from tackside.verdict.model.cards import Known
from tackside.verdict.model.tone_response import from_table

_GREYS = (0.0, 0.04, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)
_HUES = ((0, 1, 1), (1, 0, 1), (1, 1, 0), (1, 0, 0), (0, 1, 0), (0, 0, 1))
_MIXED = (
    (0.5, 0.5, 0.17),
    (0.17, 0.5, 0.5),
    (0.5, 0.17, 0.5),
    (0.83, 0.5, 0.5),
    (0.5, 0.83, 0.5),
    (0.5, 0.5, 0.83),
)
# Numbers at which a print is sampled: greys, each hue's solid, middle and light tint, and the middle of the cube.
SAMPLED_AT = np.array(
    [(g, g, g) for g in _GREYS]
    + [tuple(1 - t * (1 - c) for c in hue) for hue in _HUES for t in (1.0, 0.5, 0.25)]
    + list(_MIXED),
    dtype=float,
)
SAMPLED_AT.flags.writeable = False
BASES = ("photo", "matt", "cotton", "plain")
# A patch within this of the number serves for it as it stands.
_AT = 0.012


def sampled_lab(table: PatchTable) -> Floats | None:
    """CIELAB (36, 3) of a print at SAMPLED_AT; None where it lacks numbers, paper, black or one of the six solids."""
    if table.rgb is None or len(table.solids) < 6:
        return None
    off = np.abs(table.rgb[None] - SAMPLED_AT[:, None]).max(axis=-1)
    lab, missing = table.lab[off.argmin(axis=1)], off.min(axis=1) > _AT
    if missing.any():
        response = from_table(table)
        if response is None:
            return None
        lab[missing] = response.lab(SAMPLED_AT[missing])
    return np.asarray(lab)


def features(
    lab: Floats,
    beside: Floats | None,
    *,
    known: Known,
    base: str | None,
    space: str,
    colorimetric: bool,
    de00: float,
) -> Floats:
    """The row of figures: the print's colours (36, 3), how far each lies from the good print's, and what is known."""
    apart = np.zeros_like(lab) if beside is None else lab - beside
    facts = [
        known == "same-card",
        known == "other-card",
        known == "typical",
        *(base == name for name in BASES),
        space == "srgb",
        colorimetric,
        np.log(max(de00, 0.2)),
    ]
    return np.concatenate([lab.ravel(), apart.ravel(), np.array(facts, dtype=float)])
