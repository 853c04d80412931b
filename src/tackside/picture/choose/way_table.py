"""What every way to a card does to every colour of a space, worked out once: then a picture costs a few weighed sums.

A print is sampled at 17³ nodes of the space's RGB, close together in the darks, and taken linearly between them: to
the 32³ cells that a picture's colours are counted in, and to its pairs of neighbours, whose steps tell what detail
is lost.
"""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from functools import cached_property, lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from tackside.colour.difference import picture_delta_e_2000
from tackside.colour.spaces import Floats
from tackside.picture.file.colours import LEVEL_CODES, LEVELS, Colours, Pixels, Space, cell_lab, cell_rgb
from tackside.picture.proof.figures import (
    COLOURED_C,
    KEPT,
    LEAST_SHARE,
    NEUTRAL_C,
    SATURATED_C,
    SHADOW_L,
    Figures,
)
from tackside.picture.proof.ways import PrintWay
from tackside.profile.link.convert import rgb_to_lab_by_profile

NODES = 17
NODE_CODES: Floats = np.rint(255 * np.linspace(0, 1, NODES) ** 1.4)
BIN = 0.05  # ΔE00: how finely the median and the 95th percentile are told apart
MOST_BINS = 1200

# What is summed over a picture's cells for each way.
DE, LIGHTNESS, CHROMA, HUE, HUE_PART, GREY, STRONG = range(7)
COLUMNS = 7

Table = NDArray[np.float32]


@lru_cache(maxsize=8)
def node_lab(space: Space) -> Floats:
    """Media-relative CIELAB (17³, 3) of the space at the nodes, blue running fastest. Raises BadProfile."""
    codes = NODE_CODES / 255
    nodes = np.stack(np.meshgrid(codes, codes, codes, indexing="ij"), axis=-1).reshape(-1, 3)
    lab = rgb_to_lab_by_profile(nodes, space.profile)
    lab.flags.writeable = False
    return lab


@dataclass(frozen=True, eq=False)
class WayTable:
    """All ways for pictures of one space. ``printed`` (ways, 17³, 3) float32: media-relative CIELAB at the nodes."""

    ways: tuple[PrintWay, ...]
    space: Space
    printed: Table

    def prepare(self) -> None:
        """Work out all that pictures share, so that threads find it done."""
        _ = self._cells, self._parts, self._stacked, self._lightness

    def figures(self, colours: Colours) -> list[Figures]:
        """The figures of one picture, a way each."""
        cells, weights = colours.cells, colours.weights.astype(np.float32)
        sums = (weights @ self._cells[0][cells]).reshape(len(self.ways), COLUMNS)
        neutral, shadow, saturated = (float(part) for part in weights @ self._parts[cells])
        lost = self._lost(colours.pairs)
        return [
            Figures(
                de00_mean=float(total[DE]),
                de00_median=middle,
                de00_p95=high,
                lightness=float(total[LIGHTNESS]),
                chroma=float(total[CHROMA]),
                hue_shift_deg=_mean(total[HUE], total[HUE_PART]),
                lost_shadow=lost_shadow if shadow >= LEAST_SHARE else None,
                lost_saturated=lost_saturated if saturated >= LEAST_SHARE else None,
                grey_balance=_mean(total[GREY], neutral),
                shadow=shadow,
                saturated=saturated,
                chroma_saturated=_mean(total[STRONG], saturated),
            )
            for total, (middle, high), (lost_shadow, lost_saturated) in zip(
                sums, self._quantiles(colours), lost, strict=True
            )
        ]

    def proof(self, way: int, pixels: Pixels) -> Floats:
        """Media-relative CIELAB (h, w, 3) of the print of pixels (h, w, 3)."""
        found = between(pixels.reshape(-1, 3)) @ self.printed[way]
        return np.asarray(found, dtype=np.float64).reshape(pixels.shape)

    @cached_property
    def _cells(self) -> tuple[Table, NDArray[np.int16]]:
        """What is summed, (32768, ways × COLUMNS), and the ΔE00 in steps of BIN, (ways, 32768)."""
        original = _Original.of(cell_lab(self.space))
        sums = np.empty((len(original.lab), len(self.ways) * COLUMNS), dtype=np.float32)
        bins = np.empty((len(self.ways), len(original.lab)), dtype=np.int16)

        def work(way: int) -> None:
            printed = _at_cells(self.printed[way])
            sums[:, way * COLUMNS : (way + 1) * COLUMNS], bins[way] = _of_cells(original, printed)

        with ThreadPoolExecutor(os.cpu_count()) as pool:
            list(pool.map(work, range(len(self.ways))))
        return sums, bins

    @cached_property
    def _parts(self) -> Table:
        """(32768, 3): neutral, shadow, saturated."""
        lab = cell_lab(self.space)
        chroma = np.hypot(lab[:, 1], lab[:, 2])
        return np.stack([_neutral(lab), lab[:, 0] < SHADOW_L, chroma > SATURATED_C], axis=1).astype(
            np.float32
        )

    def _quantiles(self, colours: Colours) -> list[tuple[float, float]]:
        """Median and 95th percentile of ΔE00, a way each."""
        found = []
        for bins in self._cells[1]:
            spread = np.cumsum(np.bincount(bins[colours.cells], colours.weights, MOST_BINS + 1))
            middle, high = np.searchsorted(spread, np.array([0.5, 0.95]) * spread[-1])
            found.append((float(middle * BIN), float(high * BIN)))
        return found

    @cached_property
    def _stacked(self) -> Table:
        """(17³, 3 + 3 × ways): the space's own Lab, then that of each way's print."""
        own = node_lab(self.space).astype(np.float32)
        return np.concatenate([own, *self.printed], axis=1)

    @cached_property
    def _lightness(self) -> Table:
        """(17³, 1 + ways): L* of ``_stacked`` alone."""
        return np.ascontiguousarray(self._stacked[:, ::3])

    def _lost(self, pairs: Pixels) -> list[tuple[float, float]]:
        """The share of local contrast in shadows (L*) and in saturated colours (ΔE*ab) that is flattened to less than
        KEPT, a way each."""
        if len(pairs) == 0:
            return [(0.0, 0.0)] * len(self.ways)
        first = between(pairs[:, 0]) @ np.ascontiguousarray(self._stacked[:, :3])
        shadow = first[:, 0] < SHADOW_L
        saturated = np.hypot(first[:, 1], first[:, 2]) > SATURATED_C
        dark = np.abs(_steps(pairs[shadow], self._lightness))
        vivid = _steps(pairs[saturated], self._stacked).reshape(-1, 1 + len(self.ways), 3)
        return list(zip(_flattened(dark), _flattened(_length(vivid)), strict=True))


@dataclass(frozen=True, eq=False)
class Between:
    """Places between nodes: ``corners`` (n, 8), the numbers of the eight around each, and their ``shares`` (n, 8)."""

    corners: NDArray[np.intp]
    shares: Table

    def __matmul__(self, nodes: NDArray[Any]) -> NDArray[Any]:
        """Values (n, k) of those at the nodes (17³, k), linear along each axis."""
        found: NDArray[Any] = self.shares[:, :1] * nodes[self.corners[:, 0]]
        for corner in range(1, 8):
            found += self.shares[:, corner : corner + 1] * nodes[self.corners[:, corner]]
        return found


def between(rgb: Pixels) -> Between:
    """Where RGB pixels (n, 3) lie between the nodes."""
    return _between(rgb.astype(np.float64))


def _between(codes: Floats) -> Between:
    low, part = _beside(codes)
    # The shares of an axis' two ends; a corner's is the product of three.
    ends = np.stack([1 - part, part], axis=2)
    shares = ends[:, 0, :, None, None] * ends[:, 1, None, :, None] * ends[:, 2, None, None, :]
    steps = np.array([NODES * NODES, NODES, 1])
    corners = [r * steps[0] + g * steps[1] + b for r in (0, 1) for g in (0, 1) for b in (0, 1)]
    return Between((low @ steps)[:, None] + corners, shares.reshape(-1, 8))


def _beside(codes: Floats) -> tuple[NDArray[np.intp], Table]:
    """Of numbers along an axis: the node below each, and its part, 0 to 1, of the way to the next."""
    low = np.minimum(np.searchsorted(NODE_CODES, codes, side="right") - 1, NODES - 2)
    return low, ((codes - NODE_CODES[low]) / (NODE_CODES[low + 1] - NODE_CODES[low])).astype(np.float32)


def _at_cells(nodes: Table) -> Table:
    """Values (32768, 3) at all cells of those at the nodes (17³, 3), linear along each axis: one axis after the other,
    as the cells lie on a grid too."""
    step = _cell_shares()
    red = (step @ nodes.reshape(NODES, -1)).reshape(LEVELS, NODES, -1)
    green = (step @ red).reshape(LEVELS * LEVELS, NODES, 3)
    blue = green.transpose(0, 2, 1).reshape(-1, NODES) @ step.T
    return np.ascontiguousarray(blue.reshape(-1, 3, LEVELS).transpose(0, 2, 1)).reshape(-1, 3)


@lru_cache(maxsize=1)
def _cell_shares() -> Table:
    """What each level of the cells has of each node along an axis, (32, 17)."""
    low, part = _beside(LEVEL_CODES)
    shares = np.zeros((LEVELS, NODES), np.float32)
    level = np.arange(LEVELS)
    shares[level, low], shares[level, low + 1] = 1 - part, part
    return shares


def between_for_cells(cells: NDArray[np.intp]) -> Between:
    """Where cells lie between the nodes, by their numbers."""
    return _between(cell_rgb()[cells] * 255)


@dataclass(frozen=True, eq=False)
class _Original:
    """A space's colours ``lab`` (n, 3), and what every way asks of them: chroma and hue angle in radians, which are
    neutral (n,).
    """

    lab: Table
    chroma: Table
    hue: Table
    neutral: NDArray[np.bool_]

    @classmethod
    def of(cls, lab: Floats) -> _Original:
        single = lab.astype(np.float32)
        hue = np.arctan2(single[:, 2], single[:, 1])
        return cls(single, _length(single[:, 1:]), hue, _neutral(lab))


def _of_cells(original: _Original, printed: Table) -> tuple[Table, NDArray[np.int16]]:
    """What is summed (32768, COLUMNS) and the ΔE00 in steps of BIN (32768,) of one way."""
    sums = np.zeros((len(printed), COLUMNS), dtype=np.float32)
    differences = picture_delta_e_2000(original.lab, printed)
    chroma, chroma_printed = original.chroma, _length(printed[:, 1:])
    sums[:, DE] = differences
    sums[:, LIGHTNESS] = printed[:, 0] - original.lab[:, 0]
    sums[:, CHROMA] = chroma_printed - chroma
    hued = (chroma > COLOURED_C) & (chroma_printed > COLOURED_C / 2)
    turn = np.abs(np.arctan2(printed[:, 2], printed[:, 1]) - original.hue)
    sums[:, HUE] = np.where(hued, np.degrees(np.minimum(turn, 2 * np.pi - turn)), 0)
    sums[:, HUE_PART] = hued
    neutral = original.neutral
    sums[neutral, GREY] = _length(printed[neutral, 1:] - original.lab[neutral, 1:])
    sums[:, STRONG] = np.where(chroma > SATURATED_C, chroma_printed - chroma, 0)
    return sums, np.minimum(np.rint(differences / BIN), MOST_BINS).astype(np.int16)


def _steps(pairs: Pixels, nodes: Table) -> Table:
    """From each first pixel to its neighbour, (pairs, k), by values at the nodes (17³, k)."""
    return np.asarray((between(pairs[:, 1]) @ nodes) - (between(pairs[:, 0]) @ nodes))


def _length(parts: NDArray[Any]) -> NDArray[Any]:
    """Of vectors (..., k): part by part, as NumPy's own lengths of short vectors take several times as long."""
    total = parts[..., 0] * parts[..., 0]
    for part in range(1, parts.shape[-1]):
        total += parts[..., part] * parts[..., part]
    return np.asarray(np.sqrt(total))


def _neutral(lab: Floats) -> NDArray[np.bool_]:
    return np.asarray((np.hypot(lab[:, 1], lab[:, 2]) < NEUTRAL_C) & (lab[:, 0] > 1) & (lab[:, 0] < 99))


def _flattened(steps: Table) -> list[float]:
    """Of steps (pairs, 1 + ways), the picture's own first: the share of them that each way flattens."""
    had, has = steps[:, :1], steps[:, 1:]
    whole = float(had.sum())
    lost = np.sum(np.where(has < KEPT * had, had, 0), axis=0)
    return [float(each) / whole if whole > 0 else 0.0 for each in lost]


def _mean(total: float, part: float) -> float | None:
    return float(total / part) if part > LEAST_SHARE else None


def sample_way(way: PrintWay, space: Space) -> Table:
    """The print by one way at the nodes of a space, (17³, 3) float32. Raises BadProfile, BadRequest."""
    return way.printed(node_lab(space)).astype(np.float32)
