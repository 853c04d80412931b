"""How far prints of one group stray together, and how often their common fault is found, on invented groups of prints.

    .venv/bin/python -m training.together --of teacher      # what ALIKE is chosen by
    .venv/bin/python -m training.together --of press        # the same on the virtual press
    .venv/bin/python -m training.together --of examiner     # the figures that are stated

A group is one printer with one way to print, one fault of it (or none), one scanner and up to eight cards, all
different, some of them bare; one print in twenty is made otherwise than the rest. Half of them have a good print beside
them. ``ALIKE`` in ``verdict/together/shared.py`` is the correlation at which chances of the common fault cost least on
the teacher's groups (logarithmic score). The examiner shares no physics with these, and nothing is chosen by it.
"""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")
sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy as np  # noqa: E402

from training import pressed_groups  # noqa: E402
from training.examiner.groups import draw_groups as examined_groups  # noqa: E402
from training.groups import Group, scores, table  # noqa: E402
from training.teacher import groups as taught_groups  # noqa: E402

ALIKES = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)


def draw(of: str, count: int, seed: int) -> list[Group]:
    if of == "examiner":
        return [Group(one.fault, one.moved, one.prints, one.bare) for one in examined_groups(count, seed)]
    one = taught_groups.draw_group if of == "teacher" else pressed_groups.draw_group
    return [one(np.random.default_rng([seed, number])) for number in range(count)]


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--of", choices=("teacher", "press", "examiner"), default="examiner")
    parser.add_argument("--groups", type=int, default=300)
    parser.add_argument("--seed", type=int, default=11)
    asked = parser.parse_args()
    groups = draw(asked.of, asked.groups, asked.seed)
    if asked.of != "examiner":
        print(scores(groups, ALIKES))
        print()
    print(table(groups))


if __name__ == "__main__":
    main()
