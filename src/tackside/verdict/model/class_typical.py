"""Evidence with no print beside: the class's typical behaviour is the reference.

The corners of the number cube (paper, black, six solids) differ widely between printers and cards; how the numbers
between them are drawn differs little, once the corners are known. So the patches are weighed in two parts, which
together hold all that was read: the corners, beside those of the typical card of its class; and every other patch as
its *rest*, what remains once its own print's corners are carried linearly to it. Both parts are forward models drawn
from a textbook print (``balanced``): for faults of the path, which leave the solids, from the print's own corners, and
for faults of ink from the class's.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tackside.records import Stock
from tackside.records.sheet_plan import Space
from tackside.verdict.measures.patch_table import Floats
from tackside.verdict.model.balanced import Balanced
from tackside.verdict.model.cards import CardModel, bare, coated, own_way, tone_modes, tone_spread
from tackside.verdict.model.patch_likelihoods import (
    FLOOR,
    PatchesRead,
    PatchEvidence,
    groups_alike,
    log_t,
    loose_modes,
    patch_evidence,
    scanner_modes,
)
from tackside.verdict.model.path_faults import FaultyColours, convert, draw
from tackside.verdict.model.tone_response import CORNERS, TYPICAL_CORNERS, shares

PATH_FAULTS = ("none", "managed-twice", "unmanaged", "wide-read-as-narrow", "narrow-read-as-wide")
# A corner is a patch within this of it, in any number.
_AT_CORNER = 0.02
# The textbook print's own error in a rest, ΔE*ab per axis, and as a share of the fault's movement.
REST_FLOOR, REST_SHARE_ALL, REST_SHARE_EACH = 0.8, 0.15, 0.08
# How smoothly, and by how much, cards of a class draw the numbers between corners in their own way.
REST_TONE = {"coated": 0.02, "bare": 0.04}
REST_WAY = ((1.2, 0.8), (4.0, 7.0))
REST_BARE_TONE = 0.05
# Corners are few, and one far off is no stray reading.
CORNER_FREEDOM = 30.0


@dataclass(frozen=True, eq=False)
class Rests:
    """What remains of the patches between the corners: ``rows`` of those, ``corners`` (8,) rows of the others."""

    rows: NDArray[np.intp]
    corners: NDArray[np.intp]
    held: Floats

    def of(self, lab: Floats) -> Floats:
        """Rests (..., r, 3) of prints (..., m, 3)."""
        carried = np.einsum("rq,...qc->...rc", self.held, lab[..., self.corners, :])
        return np.asarray(lab[..., self.rows, :] - carried)


def find_rests(asked: Floats, space: Space) -> Rests | None:
    """The split of patches ``asked`` (m, 3) into corners and others; None where a corner is missing."""
    off = np.abs(asked[None] - CORNERS[:, None]).max(axis=-1)
    if off.min(axis=1).max() > _AT_CORNER:
        return None
    corners = off.argmin(axis=1)
    rows = np.setdiff1d(np.arange(len(asked)), corners)
    return Rests(rows, corners, shares(convert(asked[rows], space, "srgb")))


def typical_evidence(
    read: PatchesRead, space: Space, stock: Stock | None, *, path: bool
) -> tuple[PatchEvidence, PatchEvidence, float] | None:
    """Evidence on coated and on bare card, and log likelihood of a fault that nobody knows; None without corners."""
    rests = find_rests(read.asked, space)
    if rests is None:
        return None
    own = Balanced(read.lab[rests.corners])
    by_own = draw(own, read.asked, space, path=path)
    corners_read = PatchesRead(
        read.asked[rests.corners], read.lab[rests.corners], read.noise[rests.corners], read.shared
    )
    found = []
    for is_coated in (True, False):
        typical = _typical(is_coated, stock)
        by_class = draw(typical, read.asked, space, path=path)
        on_corners = patch_evidence(
            corners_read,
            typical,
            _rows(by_class, rests.corners),
            _at_home(coated(typical, "typical", stock) if is_coated else bare(typical, "typical")),
            FLOOR["typical"],
            0.1,
            own_way(corners_read.asked, "other-card"),
            CORNER_FREEDOM,
        )
        found.append(_with_rests(read, rests, own, by_own, by_class, on_corners, is_coated))
    return found[0][0], found[1][0], _of_anything(read, rests, found[0][1])


def _typical(is_coated: bool, stock: Stock | None) -> Balanced:
    """The typical print of the class: its card model's mean, drawn as a textbook print."""
    response = Balanced(TYPICAL_CORNERS)
    card = coated(response, "typical", stock) if is_coated else bare(response, "typical")
    return Balanced(card.mean(response, TYPICAL_CORNERS, np.eye(8)))


def _at_home(card: CardModel) -> CardModel:
    """The card's spreads about a tone response that has its mean already."""
    return replace(card, black=None, hold=np.ones(8))


def _rows(drawn: FaultyColours, rows: NDArray[np.intp]) -> FaultyColours:
    return replace(drawn, lab=drawn.lab[:, rows], numbers=drawn.numbers[:, rows])


def _with_rests(
    read: PatchesRead,
    rests: Rests,
    own: Balanced,
    by_own: FaultyColours,
    by_class: FaultyColours,
    on_corners: PatchEvidence,
    is_coated: bool,
) -> tuple[PatchEvidence, float]:
    is_path = np.array([cause in PATH_FAULTS for cause in by_own.causes])
    rest = np.where(is_path[:, None, None], rests.of(by_own.lab), rests.of(by_class.lab))
    rest[by_own.even] = rest[0]
    numbers = by_own.numbers[0][rests.rows]
    card = coated(own, "typical", None) if is_coated else bare(own, "typical")
    card = replace(
        card, tone=(0.0, REST_TONE["coated"]) if is_coated else (REST_BARE_TONE, REST_TONE["bare"])
    )
    tones = tone_modes(own, numbers)
    rest = rest + card.tone[0] * tones.sum(axis=0)
    count = len(rest)
    common = np.concatenate([tone_spread(tones, read.asked[rests.rows], card), _scanner(read, rests)])
    common = common.reshape(-1, 3 * len(rests.rows))
    noise = np.repeat(read.noise[rests.rows] ** 2 / 3 + REST_FLOOR**2, 3)
    shared = (
        own_way(read.asked[rests.rows], "other-card", sizes=REST_WAY) + common.T @ common + np.diag(noise)
    )
    miss = (rests.of(read.lab) - rest).reshape(count, -1)
    moved_all = rest - rest[0]
    log_likelihood, sd = np.empty(count), np.empty((count, miss.shape[1]))
    for group in groups_alike(by_own):
        moved = moved_all[group].mean(axis=0)
        modes = (REST_SHARE_ALL * moved * np.eye(3)[:, None, :]).reshape(3, -1)
        if by_own.loose[group[0]]:
            modes = np.concatenate([modes, loose_modes(by_own.numbers[group[0]][rests.rows])])
        covariance = shared + modes.T @ modes
        covariance[np.diag_indices_from(covariance)] += (REST_SHARE_EACH * moved.ravel()) ** 2
        log_likelihood[group] = log_t(miss[group], covariance)
        sd[group] = np.sqrt(np.diagonal(covariance))
    mean = np.empty((count, len(read.asked), 3))
    spread = np.empty_like(mean)
    mean[:, rests.corners] = on_corners.mean.reshape(count, 8, 3)
    spread[:, rests.corners] = on_corners.sd.reshape(count, 8, 3)
    mean[:, rests.rows] = read.lab[rests.rows] - miss.reshape(count, -1, 3)
    spread[:, rests.rows] = sd.reshape(count, -1, 3)
    evidence = PatchEvidence(
        by_own.causes,
        by_own.log_shares,
        on_corners.log_likelihood + log_likelihood,
        mean.reshape(count, -1),
        spread.reshape(count, -1),
    )
    return evidence, float(log_likelihood.max())


def _scanner(read: PatchesRead, rests: Rests) -> Floats:
    """What a scanner's smooth errors leave in the rests."""
    return rests.of(scanner_modes(read, read.lab))


def _of_anything(read: PatchesRead, rests: Rests, best_rests: float) -> float:
    """Any print at all: corners anywhere within what prints show, rests as some known fault's or anywhere."""
    corner = np.concatenate([np.full(8, 18.0), np.full(16, 40.0)])
    miss = (read.lab[rests.corners] - TYPICAL_CORNERS).T.reshape(1, -1)
    found = float(log_t(miss, np.diag(corner**2), CORNER_FREEDOM)[0])
    wide = own_way(read.asked[rests.rows], "other-card", 6.0)
    wide[np.diag_indices_from(wide)] += 3.0**2
    return found + max(float(log_t(rests.of(read.lab).reshape(1, -1), wide)[0]), best_rests - 2.0)
