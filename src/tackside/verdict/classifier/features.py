"""The features that the trained weights take: the colours of one print, what its file asked for, and the good print
beside it, as a row of figures.

Lines, mottle and lengths are not among them: given card and fault they go their own way, and ``traits`` weighs them.

Colours are taken at the same numbers on every sheet, whatever its patches: from the patch itself where there is one,
else carried between its patches by its tone response.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np

from tackside.colour.rgb_spaces import RGB_SPACES, rgb_to_xyz_d50, xyz_d50_to_rgb
from tackside.colour.spaces import lab_to_xyz, xyz_to_lab
from tackside.records.sheet_plan import Space
from tackside.verdict.classifier.tone_response import from_table
from tackside.verdict.measures.patch_table import Floats, PatchTable

# What stands beside a print: a good print of this very card and side, of another card on this printer, what a profile
# predicts, or nothing.
Known = Literal["same-card", "other-card", "predicted", "typical"]

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
BLACK_ROW, PAPER_ROW = 0, len(_GREYS) - 1
KNOWN: tuple[Known, ...] = ("same-card", "other-card", "predicted", "typical")
BASES = ("photo", "matt", "cotton", "plain")
INTENTS = ("perceptual", "relative", "saturation", "absolute")
# A patch within this of the number serves for it as it stands.
_AT = 0.012
_WHITE = lab_to_xyz(np.array([100.0, 0.0, 0.0]))


@dataclass(frozen=True)
class Circumstances:
    """What is known of a print besides its colours. ``space``: of the sheet's numbers, None for bare device numbers;
    ``intent`` and ``compensated`` as noted, None where nothing was noted; ``de00``: the reading's uncertainty; ``cut``:
    whether the scan's file had no numbers for some of the colours."""

    known: Known
    space: Space | None
    base: str | None
    intent: str | None
    compensated: bool | None
    colorimetric: bool
    de00: float
    cut: bool = False


def sampled_lab(table: PatchTable, at: Floats = SAMPLED_AT) -> Floats | None:
    """CIELAB (36, 3) of a print at the numbers ``at``; None where it lacks numbers, paper, black or one of the six
    solids."""
    if table.rgb is None or len(table.solids) < 6:
        return None
    off = np.abs(table.rgb[None] - at[:, None]).max(axis=-1)
    lab, missing = table.lab[off.argmin(axis=1)], off.min(axis=1) > _AT
    if missing.any():
        response = from_table(table)
        if response is None:
            return None
        lab[missing] = response.lab(at[missing])
    return np.asarray(lab)


@lru_cache(maxsize=4)
def numbers_in(space: Space, of: Space) -> Floats:
    """The numbers (36, 3) of ``space`` that ask for the colours which SAMPLED_AT asks for in the space ``of``, the
    nearest that it has by cutting off, so that good prints of sheets in either space can be laid side by side."""
    if space == of:
        return SAMPLED_AT
    numbers = np.clip(xyz_d50_to_rgb(_asked(of), RGB_SPACES[space]), 0.0, 1.0)
    numbers.flags.writeable = False
    return numbers


def features(lab: Floats, beside: Floats | None, of: Circumstances) -> Floats:
    """The row of figures: the print's colours (36, 3) beside its own paper, how far each lies from what the file asks
    for, and from the good print's, paper and black as they stand, and the circumstances."""
    own = beside_paper(lab)
    missed = own - aimed_at(own, of.space) if of.space is not None else np.zeros_like(own)
    apart, ends_apart = np.zeros_like(own), np.zeros((2, 3))
    if beside is not None:
        apart = own - beside_paper(beside)
        ends_apart = (lab - beside)[[BLACK_ROW, PAPER_ROW]]
    return np.concatenate(
        [
            own.ravel(),
            missed.ravel(),
            apart.ravel(),
            lab[[BLACK_ROW, PAPER_ROW]].ravel(),
            ends_apart.ravel(),
            facts(of),
        ]
    )


def facts(of: Circumstances) -> Floats:
    """The circumstances as a row of figures."""
    return np.array(
        [
            *(of.known == name for name in KNOWN),
            *(of.base == name for name in BASES),
            *(of.intent == name for name in INTENTS),
            of.compensated is True,
            of.compensated is False,
            of.space == "srgb",
            of.space is None,
            of.colorimetric,
            np.log(max(of.de00, 0.2)),
            of.cut,
        ],
        dtype=float,
    )


def beside_paper(lab: Floats) -> Floats:
    """The colours (36, 3) media-relative: XYZ over the paper's (ISO 15076-1, 6.3.2), as CIELAB."""
    light = lab_to_xyz(lab)
    paper = np.maximum(light[PAPER_ROW], 0.05)
    return np.asarray(xyz_to_lab(light * (_WHITE / paper)))


def aimed_at(own: Floats, space: Space) -> Floats:
    """Media-relative CIELAB (36, 3) that the numbers of ``space`` ask for, black point compensated (ISO 18619) to the
    print's own black: where a path that works shows the colours that the card can hold."""
    black = float(np.clip(lab_to_xyz(own[BLACK_ROW])[1], 0.0, 0.5))
    return np.asarray(xyz_to_lab(_asked(space) * (1.0 - black) + black * _WHITE))


@lru_cache(maxsize=2)
def _asked(space: Space) -> Floats:
    return rgb_to_xyz_d50(SAMPLED_AT, RGB_SPACES[space])


# Figures that a person can follow, as the evidence names them, and what they are held against.
FIGURES = ("black", "middle-grey-lightness", "middle-grey-a", "middle-grey-b", "solids-chroma")
AGAINST = ("beside", "aim", "device")
_MIDDLE, _SOLIDS = _GREYS.index(0.5), [len(_GREYS) + 3 * hue for hue in range(6)]


def figures_of(lab: Floats) -> Floats:
    """The FIGURES (..., 5) of colours (..., 36, 3): L* of black, L*, a*, b* of the middle grey, the solids' C*ab."""
    chroma = np.hypot(lab[..., _SOLIDS, 1], lab[..., _SOLIDS, 2]).mean(axis=-1)
    return np.concatenate([lab[..., :1, 0], lab[..., _MIDDLE, :], chroma[..., None]], axis=-1)


def deviations(rows: Floats) -> tuple[Floats, Floats]:
    """How far the FIGURES (n, 5) of rows of features (n, d) lie from what they are held against, as places in AGAINST
    (n,): the good print beside, else what the file asks for, else nothing. Black with nothing beside it is L* itself.
    """
    size = 3 * len(SAMPLED_AT)
    own, missed, apart = (rows[:, at * size : (at + 1) * size].reshape(len(rows), -1, 3) for at in range(3))
    ends, ends_apart = rows[:, 3 * size : 3 * size + 6], rows[:, 3 * size + 6 : 3 * size + 12]
    known = rows[:, 3 * size + 12 :]
    is_alone, is_device = known[:, KNOWN.index("typical")] > 0.5, known[:, _DEVICE_FACT] > 0.5
    against = np.where(is_alone, np.where(is_device, 2, 1), 0)
    here = figures_of(own)
    there = np.where(is_alone[:, None], figures_of(own - missed), figures_of(own - apart))
    off = np.where(is_device[:, None] & is_alone[:, None], here, here - there)
    off[:, 0] = np.where(is_alone, ends[:, 0], ends_apart[:, 0])
    return np.asarray(off), against


_DEVICE_FACT = len(KNOWN) + len(BASES) + len(INTENTS) + 3
