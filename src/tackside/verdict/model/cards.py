"""How cards differ: what a card, bare or coated, may make of a tone response: a mean and linear modes with spreads.

The classes are those of docs/sources.md, S26 to S28; each spread is this project's own estimate unless the line says
otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.spatial.distance import cdist

from tackside.records.stock import Stock
from tackside.verdict.measures.patch_table import Floats
from tackside.verdict.model.tone_response import (
    BLACK,
    BLUE,
    CYAN,
    GREEN,
    INKS_OF,
    MAGENTA,
    PAPER,
    RED,
    SOLIDS,
    YELLOW,
    Response,
    shares,
)

# How the response came to be known: by a good print of this very card and side, of another card on this printer, or not
# at all.
Known = Literal["same-card", "other-card", "typical"]

# Black L* of a coated card (docs/sources.md, S26: 4 to 9 photo, 12 to 19 pearl and silk, 15 to 18 matt and cotton) and
# of one with no inkjet coating (S27: 27 to 38, one weak source; S28: 32, offset as measured).
COATED_BLACK: dict[str, tuple[float, float]] = {
    "photo": (9.0, 4.5),
    "matt": (16.0, 2.5),
    "cotton": (16.0, 2.5),
    "plain": (14.0, 5.0),
}
ANY_COATED, BARE_BLACK = (12.0, 5.0), (30.5, 4.0)
# Chroma of solids: coated classes lie within this of each other (docs/sources.md, S26: volumes of 500 to 900 thousand,
# whose square roots are 0.75 of one another); with no coating they keep what uncoated paper keeps of coated, to 0.03
# (docs/sources.md, S36), less a little, since card is made for no press.
COATED_HOLD_SD = 0.2
BARE_HOLD = {RED: 0.73, GREEN: 0.66, YELLOW: 0.84, BLUE: 0.63, MAGENTA: 0.82, CYAN: 0.82}
BARE_LESS, BARE_HOLD_SD = 0.8, 0.28
# A solid by itself, L* and then a* and b*: the same inks on another card, or inks of which nothing is known.
SOLIDS_SD: dict[Known, tuple[float, float]] = {
    "same-card": (1.2, 1.8),
    "other-card": (1.2, 1.8),
    "typical": (13.0, 8.0),
}
# Tone value increase at half: bare card drinks more.
BARE_TONE = 0.02
# All channels' tone gain together varies more than each by itself.
TONE_TOGETHER = 2.0


@dataclass(frozen=True, eq=False)
class CardModel:
    """What a card makes of a tone response: means and one sd each.

    ``black``: L* of its black, None to leave the response's. ``hold`` (8,): share of the response's chroma kept, by
    corner. ``corners`` (q, 8, 3): modes of paper and of each corner by itself. ``tone``: a gain of tone value at half.
    ``full_sd``: L* of full colours, all alike. ``grey_freedom``: share of a channel's own tone that greys have, since
    management keeps them neutral on the card that it was made for.
    """

    black: float | None
    black_sd: float
    hold: Floats
    hold_sd: float
    corners: Floats
    tone: tuple[float, float]
    full_sd: float = 2.5
    grey_freedom: float = 0.3

    def mean(self, response: Response, lab: Floats, held: Floats) -> Floats:
        """The response's colours (..., 3), holding ``held`` (..., 8) of each corner, as this card shows them."""
        shown = lab.copy()
        if self.black is not None:
            paper = response.corners[PAPER, 0]
            shown[..., 0] = paper - _depth(response, lab) * (paper - self.black)
        shown[..., 1:] *= _of_solids(held, self.hold)[..., None]
        return shown

    def modes(self, response: Response, lab: Floats, held: Floats) -> Floats:
        """One-sd changes (q, m, 3) of colours (m, 3): black's depth, chroma together and by ink, corners."""
        found = np.zeros((9, *lab.shape))
        found[0, :, 0] = self.black_sd * _depth(response, lab)
        found[1, :, 1:] = self.hold_sd * lab[:, 1:]
        for ink in range(3):
            found[2 + ink, :, 1:] = self.hold_sd / 2 * lab[:, 1:] * _of_solids(held, INKS_OF[:, ink])[:, None]
        # All hues alike: how fast chroma rises along a tint, and how light full colours are.
        full = held[:, list(SOLIDS)].sum(axis=1)
        for at, bend in enumerate((full, 4.0 * full * (1.0 - full))):
            found[5 + at, :, 1:] = self.hold_sd * lab[:, 1:] * bend[:, None]
            found[7 + at, :, 0] = self.full_sd * bend
        return np.concatenate([found, np.einsum("mc,qcx->qmx", held, self.corners)])


def _depth(response: Response, lab: Floats) -> Floats:
    """0 at the response's paper, 1 at its black."""
    paper, black = response.corners[PAPER, 0], response.corners[BLACK, 0]
    return np.asarray((paper - lab[..., 0]) / max(float(paper - black), 1.0))


def _of_solids(held: Floats, value: Floats) -> Floats:
    """The mean of a corner's value over the solids that a colour holds; over all six for a grey."""
    solids = held[..., list(SOLIDS)] + 1e-3
    return np.asarray(solids @ value[list(SOLIDS)] / solids.sum(axis=-1))


def coated(response: Response, known: Known, stock: Stock | None) -> CardModel:
    """A sound, coated card beside the response."""
    keep = np.ones(8)
    if known == "same-card":
        return CardModel(
            None, 1.2, keep, 0.05, _corners(response, 0.8, (0.35, 0.5), 0.5, 0.03), (0.0, 0.01), 0.5
        )
    black, spread = COATED_BLACK.get(stock.base, ANY_COATED) if stock else ANY_COATED
    hold = COATED_HOLD_SD if known == "other-card" else 0.1
    corners = _corners(response, 2.0, SOLIDS_SD[known], 1.5, hold)
    return CardModel(black, spread, keep, hold, corners, (0.0, 0.04))


def bare(response: Response, known: Known) -> CardModel:
    """A card, or a side, with no inkjet coating."""
    hold = np.array([BARE_LESS * BARE_HOLD.get(corner, 0.8) for corner in range(8)])
    black, spread = BARE_BLACK
    corners = _corners(response, 2.0, SOLIDS_SD[known], 3.0, BARE_HOLD_SD)
    return CardModel(black, spread, hold, BARE_HOLD_SD, corners, (BARE_TONE, 0.05), grey_freedom=1.0)


def _corners(
    response: Response, paper: float, solids: tuple[float, float], tint: float, hold: float
) -> Floats:
    """One sd of: paper L*, a*, b* (the tints follow); each solid's L*, a*, b*; black's a* and b*."""
    follow = _depth(response, response.corners)
    modes = []
    for axis, share in enumerate((1.0, 0.7, 1.5)):
        mode = np.zeros((8, 3))
        mode[:, axis] = paper * share * (1.0 - (1.0 if axis == 0 else 0.85) * follow)
        modes.append(mode)
    for corner in (*SOLIDS, BLACK):
        for axis in range(3):
            own = np.zeros((8, 3))
            own[corner, axis] = solids[axis > 0] if corner != BLACK else tint * (axis > 0)
            modes.append(own)
    # Solids lose or gain chroma beyond their tints, together and each by itself.
    radial = np.zeros((8, 3))
    radial[list(SOLIDS), 1:] = response.corners[list(SOLIDS), 1:]
    modes.append(hold * radial)
    modes += [0.4 * hold * radial * (np.arange(8) == corner)[:, None] for corner in SOLIDS]
    return np.array(modes)


def tone_modes(response: Response, numbers: Floats) -> Floats:
    """Change of CIELAB per unit of tone gain, (6, m, 3): each channel, early and late in the scale.

    A gain g moves the depth d of a channel to d + 4 g d (1 − d).
    """
    depth = 1.0 - numbers
    base, step = shares(numbers) @ response.corners, 0.02
    modes = []
    for channel in range(3):
        for late in (False, True):
            bump = 4.0 * depth[:, channel] * (1.0 - depth[:, channel])
            weight = depth[:, channel] if late else 1.0 - depth[:, channel]
            moved = numbers.copy()
            moved[:, channel] -= step * bump * weight
            modes.append((shares(np.clip(moved, 0, 1)) @ response.corners - base) / step)
    return np.array(modes)


def tone_spread(tones: Floats, numbers: Floats, card: CardModel) -> Floats:
    """One-sd changes of tone, (13, m, 3): each channel early and late and as a whole, and all channels together, in
    all colours and in full ones."""
    early, late = tones[0::2].sum(axis=0), tones[1::2].sum(axis=0)
    full = np.ptp(numbers, axis=1)[:, None]
    free = card.grey_freedom + (1.0 - card.grey_freedom) * full
    channels = 0.5 * (tones[0::2] + tones[1::2])
    as_one = np.stack([early, late, early * full, late * full, *(free * channels)])
    return card.tone[1] * np.concatenate([free * tones, TONE_TOGETHER * as_one])


# How smoothly, and by how much (ΔE*ab per axis: L*, then a* and b*), cards differ beyond corners and tone: greys
# and full colours apart, since management makes greys alike on every card and does little for the rest.
_REACH = 0.35
Sizes = tuple[tuple[float, float], tuple[float, float]]
OWN_WAY: dict[Known, Sizes] = {
    "same-card": ((0.3, 0.25), (0.3, 0.4)),
    "other-card": ((1.1, 1.0), (2.0, 3.0)),
    "typical": ((1.5, 1.5), (8.0, 14.0)),
}


def own_way(numbers: Floats, known: Known, factor: float = 1.0, sizes: Sizes | None = None) -> Floats:
    """Covariance (3 m, 3 m) of how a card draws tints and shades in its own way, smooth over the numbers (m, 3)."""
    full = np.ptp(numbers, axis=1)
    alike = factor**2 * np.exp(-0.5 * cdist(numbers, numbers, "sqeuclidean") / _REACH**2)
    grey, colour = sizes or OWN_WAY[known]
    covariance = np.zeros((len(numbers), 3, len(numbers), 3))
    for axis in range(3):
        size = grey[axis > 0] + (colour[axis > 0] - grey[axis > 0]) * full
        covariance[:, axis, :, axis] = alike * size * size[:, None]
    return covariance.reshape(3 * len(numbers), -1)
