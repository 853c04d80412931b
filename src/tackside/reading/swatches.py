"""Swatches: a colour of the sheet as its file asks for it, and its neighbours, of which a person picks the one that
looks like the patch in the hand.

A word such as "duller" is worth little without a print to compare with. A pick among neighbours tells, in steps, how
light a colour is, how strong, and which way its hue has turned; and it needs no good print. The card's white is held
against the white around the swatches, so a colour is told relative to the card. A screen that shows all colours weaker,
or lighter, does so to every swatch alike, which whoever weighs the answers has to allow for.

Steps are even in CIELAB: ``LIGHTER`` in L*, ``STRONGER`` as a factor of chroma, ``TURNED`` as a hue angle, and large
enough that neighbours are told apart at a glance (this project's own choice).
"""

from __future__ import annotations

from typing import Literal, get_args

import numpy as np

from tackside.colour.spaces import RGB_SPACES, Floats, lab_to_lch, lab_to_rgb, lch_to_lab, rgb_to_lab
from tackside.reading.soft_colours import Hue, cube_patches
from tackside.records import Patch, SheetPlan

Matched = Literal["greys", "cyans", "reds", "greens", "purples"]
MATCHED: tuple[Matched, ...] = get_args(Matched)
# How many steps the swatches go either way.
STEPS = 3
LIGHTER, STRONGER, TURNED = 6.0, 1.25, 12.0
# What numbers a colour is looked for at: soft enough for any card, and for stronger swatches on any screen; strong
# enough to have a hue.
_MIDDLE, _APART = 0.5, 0.3
# How far beyond its own numbers a space is taken to hold a colour; nobody sees as much.
_NEARLY = 0.01


def matched_patch(plan: SheetPlan, what: Matched) -> Patch | None:
    """The patch of the sheet that is held beside the swatches: its middle grey, or the soft colour whose numbers lie
    nearest to 0.3 apart and most nearly in the middle.

    None where the sheet has none, where nobody knows its space (a sheet of device numbers asks for no colour), or where
    a screen can't show any such colour.
    """
    if plan.space is None:
        return None
    if what == "greys":
        greys = [patch for patch in plan.patches if "grey" in patch.roles and np.ptp(patch.rgb) < 1e-6]
        return min(greys, key=lambda patch: abs(patch.rgb[0] - _MIDDLE), default=None)
    hue: Hue = what
    shown = [patch for patch in cube_patches(plan, hue) if is_shown(asked_for(plan, patch))]
    return min(
        shown,
        key=lambda patch: (round(abs(np.ptp(patch.rgb) - _APART), 2), abs(np.mean(patch.rgb) - _MIDDLE)),
        default=None,
    )


def swatch(asked: Floats, lighter: int = 0, stronger: int = 0, turned: int = 0) -> Floats:
    """The swatch so many steps from the colour that the file asks for, CIELAB (3,) both, relative to white.

    ``turned``: anticlockwise in CIELAB's hue angle.
    """
    lightness, chroma, hue = lab_to_lch(np.asarray(asked, dtype=float))
    return np.asarray(
        lch_to_lab(
            [
                np.clip(lightness + lighter * LIGHTER, 0.0, 100.0),
                chroma * STRONGER**stronger,
                hue + turned * TURNED,
            ]
        )
    )


def is_shown(lab: Floats) -> bool:
    """Whether any screen shows this colour, CIELAB (3,): whether sRGB (IEC 61966-2-1) holds it."""
    rgb = lab_to_rgb(lab, RGB_SPACES["srgb"])
    return bool(rgb.min() >= -_NEARLY and rgb.max() <= 1.0 + _NEARLY)


def asked_for(plan: SheetPlan, patch: Patch) -> Floats:
    """The colour that the file asks for, CIELAB (3,). Raises ValueError for a sheet of device numbers."""
    if plan.space is None:
        raise ValueError("device numbers ask for no colour")
    return np.asarray(rgb_to_lab(np.array(patch.rgb), RGB_SPACES[plan.space]))
