"""The likelihood of each state of a print: the trained weights' word, and likeness to what is known.

Of many prints by invented printers, inks, cards and scanners (``training/train_causes.py``) a small network learnt
to tell the states apart; its odds over the odds at which it was trained are likelihood ratios, everything else
marginalised (K. Cranmer, J. Brehmer, G. Louppe, "The frontier of simulation-based inference", PNAS 117, 2020;
docs/sources.md, S98).

The weights speak of prints like those that they were trained on; the farther a print lies from all of these, the less
they count (``likeness``), and the likelier a fault is that nobody knows. A print that looks like its good reference is
sound, and one that looks just like what a profile foretells of a fault has that fault, whatever the weights say.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from importlib.resources import files
from io import BytesIO

import numpy as np
from numpy.typing import NDArray

from tackside.records.reading import Reading
from tackside.records.verdict import Cause
from tackside.verdict.causes.symptoms import PATHS
from tackside.verdict.classifier.answer_features import answer_features
from tackside.verdict.classifier.features import Circumstances, beside_paper, features
from tackside.verdict.measures.patch_table import Floats

# Root mean square of ΔE*ab over the samples up to which two readings by one device show the same print, and from which
# on likeness says nothing more: two packs of a card, printed days apart, differ by about one (this project's own).
ALIKE, UNLIKE = 1.2, 2.4
# How much less likely every other state is, in natural logarithms, for a print that looks like what is known.
_RULED_OUT = 6.0
# How much of the word of the weights on colours counts beside a good print, as a power; alone all of it does. Presses,
# papers and scanners that nobody taught them make them surer than they should be, and beside a good print there are
# more figures of which they may be wrong. Chosen, with how far sound prints are spared, by totals on prints of other
# physics than they were taught on, of seeds that no figure is stated on.
TRUSTED_BESIDE = 5.0 / 6.0
# What a print unlike all that the weights know adds to the fault that nobody knows.
_STRANGE = 4.0
_NEVER = -30.0
# How much of the word the table of plain answers has, beside people who see what they expect (this project's own).
BY_TABLE = 0.15
# Faults that need somebody to convert colours: a sheet of bare device numbers has none of them.
_OF_PATHS: tuple[Cause, ...] = ("managed-twice", "unmanaged", "wide-read-as-narrow", "narrow-read-as-wide")


@dataclass(frozen=True)
class Likelihoods:
    """Log likelihoods, up to one constant, of each fault of the path on ``coated`` and on ``bare`` card, and of a
    fault that nobody knows.
    """

    coated: dict[Cause, float]
    bare: dict[Cause, float]
    unknown: float


def likelihoods_of_colours(
    lab: Floats,
    beside: Floats | None,
    of: Circumstances,
    foretold: Mapping[Cause, Sequence[Floats]] | None = None,
) -> Likelihoods:
    """What a print's colours (36, 3) at SAMPLED_AT say, with those of the good print ``beside`` it.

    ``foretold``: what a profile says that the print would show under faults of the path.
    """
    trusted = 1.0 if beside is None else TRUSTED_BESIDE
    logs = _by_state(trained_weights(), features(lab, beside, of), trusted)
    known: dict[Cause, Sequence[Floats]] = (
        {"none": [beside], **(foretold or {})} if beside is not None else {}
    )
    if known:
        logs = _drawn_to_the_like(logs, lab, known, max(1.0, of.de00 / 1.5) if foretold else 1.0)
    if of.space is None:
        logs |= {state: _NEVER for state in logs if state[0] in _OF_PATHS}
    return _of(logs)


def likelihoods_of_answers(
    reading: Reading,
    of: Circumstances,
    coated: Mapping[Cause, float],
    bare: Mapping[Cause, float],
    unknown: float,
) -> Likelihoods:
    """What the weights trained on invented people's answers say of a form, with what the table of plain answers says:
    log likelihoods of each fault of the path on ``coated`` and on ``bare`` card and of one that nobody knows."""
    by_weights = _by_state(trained_weights(BY_EYE), answer_features(reading, of), 1.0)
    table = {
        (cause, on_bare): said[cause] for on_bare, said in ((False, coated), (True, bare)) for cause in said
    }
    table["unknown", False] = unknown
    logs = {state: (1.0 - BY_TABLE) * value + BY_TABLE * table[state] for state, value in by_weights.items()}
    if of.space is None:
        logs |= {state: _NEVER for state in logs if state[0] in _OF_PATHS}
    return _of(logs)


def _by_state(weights: Weights, row: Floats, trusted: float) -> dict[State, float]:
    likeness = weights.likeness(row)
    logs = dict(zip(STATES, (trusted * likeness * weights.log_likelihoods(row)).tolist(), strict=True))
    logs["unknown", False] += _STRANGE * (1.0 - likeness)
    return logs


def _drawn_to_the_like(
    logs: dict[State, float], lab: Floats, known: Mapping[Cause, Sequence[Floats]], wider: float
) -> dict[State, float]:
    """The likelihoods, drawn as far as the print looks like what is known of one cause to that cause."""
    off = {cause: min(apart(lab, one) for one in ways) for cause, ways in known.items()}
    nearest = min(off, key=lambda cause: off[cause])
    weight = float(np.clip((UNLIKE - off[nearest] / wider) / (UNLIKE - ALIKE), 0.0, 1.0))
    if weight == 0.0:
        return logs
    return {
        state: (1.0 - weight) * value - weight * (0.0 if state == (nearest, False) else _RULED_OUT)
        for state, value in logs.items()
    }


def apart(one: Floats, other: Floats) -> float:
    """Root mean square ΔE*ab of two prints' colours (36, 3), each beside its own paper, and of their blacks."""
    off = beside_paper(one) - beside_paper(other)
    return float(np.sqrt((off**2).sum(axis=-1).mean()))


def _of(logs: Mapping[State, float]) -> Likelihoods:
    return Likelihoods(
        {cause: value for (cause, on_bare), value in logs.items() if not on_bare and cause != "unknown"},
        {cause: value for (cause, on_bare), value in logs.items() if on_bare},
        logs["unknown", False],
    )


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
