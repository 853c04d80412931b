"""How surely a scan's spoilt settings are told, and how often a clean scan is accused.

    .venv/bin/python benchmarks/spoilt.py [--scans 144] [--count 24] [--seed 4711] [--only sharpening] [--keep FILE]

Clean scans of two presses and their scanners (``training/spoiling.py``) are read as they are, and some of them after
each setting, by Pillow, OpenCV and libvips. A setting *counts* on a scan where it moves a patch by more than 1 ΔE00 or
the frequency at half response of an edge by more than 10 %; of these and of all is said how many were told: as what
they are, or as anything that makes the reading no better trusted than that.
``--first`` and ``--keep`` make a study in several parts.
"""

from __future__ import annotations

import argparse
import json
import os
import sys
import time
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory

for name in ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS"):
    os.environ.setdefault(name, "1")
sys.path.insert(0, str(Path(__file__).parents[1]))

import numpy as np  # noqa: E402
from training import spoiling  # noqa: E402
from training.spoilt_seen import moved, see  # noqa: E402

from tackside.reading.scan.locate import locate  # noqa: E402

COVERED = "12 % covered in white"


@dataclass(frozen=True)
class Tried:
    """One setting on one scan: what it is to be told by, whether it counts, and what was told."""

    setting: str
    kind: str
    counts: bool
    told: tuple[str, ...]

    @property
    def hit(self) -> bool:
        return self.kind in self.told


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--scans", type=int, default=144, help="so many are read as they are")
    parser.add_argument("--count", type=int, default=24, help="to so many of these each setting is done, too")
    parser.add_argument("--seed", type=int, default=4711)
    parser.add_argument(
        "--first", type=int, default=0, help="number of the first scan: a study in several parts"
    )
    parser.add_argument("--only", action="append", help="settings to be told by this alone")
    parser.add_argument("--setting", action="append", help="these settings alone, by name")
    parser.add_argument(
        "--keep", type=Path, help="a file of JSON lines that results are added to, and summed up"
    )
    asked = parser.parse_args()
    some = {
        name: each
        for name, each in spoiling.SETTINGS.items()
        if (not asked.only or each[0] in asked.only) and (not asked.setting or name in asked.setting)
    }
    numbers = range(asked.first, asked.first + asked.scans)
    changed = set(np.linspace(numbers[0], numbers[-1], asked.count).astype(int).tolist())
    lines: list[Tried] = []
    start = time.perf_counter()
    with TemporaryDirectory() as folder:
        for number in numbers:
            clean = spoiling.clean_scan(asked.seed, number)
            path = spoiling.save(clean.pixels, clean, Path(folder) / "scan.tif")
            located = locate(path, clean.plan, clean.trial)
            plain = see(located, clean.pixels)
            lines.append(kept(asked.keep, Tried("clean", "", False, plain.told)))
            if plain.told:
                print(f"clean {number} ({clean.told}, {clean.bits} bits): {plain.told}", file=sys.stderr)
            if number not in changed:
                continue
            rng = np.random.default_rng([asked.seed, number, 1])
            settings = {**some, COVERED: ("covered", spoiling.covered(0.12, rng))}
            if (asked.only and "covered" not in asked.only) or (
                asked.setting and COVERED not in asked.setting
            ):
                del settings[COVERED]
            for name, (kind, operation) in settings.items():
                seen = see(located, operation(clean.pixels))
                lines.append(kept(asked.keep, Tried(name, kind, moved(plain, seen), seen.told)))
            print(f"{number}: {time.perf_counter() - start:.0f} s", file=sys.stderr, flush=True)
    if asked.keep is not None:
        lines = [Tried(**json.loads(line)) for line in asked.keep.read_text().splitlines()]
        lines = [Tried(one.setting, one.kind, one.counts, tuple(one.told)) for one in lines]
    print(table(lines))


def kept(file: Path | None, one: Tried) -> Tried:
    if file is not None:
        with file.open("a") as stream:
            stream.write(json.dumps(one.__dict__) + "\n")
    return one


def table(lines: list[Tried]) -> str:
    """Of each setting: scans, where it counts, told there, told at all, and told there as anything."""
    rows = [
        "| setting | told by | scans | counts | told where it counts | told of all | told as anything |",
        "| --- " * 7 + "|",
    ]
    clean = [one for one in lines if one.setting == "clean"]
    accused = [one for one in clean if one.told]
    for name in dict.fromkeys(one.setting for one in lines if one.setting != "clean"):
        its = [one for one in lines if one.setting == name]
        count = [one for one in its if one.counts]
        rows.append(
            f"| {name} | {its[0].kind} | {len(its)} | {len(count)} | {_share(count)} | {_share(its)} "
            f"| {sum(bool(one.told) for one in count)} of {len(count)} |"
        )
    rows.append(f"\nClean scans accused: {len(accused)} of {len(clean)}.")
    return "\n".join(rows)


def _share(some: list[Tried]) -> str:
    return f"{sum(one.hit for one in some)} of {len(some)}" if some else "none"


if __name__ == "__main__":
    main()
