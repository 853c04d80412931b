"""Teaches the verdict's weights by simulated prints: writes ``src/tackside/verdict/taught.npz``.

    .venv/bin/python benchmarks/teach_causes.py                   # some ten minutes on two cores
    .venv/bin/python benchmarks/teach_causes.py --prints 20000 --networks 1 --out taught-small.npz

The prints are by invented works alone (``tests/verdict/study/invented.py``); the study's stocks, and the open data,
are not among them.
"""

from __future__ import annotations

import argparse
import os
import sys
from concurrent.futures import ProcessPoolExecutor
from dataclasses import replace
from functools import partial
from pathlib import Path

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")
ROOT = Path(__file__).parents[1]
sys.path.insert(0, str(ROOT))

import numpy as np  # noqa: E402
from sklearn.neural_network import MLPClassifier  # noqa: E402
from tests.verdict.study.teaching import views  # noqa: E402

from tackside.bench.files import write_atomically  # noqa: E402
from tackside.colour.spaces import Floats  # noqa: E402
from tackside.verdict.taught import CLIPPED, FILE, STATES, Weights, packed, unpacked  # noqa: E402

BLOCK = 3000
HIDDEN = (192, 96)
# Directions kept to tell whether a view is like those taught.
DIRECTIONS = 60
HELD_BACK = 0.05


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--prints", type=int, default=90_000)
    parser.add_argument("--networks", type=int, default=3)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--out", type=Path, default=ROOT / "src/tackside/verdict" / FILE)
    parser.add_argument(
        "--kept", type=Path, help="a folder where simulated prints are kept for the next time"
    )
    asked = parser.parse_args()
    blocks = range(-(-asked.prints // BLOCK))
    with ProcessPoolExecutor(2) as pool:
        made = list(pool.map(partial(_block, asked.seed, asked.kept), blocks))
        shown, states = np.concatenate([one[0] for one in made]), np.concatenate([one[1] for one in made])
        last = int(len(shown) * (1 - HELD_BACK))
        spread = _spread(shown[:last], states[:last])
        standard = spread.standard(shown).astype(np.float32)
        networks = list(pool.map(partial(_network, standard[:last], states[:last]), range(asked.networks)))
    data = packed(replace(spread, layers=tuple(tuple(network) for network in networks)))
    write_atomically(asked.out, data)
    weights = unpacked(data)
    told = weights.log_likelihoods(shown[last:]) + np.log(weights.shares)
    right = told.argmax(axis=1) == states[last:]
    print(f"{len(shown)} prints, {asked.networks} networks; states right of {len(right)} held back:")
    print(f"| all | {100 * right.mean():.1f} % |")
    for place, (cause, on_bare) in enumerate(STATES):
        of = states[last:] == place
        print(
            f"| {cause}{' on bare card' if on_bare else ''} | {100 * right[of].mean():.1f} % of {of.sum()} |"
        )


def _block(seed: int, kept: Path | None, number: int) -> tuple[Floats, Floats]:
    path = kept / f"{seed}-{number}.npz" if kept else None
    if path is not None and path.exists():
        with np.load(path) as held:
            return held["shown"], held["states"]
    shown, states = views(BLOCK, 1000 * seed + number)
    if path is not None:
        np.savez(path, shown=shown, states=states)
    return shown, states


def _network(standard: Floats, states: Floats, seed: int) -> list[tuple[Floats, Floats]]:
    network = MLPClassifier(
        HIDDEN,
        alpha=1e-3,
        batch_size=200,
        early_stopping=True,
        n_iter_no_change=6,
        max_iter=80,
        random_state=seed,
    )
    network.fit(standard, states)
    return list(zip(network.coefs_, network.intercepts_, strict=True))


def _spread(shown: Floats, states: Floats) -> Weights:
    """The weights without networks: how views are spread."""
    mean, sd = shown.mean(axis=0, dtype=np.float64), shown.std(axis=0, dtype=np.float64) + 1e-6
    standard = np.clip((shown - mean) / sd, -CLIPPED, CLIPPED)
    values, directions = np.linalg.eigh(standard.T @ standard / len(standard))
    kept = directions[:, ::-1][:, :DIRECTIONS]
    sizes = np.sqrt(values[::-1][:DIRECTIONS])
    shares = np.bincount(states, minlength=len(STATES)) / len(states)
    found = Weights(mean, sd, shares, (), kept / sizes, (kept * sizes).T, (1.0, 1.0))
    along, beyond = found.distances(shown)
    usual = (float(np.quantile(along, 0.999)), float(np.quantile(beyond, 0.999)))
    return replace(found, usual=usual)


if __name__ == "__main__":
    main()
