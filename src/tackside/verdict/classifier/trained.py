"""Trained likelihoods: a classifier of simulated prints, read as likelihood ratios.

Of many prints by invented printers, inks, cards and scanners (``training/train_causes.py``) a small network learnt
to tell the states apart; its odds over the odds at which it was trained are likelihood ratios, everything else
marginalised (K. Cranmer, J. Brehmer, G. Louppe, "The frontier of simulation-based inference", PNAS 117, 2020;
docs/sources.md, S98). It speaks only for prints like those: ``likeness`` says how far this one is.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from io import BytesIO

import numpy as np
from numpy.typing import NDArray

from tackside.records.verdict import Cause
from tackside.verdict.causes.symptoms import PATHS
from tackside.verdict.measures.patch_table import Floats

# A fault of the path (or none), and whether the card is bare.
State = tuple[Cause, bool]
STATES: tuple[State, ...] = (
    *((cause, False) for cause in PATHS),
    *((cause, True) for cause in PATHS),
    ("unknown", False),
)
# By colours (``features``), and by answers (``answer_features``).
FILE, BY_EYE = "trained.npz", "trained_by_eye.npz"
# Standard deviations beyond which a figure says no more.
CLIPPED = 6.0
# The least chance that is believed: no print is ruled out further than the simulations reach.
_LEAST = 1e-5


@dataclass(frozen=True, eq=False)
class Weights:
    """The networks, and how the features that they were trained on were spread.

    ``mean``, ``sd`` (d,): of each figure. ``shares`` (17,): how often each of STATES was shown. ``layers``: of each
    network, matrices and offsets in turn. ``axes`` (d, q): the directions in which features vary, whitened, and
    ``whole`` (q, d) the way back from them; ``usual``: the distances along them and beyond them that 999 rows of
    1,000 keep within. ``expected`` (3, 17, 5, 2): mean and sd of ``features.deviations`` by what figures are held
    against, state and figure, for the evidence that is told.
    """

    mean: Floats
    sd: Floats
    shares: Floats
    layers: tuple[tuple[tuple[Floats, Floats], ...], ...]
    axes: Floats
    whole: Floats
    usual: tuple[float, float]
    expected: Floats | None = None

    def standard(self, features: Floats) -> Floats:
        """Features (..., d) in standard deviations, clipped."""
        return np.clip((features - self.mean) / self.sd, -CLIPPED, CLIPPED)

    def log_likelihoods(self, features: Floats) -> Floats:
        """Of each of STATES, (..., 17), up to a constant: the networks' mean chance over the share shown."""
        standard = self.standard(features)
        chances = np.mean([_chances(standard, layers) for layers in self.layers], axis=0)
        return np.asarray(np.log(np.maximum(chances, _LEAST)) - np.log(self.shares))

    def likeness(self, features: Floats) -> float:
        """1 for features (d,) like those of the training, less the farther they lie from all of them."""
        along, beyond = self.distances(features)
        farthest = max(along / self.usual[0], beyond / self.usual[1])
        return float(1.0 if farthest <= 1.0 else farthest**-2.0)

    def distances(self, features: Floats) -> tuple[Floats, Floats]:
        """Root mean squares of features (..., d) along the directions of training, whitened, and of the rest."""
        standard = self.standard(features)
        placed = standard @ self.axes
        rest = standard - placed @ self.whole
        return np.sqrt((placed**2).mean(axis=-1)), np.sqrt((rest**2).mean(axis=-1))


def _chances(standard: Floats, layers: tuple[tuple[Floats, Floats], ...]) -> Floats:
    signal = standard
    for matrix, offset in layers[:-1]:
        signal = np.maximum(signal @ matrix + offset, 0.0)
    matrix, offset = layers[-1]
    last = signal @ matrix + offset
    weights = np.exp(last - last.max(axis=-1, keepdims=True))
    return np.asarray(weights / weights.sum(axis=-1, keepdims=True))


@lru_cache(maxsize=2)
def trained_weights(file: str = FILE) -> Weights:
    """The weights that come with the program."""
    return unpacked(files("tackside.verdict.classifier").joinpath(file).read_bytes())


def packed(weights: Weights) -> bytes:
    """The weights as an npz file; matrices in half precision, which tells chances to about a thousandth."""
    half, whole = np.float16, np.float32
    arrays: dict[str, NDArray[np.floating]] = {
        "mean": weights.mean.astype(whole),
        "sd": weights.sd.astype(whole),
        "shares": weights.shares.astype(whole),
        "axes": weights.axes.astype(half),
        "whole": weights.whole.astype(half),
        "usual": np.array(weights.usual),
    }
    if weights.expected is not None:
        arrays["expected"] = weights.expected.astype(whole)
    for number, layers in enumerate(weights.layers):
        for depth, (matrix, offset) in enumerate(layers):
            arrays[f"matrix_{number}_{depth}"] = matrix.astype(half)
            arrays[f"offset_{number}_{depth}"] = offset.astype(half)
    held = BytesIO()
    np.savez_compressed(held, **arrays)  # type: ignore[arg-type]
    return held.getvalue()


def unpacked(data: bytes) -> Weights:
    """The weights of such a file."""
    with np.load(BytesIO(data), allow_pickle=False) as found:
        held = {name: found[name].astype(np.float64) for name in found.files}
    count = 1 + max(int(name.split("_")[1]) for name in held if name.startswith("matrix_"))
    depth = 1 + max(int(name.split("_")[2]) for name in held if name.startswith("matrix_"))
    return Weights(
        held["mean"],
        held["sd"],
        held["shares"],
        tuple(
            tuple((held[f"matrix_{number}_{at}"], held[f"offset_{number}_{at}"]) for at in range(depth))
            for number in range(count)
        ),
        held["axes"],
        held["whole"],
        (float(held["usual"][0]), float(held["usual"][1])),
        held.get("expected"),
    )
