"""The plots of some trials with their legend, from readings to drawings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from markupsafe import Markup

from tackside.colour.spaces import RGB_SPACES, Floats, rgb_to_lab
from tackside.messages.wording import TERMINAL, Wording
from tackside.report.patches import to_screen
from tackside.report.plots.hue_plane import Reach, hue_plane
from tackside.report.plots.series import key
from tackside.report.plots.tone_curve import Tone, tone_curve
from tackside.report.ranking import Ranked

SOLIDS: dict[str, tuple[float, float, float]] = {
    "C": (0, 1, 1),
    "M": (1, 0, 1),
    "Y": (1, 1, 0),
    "R": (1, 0, 0),
    "G": (0, 1, 0),
    "B": (0, 0, 1),
}


@dataclass(frozen=True)
class LegendKey:
    drawing: Markup
    label: str


@dataclass(frozen=True)
class PlotsView:
    """The plots of as many trials as have a look of their own."""

    legend: tuple[LegendKey, ...]
    hue_plane: Markup | None
    tone_curve: Markup | None
    has_aim: bool


def plots_view(ranked: Sequence[Ranked], wording: Wording = TERMINAL) -> PlotsView:
    """The plots of up to ``STYLES`` trials that may be compared, their axes in the reader's words."""
    reaches = [_reach(one) for one in ranked]
    tones = [tone for tone in map(_tone, ranked) if tone is not None]
    aim_ab, aim_tone = _aims(ranked[0])
    return PlotsView(
        legend=tuple(LegendKey(Markup(key(n)), one.label) for n, one in enumerate(ranked)),
        hue_plane=Markup(hue_plane(reaches, aim_ab, wording))
        if any(len(reach.ab) for reach in reaches)
        else None,
        tone_curve=Markup(tone_curve(tones, aim_tone, wording)) if len(tones) == len(ranked) else None,
        has_aim=aim_ab is not None,
    )


def _reach(ranked: Ranked) -> Reach:
    read = [patch for patch in ranked.entry.reading.patches if patch.rgb is not None]
    device = np.array([patch.rgb for patch in read], dtype=np.float64).reshape(-1, 3)
    solids: dict[str, tuple[float, float, str]] = {}
    for letter, rgb in SOLIDS.items():
        found = np.flatnonzero(np.all(np.abs(device - rgb) <= 1e-3, axis=1))
        if len(found):
            mean = np.mean([read[place].lab for place in found], axis=0)
            solids[letter] = (float(mean[1]), float(mean[2]), to_screen(mean[None])[0][0])
    return Reach(ranked.label, np.array([patch.lab[1:] for patch in read]).reshape(-1, 2), solids)


def _tone(ranked: Ranked) -> Tone | None:
    greys = [
        (patch.rgb[0], patch.lab[0])
        for patch in ranked.entry.reading.patches
        if patch.rgb is not None and max(patch.rgb) - min(patch.rgb) < 1e-3
    ]
    if len(greys) < 3:
        return None
    values = np.array(greys)
    return Tone(ranked.label, values[:, 0], values[:, 1])


def _aims(ranked: Ranked) -> tuple[Floats | None, Tone | None]:
    """What the trial's file asks for: a*b* of the solids, and the greys' L*; None for bare numbers."""
    space = ranked.entry.trial.sheet.space
    if space is None:
        return None, None
    lab = rgb_to_lab(np.array(list(SOLIDS.values()), dtype=np.float64), RGB_SPACES[space])
    steps = np.linspace(0, 1, 51)
    greys = rgb_to_lab(np.repeat(steps[:, None], 3, axis=1), RGB_SPACES[space])
    return lab[:, 1:], Tone("the file", steps, greys[:, 0])
