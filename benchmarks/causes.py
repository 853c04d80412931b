"""The study of causes: how often the verdict names the right fault on prints that it has never seen.

    .venv/bin/python benchmarks/causes.py              # 2 400 prints, and 600 judged by eye: some minutes on two cores
    .venv/bin/python benchmarks/causes.py --prints 300
    .venv/bin/python benchmarks/causes.py --keep study/                  # goes on where it was stopped
    .venv/bin/python benchmarks/causes.py --cluster tcp://host:8786      # on the workers of a Dask scheduler
    .venv/bin/python benchmarks/causes.py --examiner --seed 7            # on physics that nothing is taught on

Stocks are held out: models fitted to FOGRA39L, FOGRA29L and TR 003, and invented ones that the tuning left out. With
``--examiner`` the prints come from ``training/examiner``, which shares no press, gamut mapping, scanner nor eye with
what the verdict is taught on; a new seed draws new ones.
"""

from __future__ import annotations

import argparse
import os
import sys
from functools import partial
from pathlib import Path
from typing import get_args

# Small matrices: more threads than one only get in each other's way.
for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")
sys.path.insert(0, str(Path(__file__).parents[1]))

from training import table  # noqa: E402
from training.block import code_now  # noqa: E402
from training.block import study as judged_in_blocks  # noqa: E402
from training.examiner import study as examination  # noqa: E402
from training.examiner.examined import Way  # noqa: E402
from training.examiner.works import FAMILIES, missing  # noqa: E402


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
    parser.add_argument("--examiner", action="store_true", help="prints of training/examiner")
    parser.add_argument(
        "--way", choices=get_args(Way), action="append", help="of the examiner; each by default"
    )
    parser.add_argument("--count", type=int, help="prints of each way of the examiner")
    asked = parser.parse_args()
    if asked.examiner:
        examine(asked)
        return
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


# How many prints of each way are examined unless --count says otherwise: an image takes seconds.
EXAMINED: dict[Way, int] = {"figures": 1200, "eye": 480, "image": 48}


def examine(asked: argparse.Namespace) -> None:
    for family in FAMILIES:
        if (package := missing(family)) is not None:
            print(f"Family {family} is left out: install {package}.", file=sys.stderr)
    print(examination.HEAD)
    details = []
    for way in asked.way or get_args(Way):
        some = examination.study(
            asked.count or EXAMINED[way],
            asked.seed,
            way=way,
            workers=asked.workers,
            finished=asked.keep,
            code=code_now(),
            tell=tell,
        )
        print(examination.report(way, some), flush=True)
        details += [f"\n{way}\n", examination.by_fault(some), "", examination.confusion(some)]
    print("\n".join(details))


def tell(done: int, of: int) -> None:
    print(f"{done} of {of} blocks", file=sys.stderr)


if __name__ == "__main__":
    main()
