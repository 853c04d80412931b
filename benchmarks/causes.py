"""The study of causes: how often the verdict names the right fault on prints that it has never seen.

    .venv/bin/python benchmarks/causes.py              # 2 400 prints, and 600 judged by eye: some minutes on two cores
    .venv/bin/python benchmarks/causes.py --prints 300
    .venv/bin/python benchmarks/causes.py --keep study/                  # goes on where it was stopped
    .venv/bin/python benchmarks/causes.py --cluster tcp://host:8786      # on the workers of a Dask scheduler

Stocks are held out: models fitted to FOGRA39L, FOGRA29L and TR 003, and invented ones that the tuning left out.
"""

from __future__ import annotations

import argparse
import os
import sys
from functools import partial
from pathlib import Path

# Small matrices: more threads than one only get in each other's way.
for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")
sys.path.insert(0, str(Path(__file__).parents[1]))

from training import table  # noqa: E402
from training.block import study as judged_in_blocks  # noqa: E402


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--prints", type=int, default=2400)
    parser.add_argument("--by-eye", type=int, default=600)
    parser.add_argument(
        "--images", type=int, default=60, help="prints that go through press and scanner as images"
    )
    parser.add_argument("--seed", type=int, default=20260301)
    parser.add_argument("--training", action="store_true", help="on the stocks that served for tuning")
    parser.add_argument("--workers", type=int, help="processes; by default one for each core")
    parser.add_argument("--cluster", help="address of a Dask scheduler, whose workers reach this folder")
    parser.add_argument("--keep", type=Path, help="folder for what is finished")
    asked = parser.parse_args()
    study = partial(
        judged_in_blocks,
        tuned=asked.training,
        workers=asked.workers,
        cluster=asked.cluster,
        finished=asked.keep,
        tell=tell,
    )
    judged = study(asked.prints, asked.seed)
    print(table.HEAD)
    print(table.rows("all", judged))
    for kind in ("same card", "known card", "none"):
        some = [one for one in judged if one.beside == kind]
        print(table.rows(f"beside: {kind}", some))
    compared = [one for one in judged if one.beside != "none"]
    print(table.rows("with any reference", compared))
    if asked.images:
        print(table.rows("scanned as images", study(asked.images, asked.seed + 3, way="image")))
    if asked.by_eye:
        print(table.rows("answers by eye alone", study(asked.by_eye, asked.seed + 7, way="eye")))
    print()
    print(table.confusion(judged))


def tell(done: int, of: int) -> None:
    print(f"{done} of {of} blocks", file=sys.stderr)


if __name__ == "__main__":
    main()
