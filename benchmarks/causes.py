"""The study of causes: how often the verdict names the right fault on prints that it has never seen.

    .venv/bin/python benchmarks/causes.py              # 2 400 prints, and 600 judged by eye: some minutes on two cores
    .venv/bin/python benchmarks/causes.py --prints 300

Stocks are held out: models fitted to FOGRA39L, FOGRA29L and TR 003, and invented ones that the tuning left out.
"""

from __future__ import annotations

import argparse
import os
import sys
from concurrent.futures import ProcessPoolExecutor
from pathlib import Path

# Small matrices: more threads than one only get in each other's way.
for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")
sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.verdict.study import table  # noqa: E402
from tests.verdict.study.stocks import held_out, training  # noqa: E402

BLOCK = 100


def _block(job: tuple[int, int, bool, bool]) -> list[table.Judged]:
    count, seed, by_eye, tuned = job
    return table.run(training() if tuned else held_out(), count, seed, by_eye=by_eye)


def study(
    count: int, seed: int, pool: ProcessPoolExecutor, *, by_eye: bool = False, tuned: bool = False
) -> list[table.Judged]:
    jobs = [(min(BLOCK, count - at), seed + at, by_eye, tuned) for at in range(0, count, BLOCK)]
    return [one for block in pool.map(_block, jobs) for one in block]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--prints", type=int, default=2400)
    parser.add_argument("--by-eye", type=int, default=600)
    parser.add_argument("--seed", type=int, default=20260301)
    parser.add_argument("--training", action="store_true", help="on the stocks that served for tuning")
    asked = parser.parse_args()
    with ProcessPoolExecutor(2) as pool:
        judged = study(asked.prints, asked.seed, pool, tuned=asked.training)
        print(table.HEAD)
        print(table.rows("all", judged))
        for kind in ("same card", "known card", "none"):
            some = [one for one in judged if one.beside == kind]
            print(table.rows(f"beside: {kind}", some))
        compared = [one for one in judged if one.beside != "none"]
        print(table.rows("with any reference", compared))
        if asked.by_eye:
            print(
                table.rows(
                    "answers by eye alone",
                    study(asked.by_eye, asked.seed + 7, pool, by_eye=True, tuned=asked.training),
                )
            )
    print()
    print(table.confusion(judged))


if __name__ == "__main__":
    main()
