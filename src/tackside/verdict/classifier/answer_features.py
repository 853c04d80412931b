"""The features that the weights trained on answers by eye take: the answers of one form, and the circumstances, as a
row of figures.

Doubled lines, rulers and the other side are not among them: ``traits`` and the odds of the sides weigh those.
"""

from __future__ import annotations

import numpy as np

from tackside.records.reading import Reading
from tackside.verdict.classifier.features import Circumstances, facts
from tackside.verdict.measures.patch_table import Floats

# Which swatch looks like a patch, in steps lighter, stronger, and of the hue turned anticlockwise.
_MATCHES = (
    "eye_match_greys_l",
    *(f"eye_match_{hue}_{axis}" for hue in ("cyans", "reds", "greens", "purples") for axis in "lsh"),
)
# Attributes of a reading by eye, each worth two figures: its value, 0 where it was left out, and whether it was given.
ATTRIBUTES = (
    "eye_dull",
    "eye_colour_beside",
    "eye_black_beside",
    "eye_middle_beside",
    "eye_light_greens_beside",
    "eye_soft_cyans_beside",
    "eye_soft_reds_beside",
    "eye_soft_cyans_screen",
    "eye_soft_reds_screen",
    "eye_soft_purples_hue",
    "eye_soft_blues_hue",
    "eye_soft_reds_hue",
    "eye_hues_off",
    "eye_hues_wrong",
    "eye_tint_a",
    "eye_tint_b",
    "shadow_step",
    "eye_creep",
    "eye_light_lines",
    "eye_missing_c",
    "eye_missing_m",
    "eye_missing_y",
    "eye_missing_k",
    "eye_drag_this_side",
    *_MATCHES,
)


def answer_features(reading: Reading, of: Circumstances) -> Floats:
    """The row of figures, its first 2 · 37 all 0 where nothing was answered."""
    row = np.zeros((len(ATTRIBUTES), 2))
    for place, name in enumerate(ATTRIBUTES):
        one = reading.attributes.get(name)
        if one is not None:
            row[place] = one.value, 1.0
    return np.concatenate([row.ravel(), facts(of)])
