"""Trains the verdict's weights on simulated prints: writes ``src/tackside/verdict/classifier/trained.npz``.

    .venv/bin/python training/train_causes.py                   # some ten minutes on two cores
    .venv/bin/python training/train_causes.py --by-eye          # trained_by_eye.npz, on invented people's answers
    .venv/bin/python training/train_causes.py --prints 20000 --networks 1 --out trained-small.npz

The prints are by invented works alone (``training/invented.py``); the study's stocks, and the open data,
are not among them.
"""

from __future__ import annotations

import argparse
import os
import sys
from collections.abc import Callable
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")
ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402
from sklearn.neural_network import MLPClassifier  # noqa: E402

from tackside.colour.spaces import Floats  # noqa: E402
from tackside.files.atomic import write_atomically  # noqa: E402
from tackside.verdict.classifier.features import AGAINST, FIGURES, deviations  # noqa: E402
from tackside.verdict.classifier.likelihoods import BY_EYE, CLIPPED, FILE, STATES, Weights, packed, unpacked  # noqa: E402
from training.simulated_by_eye import answered  # noqa: E402
from training.teacher.prints import feature_rows  # noqa: E402

BLOCK = 2500
HELD_BACK = 0.05


@dataclass(frozen=True)
class Subject:
    """What is trained: ``show`` gives so many rows and states from a seed on; ``directions``: how many are kept to tell
    whether a row is like the ones trained on; ``jitter``: by how many standard deviations rows are off that are shown
    once more; ``passes``: how often all rows are gone through, each time off anew, where they are not shown twice until
    those held back are known best."""

    file: str
    show: Callable[[int, int], tuple[Floats, Floats]]
    prints: int
    hidden: tuple[int, ...]
    directions: int
    jitter: float = 0.25
    alpha: float = 2e-2
    passes: int | None = None


COLOURS = Subject(FILE, feature_rows, 160_000, (192, 96), 80)
# Answers are few and coarse, so that a network soon knows every form by heart. Held to presses, people and screens that
# it was not taught on, one that never sees a form twice alike does best.
ANSWERS = Subject(BY_EYE, answered, 100_000, (96,), 24, jitter=0.3, alpha=0.1, passes=30)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--by-eye", action="store_true", help="the weights of answers instead")
    parser.add_argument("--prints", type=int)
    parser.add_argument("--networks", type=int, default=6)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, default=2, help="processes; the weights are the same for any")
    parser.add_argument("--out", type=Path)
    parser.add_argument(
        "--kept", type=Path, help="a folder where simulated prints are kept for the next time"
    )
    asked = parser.parse_args()
    of = ANSWERS if asked.by_eye else COLOURS
    blocks = range(-(-(asked.prints or of.prints) // BLOCK))
    with ProcessPoolExecutor(asked.workers) as pool:
        made = list(pool.map(partial(_block, of, asked.seed, asked.kept), blocks))
        shown, states = np.concatenate([one[0] for one in made]), np.concatenate([one[1] for one in made])
        assert np.isfinite(shown).all(), "a print of the teacher has no colour"
        last = int(len(shown) * (1 - HELD_BACK))
        spread = _spread(shown[:last], states[:last], of.directions)
        standard = spread.standard(shown).astype(np.float32)
        train = partial(_network, of, standard[:last], states[:last])
        networks = list(pool.map(train, range(asked.networks)))
    data = packed(replace(spread, layers=tuple(tuple(network) for network in networks)))
    write_atomically(asked.out or ROOT / "src/tackside/verdict/classifier" / of.file, data)
    weights = unpacked(data)
    likelihoods = weights.log_likelihoods(shown[last:]) + np.log(weights.shares)
    right = likelihoods.argmax(axis=1) == states[last:]
    print(f"{len(shown)} prints, {asked.networks} networks; states right of {len(right)} held back:")
    print(f"| all | {100 * right.mean():.1f} % |")
    for place, (cause, on_bare) in enumerate(STATES):
        own = states[last:] == place
        print(
            f"| {cause}{' on bare card' if on_bare else ''} | {100 * right[own].mean():.1f} % of {own.sum()} |"
        )


def _block(of: Subject, seed: int, kept: Path | None, number: int) -> tuple[Floats, Floats]:
    path = kept / f"{Path(of.file).stem}-{seed}-{number}.npz" if kept else None
    if path is not None and path.exists():
        with np.load(path) as held:
            return held["shown"], held["states"]
    shown, states = of.show(BLOCK, 1000 * seed + number)
    if path is not None:
        np.savez(path, shown=shown, states=states)
    return shown, states


def _network(of: Subject, standard: Floats, states: Floats, seed: int) -> list[tuple[Floats, Floats]]:
    rng = np.random.default_rng(seed)

    def off() -> Floats:
        # Presses that nobody invented differ from all of these: each print is shown a little off.
        return standard + rng.normal(0.0, of.jitter, standard.shape).astype(np.float32)

    network = MLPClassifier(
        of.hidden,
        alpha=of.alpha,
        batch_size=200,
        early_stopping=of.passes is None,
        n_iter_no_change=6,
        max_iter=80,
        random_state=seed,
    )
    if of.passes is None:
        network.fit(np.concatenate([standard, off()]), np.concatenate([states, states]))
    else:
        for _ in range(of.passes):
            network.partial_fit(off(), states, classes=np.arange(len(STATES)))
    return list(zip(network.coefs_, network.intercepts_, strict=True))


def _spread(shown: Floats, states: Floats, kept_directions: int) -> Weights:
    """The weights without networks: how features are spread."""
    mean, sd = shown.mean(axis=0, dtype=np.float64), shown.std(axis=0, dtype=np.float64) + 1e-6
    standard = np.clip((shown - mean) / sd, -CLIPPED, CLIPPED)
    values, directions = np.linalg.eigh(standard.T @ standard / len(standard))
    kept = directions[:, ::-1][:, :kept_directions]
    sizes = np.sqrt(values[::-1][:kept_directions])
    expected = _expected(shown, states) if kept_directions == COLOURS.directions else None
    shares = np.bincount(states, minlength=len(STATES)) / len(states)
    found = Weights(mean, sd, shares, (), kept / sizes, (kept * sizes).T, (1.0, 1.0), expected)
    along, beyond = found.distances(shown)
    usual = (float(np.quantile(along, 0.999)), float(np.quantile(beyond, 0.999)))
    return replace(found, usual=usual)


def _expected(shown: Floats, states: Floats) -> Floats:
    """What figures are off, by what they are held against, state and figure: mean and sd; 0 where none was shown."""
    off, against = deviations(shown)
    found = np.zeros((len(AGAINST), len(STATES), len(FIGURES), 2))
    for way in range(len(AGAINST)):
        for state in range(len(STATES)):
            own = off[(against == way) & (states == state)]
            if len(own) > 1:
                found[way, state] = np.stack([own.mean(axis=0), own.std(axis=0)], axis=-1)
    return found


if __name__ == "__main__":
    main()
