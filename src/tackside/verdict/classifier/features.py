"""The features that the trained weights take: the colours of one print, what its file asked for, and the good print
beside it, as a row of figures.

Lines, mottle and lengths are not among them: given card and fault they go their own way, and ``traits`` weighs them.

Colours are taken at the same numbers on every sheet, whatever its patches: from the patch itself where there is one,
else carried between its patches by its tone response: which colour the path of printer, settings and card gives each
RGB number. Of that the grey axis runs from black to paper and every colour lies in one of six tetrahedra about it,
whose corners are paper, black and the six solids: a plain way to carry what eight colours say to all others, with the
greys even in L* as the trade makes them. What a reading says beyond its eight corners is carried between its patches
by radial basis functions (kernel r), which meet every patch read.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import (
    RGB_SPACES,
    SRGB,
    lab_to_xyz,
    rgb_to_lab,
    rgb_to_xyz_d50,
    xyz_d50_to_rgb,
    xyz_to_lab,
)
from tackside.records.sheet_plan import Space
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


# Corners of the number cube, in the order of the bits red 1, green 2, blue 4.
BLACK, RED, GREEN, YELLOW, BLUE, MAGENTA, CYAN, PAPER = range(8)
CORNERS = np.array([[number >> channel & 1 for channel in range(3)] for number in range(8)], dtype=float)

# Smoothing of a reference's residuals, as a share of the kernel's unit: its patches carry noise.
_SMOOTHING = 1e-3
_MOST_PATCHES = 450


def shares(numbers: Floats) -> Floats:
    """How much of each corner a number (..., 3) holds: (..., 8), sum 1, along tetrahedra about the grey axis."""
    level = levels(numbers)
    order = np.argsort(-level, axis=-1, kind="stable")
    high, middle, low = np.moveaxis(np.take_along_axis(level, order, axis=-1), -1, 0)
    first = 1 << order[..., 0]
    second = first | 1 << order[..., 1]
    held = np.zeros((*level.shape[:-1], 8))
    held[..., BLACK], held[..., PAPER] = 1.0 - high, low
    for corner, weight in ((first, high - middle), (second, middle - low)):
        np.put_along_axis(
            held, corner[..., None], np.take_along_axis(held, corner[..., None], -1) + weight[..., None], -1
        )
    return held


def levels(numbers: Floats) -> Floats:
    """L* / 100 of a grey of this number in sRGB, whose numbers are nearly even to the eye."""
    return np.asarray(np.interp(np.clip(numbers, 0.0, 1.0), _NUMBERS, _LIGHTNESS))


_NUMBERS = np.linspace(0.0, 1.0, 256)
_LIGHTNESS = rgb_to_lab(np.repeat(_NUMBERS[:, None], 3, axis=1), SRGB)[:, 0] / 100.0


@dataclass(frozen=True, eq=False)
class ToneResponse:
    """``corners`` (8, 3) CIELAB; ``at`` (n, 3) and ``weights`` (n, 3) carry a reference's patches, if any.

    ``space`` is that of the numbers it takes.
    """

    corners: Floats
    space: Space = "srgb"
    at: Floats | None = None
    weights: Floats | None = None

    def lab(self, numbers: Floats) -> Floats:
        """CIELAB (..., 3) of numbers (..., 3), 0 to 1."""
        shown = shares(numbers) @ self.corners
        if self.at is None or self.weights is None:
            return shown
        flat = levels(numbers).reshape(-1, 3)
        return shown + (_apart(flat, self.at) @ self.weights).reshape(shown.shape)


def from_table(table: PatchTable, space: Space = "srgb") -> ToneResponse | None:
    """The response that a reading shows; None where it lacks RGB numbers, paper, black or one of the six solids."""
    if table.rgb is None or len(table.solids) < 6:
        return None
    rows = {"r": RED, "g": GREEN, "y": YELLOW, "b": BLUE, "m": MAGENTA, "c": CYAN}
    corners = np.empty((8, 3))
    corners[BLACK], corners[PAPER] = table.lab[table.black], table.lab[table.paper]
    for name, row in table.solids.items():
        corners[rows[name]] = table.lab[row]
    keep = _spread_out(table.rgb)
    numbers, measured = table.rgb[keep], table.lab[keep]
    residual = measured - shares(numbers) @ corners
    at = levels(numbers)
    # The kernel r is conditionally definite of order 1: weights that sum to zero, and a constant left out since the
    # corners have carried it already. −r with a small nugget is solved as it stands.
    kernel = _apart(at, at) - _SMOOTHING * np.eye(len(at))
    return ToneResponse(corners, space, at, np.asarray(np.linalg.solve(kernel, residual), dtype=np.float64))


def _apart(one: Floats, other: Floats) -> Floats:
    """Distances (n, m) of points (n, 3) from points (m, 3). SciPy's take longer to import than a verdict."""
    total = np.zeros((len(one), len(other)))
    for axis in range(3):
        total += np.subtract.outer(one[:, axis], other[:, axis]) ** 2
    return np.sqrt(total)


def _spread_out(rgb: Floats) -> NDArray[np.intp]:
    """Rows of distinct numbers, at most so many, evenly through the list."""
    _, first = np.unique(np.round(rgb * 1000).astype(int), axis=0, return_index=True)
    rows = np.sort(first)
    return rows[:: max(1, -(-len(rows) // _MOST_PATCHES))]
