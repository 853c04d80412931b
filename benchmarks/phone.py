"""The study of photographs: two prints beside each other, as a phone sees them, read by the known one.

    .venv/bin/python benchmarks/phone.py --seed 83                # 200 photographs: about 20 minutes on two quiet cores
    .venv/bin/python benchmarks/phone.py --seed 83 --count 50 --keep study/   # goes on where it was stopped
    .venv/bin/python benchmarks/phone.py --seed 83 --pictures photographs/    # keeps them, to be read by other code

Prints come from ``training/examiner``, light, lens, camera and file from ``training/phone``; neither shares anything
with the reading of photographs. Asked: 95 % read, the rest refused with the reason; the median ΔE00 of patches beside
the known print at most 1.5; the grade that of the scan's in 95 %. The peer in the same run: a second scanner or
instrument, which reads both prints as well. Close calls are counted apart, and the very same grades as they are; so
are prints at a limit, of which another grade lies within one standard uncertainty of the first device's own figures.
"""

from __future__ import annotations

import argparse
import os
import sys
from pathlib import Path

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")
sys.path.insert(0, str(Path(__file__).parents[1]))

from training.block import code_now  # noqa: E402
from training.phone.study import report, study  # noqa: E402


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--workers", type=int, help="processes; by default one for each core")
    parser.add_argument("--keep", type=Path, help="folder for what is finished")
    parser.add_argument("--pictures", type=Path, help="folder for the photographs, to be read again later")
    asked = parser.parse_args()
    found = study(
        asked.count,
        asked.seed,
        workers=asked.workers,
        finished=asked.keep,
        pictures=asked.pictures,
        code=code_now(),
        tell=lambda done, of: print(f"{done} of {of} blocks", file=sys.stderr),
    )
    print(report(found))


if __name__ == "__main__":
    main()
