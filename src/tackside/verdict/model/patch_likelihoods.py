"""How likely the patches of a reading are under each variant of each fault, on bare card and on coated.

Everything that is not the fault is marginalised: the card's own differences, tone, the scanner's smooth error and
the forward model's own error enter as linear modes with Gaussian spreads, so that each variant's patches are jointly
Gaussian with mean μ and covariance Σ = D + M Mᵀ. The likelihood is a multivariate t of few degrees of freedom about
it, which a stray patch or a model slightly wrong everywhere does not upset.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.linalg import cholesky, solve_triangular
from scipy.special import gammaln

from tackside.colour.spaces import lab_to_xyz
from tackside.records.verdict import Cause
from tackside.verdict.measures.patch_table import Floats
from tackside.verdict.model.cards import CardModel, Known, tone_modes, tone_spread
from tackside.verdict.model.path_faults import FaultyColours
from tackside.verdict.model.tone_response import Response, shares

# The forward models' own error: an even part in ΔE*ab per axis, and a share of how far the fault moves a patch, partly
# patch by patch and partly all patches alike. Set on the invented training stocks (benchmarks/causes.py).
FLOOR: dict[Known, float] = {"same-card": 0.6, "other-card": 1.3, "typical": 1.5}
SHARE_ALL = 0.20
SHARE_EACH: dict[Known, float] = {"same-card": 0.10, "other-card": 0.10, "typical": 0.03}
FREEDOM = 8.0
# Edges (ΔE*ab) of the steps of movement within which variants of a cause share a covariance.
_STRAY_LIGHT = 0.0015
# A scanner's smooth error per ΔE00 of its uncertainty, for L*, a* and b*: an offset, and what goes with L*, a* and b*.
# Its greys are balanced by its white, so they err less than its colours (docs/sources.md, S55).
_SCANNER = ((0.5, 0.5, 0.4, 0.4), (0.25, 0.25, 0.8, 0.6), (0.25, 0.25, 0.6, 0.8))
_STEPS = (2.0, 5.0, 10.0, 20.0)


@dataclass(frozen=True, eq=False)
class PatchesRead:
    """What was read: numbers asked for (m, 3), CIELAB (m, 3), each patch's own noise (m,) and the shared ΔE00."""

    asked: Floats
    lab: Floats
    noise: Floats
    shared: float


@dataclass(frozen=True, eq=False)
class PatchEvidence:
    """``log_likelihood`` (k,) of each variant and its ``mean`` (k, 3 m); ``sd`` (k, 3 m) of each figure by itself."""

    causes: tuple[Cause, ...]
    log_shares: Floats
    log_likelihood: Floats
    mean: Floats
    sd: Floats


def patch_evidence(
    read: PatchesRead,
    response: Response,
    drawn: FaultyColours,
    card: CardModel,
    floor: float,
    each: float,
    own: Floats,
    freedom: float = FREEDOM,
) -> PatchEvidence:
    """The likelihood of every variant on this kind of card.

    ``floor`` and ``each``: the model's own error, and its share of a fault's movement. ``own``:
    covariance of the card's own way with tints (``cards.own_way``).
    """
    count = drawn.lab.shape[0]
    held = shares(drawn.numbers)
    mean = card.mean(response, drawn.lab, held)
    tones = tone_modes(response, drawn.numbers[0])
    mean = (mean + card.tone[0] * tones.sum(axis=0)).reshape(count, -1)
    common = np.concatenate([tone_spread(tones, read.asked, card), scanner_modes(read, drawn.lab[0])])
    common = common.reshape(-1, mean.shape[1])
    shared = own + common.T @ common + np.diag(np.repeat(read.noise**2 / 3 + floor**2, 3))
    log_likelihood, sd = np.empty(count), np.empty_like(mean)
    for group in groups_alike(drawn):
        middle = drawn.lab[group].mean(axis=0)
        moved = middle - drawn.lab[0]
        modes = np.concatenate(
            [
                card.modes(response, middle, held[group].mean(axis=0)).reshape(-1, mean.shape[1]),
                (SHARE_ALL * moved * np.eye(3)[:, None, :]).reshape(3, -1),
            ]
        )
        if drawn.loose[group[0]]:
            modes = np.concatenate([modes, loose_modes(drawn.numbers[group[0]])])
        covariance = shared + modes.T @ modes
        covariance[np.diag_indices_from(covariance)] += (each * moved.ravel()) ** 2
        log_likelihood[group] = log_t(read.lab.ravel() - mean[group], covariance, freedom)
        sd[group] = np.sqrt(np.diagonal(covariance))
    return PatchEvidence(drawn.causes, drawn.log_shares, log_likelihood, mean, sd)


def loose_modes(numbers: Floats) -> Floats:
    """Any smooth cast of the middle tones, one sd in L*, a* and b*: (3, 3 m)."""
    bump = 4.0 * numbers.mean(axis=1) * (1.0 - numbers.mean(axis=1))
    return np.stack([np.outer(bump, axis).ravel() for axis in np.diag((4.0, 4.0, 4.0))])


def groups_alike(drawn: FaultyColours) -> list[NDArray[np.intp]]:
    """Variants of one cause that move the patches about as far, which may share a covariance."""
    far = np.sqrt(((drawn.lab - drawn.lab[0]) ** 2).sum(axis=-1).mean(axis=-1))
    steps = np.digitize(far, _STEPS)
    keys = list(zip(drawn.causes, steps.tolist(), drawn.loose.tolist(), strict=True))
    return [np.array([i for i, key in enumerate(keys) if key == each]) for each in dict.fromkeys(keys)]


def scanner_modes(read: PatchesRead, lab: Floats) -> Floats:
    """Smooth errors that all patches share: an offset, a mix of the axes, a bend of the tone scale.

    Their spreads go with ``shared``, the reading's uncertainty in ΔE00.
    """
    centred = (lab - np.array([55.0, 0.0, 0.0])) / 40.0
    depth = 1.0 - lab[:, 0] / 100.0
    modes = []
    for axis, sizes in enumerate(_SCANNER):
        for size, along in zip(sizes, (np.ones(len(lab)), *centred.T), strict=True):
            mode = np.zeros_like(lab)
            mode[:, axis] = size * along
            modes.append(mode)
    bend = np.zeros_like(lab)
    bend[:, 0] = 0.8 * 4.0 * depth * (1.0 - depth)
    modes.append(bend)
    # Stray light lifts the darks: dL*/dY = 116/3 · Y^(−2/3) above L* 8 and 903.3 below (CIE 15).
    light = np.maximum(lab_to_xyz(lab)[:, 1], 0.008856)
    flare = np.zeros_like(lab)
    flare[:, 0] = _STRAY_LIGHT * 116.0 / 3.0 * light ** (-2.0 / 3.0)
    return np.concatenate([np.array(modes) * read.shared, flare[None]])


def log_t(miss: Floats, covariance: Floats, freedom: float = FREEDOM) -> Floats:
    """Log densities (k,) of a multivariate t, ``freedom`` degrees of freedom, scale ``covariance``, at (k, d)."""
    size = miss.shape[1]
    factor = cholesky(covariance, lower=True, overwrite_a=True, check_finite=False)
    whitened = solve_triangular(factor, miss.T, lower=True, check_finite=False)
    distance = np.sum(whitened**2, axis=0)
    log_det = 2.0 * float(np.sum(np.log(np.diagonal(factor))))
    constant = gammaln((freedom + size) / 2) - gammaln(freedom / 2) - size / 2 * np.log(freedom * np.pi)
    return np.asarray(constant - log_det / 2 - (freedom + size) / 2 * np.log1p(distance / freedom))
