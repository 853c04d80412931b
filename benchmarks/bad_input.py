"""How the program takes bad input: damaged files of every kind, and odd paths in every place that takes one.

    python3 do.py tackside --version    # makes the environment, once
    PYTHONPATH=. .venv/bin/python benchmarks/bad_input.py [SEED] [SECONDS]

Aim: 0 faults of its own, 0 calls past 10 s (of processor time: a busy machine makes none late), 0 past 1 GB, 0 files
left. Linux alone has such paths. Each odd path is tried once; the rest of the time goes to damaged files, to each kind
as much. What was a fault is kept in a folder.
"""

from __future__ import annotations

import collections
import os
import random
import sys
import tempfile
import time
from pathlib import Path

from tests.bad_files import Reader, cases, fault_in, readers
from tests.cli.odd_paths import (
    CALLS,
    ODD,
    SECONDS,
    TooLong,
    call,
    furnish,
    odd_paths,
    places_and_paths,
    within,
)

LIMIT_MB = 1000
# A command that does nothing holds so much; a call in this process is counted with it.
BARE_MB = 180


class Tally:
    def __init__(self) -> None:
        self.cases = self.faults = self.late = self.large = 0
        self.longest = self.most_mb = 0.0

    def add(self, seconds: float, grown_mb: float, fault: object, late: bool) -> None:
        self.cases += 1
        self.longest = max(self.longest, seconds)
        self.late += late
        self.faults += bool(fault) and not late
        self.most_mb = max(self.most_mb, grown_mb + BARE_MB)
        self.large += grown_mb + BARE_MB > LIMIT_MB


class Memory:
    """How far this process grew since it was begun to be watched, at its largest (proc(5): clear_refs, VmHWM)."""

    def __init__(self) -> None:
        Path("/proc/self/clear_refs").write_text("5", encoding="ascii")
        self._before = self._held("VmRSS")

    def grown_mb(self) -> float:
        return max(0.0, self._held("VmHWM") - self._before)

    @staticmethod
    def _held(what: str) -> float:
        lines = Path("/proc/self/status").read_text("ascii").splitlines()
        return next(int(line.split()[1]) for line in lines if line.startswith(what)) / 1024


def try_paths(folder: Path, chance: random.Random, tally: Tally) -> None:
    odd = odd_paths(folder / "odd")
    every = places_and_paths(odd)
    chance.shuffle(every)
    for place, name in every:
        memory = Memory()
        told = call(("--bench", "bench", *(odd[name] if word == ODD else word for word in CALLS[place])))
        fault = told.fault()
        tally.add(told.seconds, memory.grown_mb(), fault, told.is_late)
        if fault:
            print(f"{' '.join(place)}, {name}: {fault.strip().splitlines()[-1][:200]}", file=sys.stderr)


def try_files(
    kind: str, reader: Reader, chance: random.Random, seconds: float, kept: Path, tally: Tally
) -> None:
    place, end = kept / "bad", time.monotonic() + seconds
    for data in cases(reader, chance):
        if time.monotonic() > end:
            break
        began = time.process_time()
        late, fault, memory = False, None, Memory()
        try:
            with within(SECONDS):
                fault = fault_in(reader, data, place)
        except TooLong:
            late = True
        tally.add(time.process_time() - began, memory.grown_mb(), fault, late)
        if fault or late:
            bad = kept / f"{kind}-{tally.cases}"
            bad.write_bytes(data)
            print(f"{bad}: {fault!r:.200}" if fault else f"{bad}: not back in time", file=sys.stderr)


def left_in(folder: Path) -> list[Path]:
    return [each for each in folder.rglob("*") if each.name.startswith(".tackside-") or ".part-" in each.name]


def main(seed: int, seconds: float) -> None:
    began, chance = time.monotonic(), random.Random(seed)
    tallies: dict[str, Tally] = collections.defaultdict(Tally)
    world, kept = (Path(tempfile.mkdtemp(prefix="bad-input-")) for _ in range(2))
    (kept / "sound").mkdir()
    furnish(world)
    os.environ["HOME"] = str(world / "home")
    os.chdir(world)
    known = readers(kept / "sound")
    try_paths(world, chance, tallies["odd path"])
    share = max(1.0, (seconds - (time.monotonic() - began)) / len(known))
    for kind, reader in known.items():
        try_files(kind, reader, chance, share, kept, tallies[kind])
    print("| what | cases | faults of its own | past 10 s | past 1 GB | longest | most memory |")
    print("| --- | --- | --- | --- | --- | --- | --- |")
    for kind, tally in tallies.items():
        counts = f"{tally.cases} | {tally.faults} | {tally.late} | {tally.large}"
        print(f"| {kind} | {counts} | {tally.longest:.1f} s | {tally.most_mb:.0f} MB |")
    total = sum(each.cases for each in tallies.values())
    print(
        f"\nSeed {seed}: {total} cases in {time.monotonic() - began:.0f} s,",
        end=" ",
    )
    print(f"{len(left_in(world) + left_in(kept))} files left behind")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1, float(sys.argv[2]) if len(sys.argv) > 2 else 300.0)
