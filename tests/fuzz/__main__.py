"""``do.py fuzz``: the parsers of what comes from outside, tried with inputs that find new ways through them.

    do.py fuzz [NAME…] [--minutes 1 | --hours 1] [--at-once 2] [--into FOLDER]
    do.py fuzz [NAME…] --same       so many from one seed, nearly the same ones each time, from tests/fuzz/corpus alone
    do.py fuzz [NAME…] --keep       what was found worthwhile, and no more of it than it takes, into tests/fuzz/corpus

Each target has a process of its own, for so long. A fault, an answer that takes more than 10 seconds of processor time
and more than 1.5 GB of memory (of which a process that goes on needs a part for itself) end it with code 1, and the
file is named. Inputs are gathered in FOLDER, .artifacts/fuzz by itself, from where the next call goes on.

How far a time leads is another on each machine; --same counts inputs instead: a step before each change.
"""

from __future__ import annotations

import argparse
import importlib.util
import os
import re
import shutil
import signal
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from pathlib import Path

HERE = Path(__file__).parent
ROOT = HERE.parents[1]
CORPUS = HERE / "corpus"
# As in ``targets``, which is not imported here: each process imports it under its instruments.
NAMES = ("profile", "cgats", "cxf", "tiff", "archive", "toml", "ipp", "escl")
SEED = 1  # of ``--same``; else another each time
# Some 20 to 40 seconds of one core for each target, its start among them.
EXECUTIONS = {
    "profile": 4000, "cgats": 15_000, "cxf": 12_000, "tiff": 6000, "archive": 12_000, "toml": 12_000, "ipp": 12_000,
    "escl": 15_000,
}  # fmt: skip
STARTING_SECONDS = 600.0  # at most; on a machine that does much else
SAME_SECONDS = 3600.0  # no more than a guard: by the clock nothing is told
MOST_KEPT = 40


@dataclass(frozen=True)
class Told:
    """What a fuzzer said at its end. ``fault``: the last line of what was raised, empty where nothing was."""

    name: str
    executions: int
    a_second: int
    branches: int
    most_mb: int
    found: tuple[Path, ...]
    fault: str


def run(name: str, seconds: float | None, into: Path) -> Told:
    """One target for so long; None for its own number of inputs, nearly the same ones where ``into`` holds none."""
    work, found = into / name / "corpus", into / name / "found"
    for folder in (work, found, CORPUS / name):
        folder.mkdir(parents=True, exist_ok=True)
    before = set(found.iterdir())
    far = (
        (f"-runs={EXECUTIONS[name]}", f"-seed={SEED}", "-reload=0")
        if seconds is None
        else (f"-max_total_time={round(seconds)}",)
    )
    options = (
        *far,
        f"-artifact_prefix={found}/",
        str(work),
        str(CORPUS / name),
    )
    log = into / name / "log"
    code = _process(name, options, log, SAME_SECONDS if seconds is None else seconds)
    said = log.read_text("utf-8", "replace")
    new = tuple(sorted(set(found.iterdir()) - before))
    fault = ""
    if code or new:
        lines = re.findall(r"^(?:[\w.]+(?:Error|Exception)\b.*|==\d+== ?ERROR: .*)$", said, re.MULTILINE)
        fault = lines[0] if lines else f"it ended with {code}; see {log}"
    return Told(
        name,
        _number(r"stat::number_of_executed_units:\s+(\d+)", said),
        _number(r"stat::average_exec_per_sec:\s+(\d+)", said),
        _number(r"cov: (\d+)", said),
        _number(r"stat::peak_rss_mb:\s+(\d+)", said),
        new,
        fault,
    )


def _process(name: str, options: Sequence[str], log: Path, seconds: float) -> int:
    memory = Path("/dev/shm")  # files are written there a thousand times a second
    place = memory if memory.is_dir() else None
    alone = os.environ | {"OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1", "PYTHONHASHSEED": "0"}
    with tempfile.TemporaryDirectory(prefix="tackside-fuzz-", dir=place) as scratch, log.open("wb") as heard:
        command = [sys.executable, "-m", "tests.fuzz.run", name, scratch, *options]
        # By way of a shell, which is small: the kernel counts a starting process's peak of memory from that of whoever
        # forked it (getrusage(2)), and the fuzzer would take a test worker's gigabytes for its own.
        by_shell = ["/bin/sh", "-c", '"$@"; exit $?', "sh", *command]
        running = subprocess.Popen(
            by_shell, cwd=ROOT, env=alone, stdout=heard, stderr=heard, start_new_session=True
        )
        try:
            return running.wait(seconds + STARTING_SECONDS)
        except subprocess.TimeoutExpired:
            return -1
        finally:
            if running.poll() is None:
                os.killpg(running.pid, signal.SIGKILL)
                running.wait()


def _number(pattern: str, said: str) -> int:
    """The last of them."""
    found = re.findall(pattern, said)
    return int(found[-1]) if found else 0


def keep(name: str, into: Path) -> int:
    """The inputs that a target's branches take, of all that are there, the smallest first; how many that are."""
    kept = CORPUS / name
    kept.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder:
        chosen = Path(folder)
        _process(
            name, ("-set_cover_merge=1", str(chosen), str(kept), str(into / name / "corpus")),
            into / name / "merge", 1800,
        )  # fmt: skip
        files = sorted(chosen.iterdir(), key=lambda file: file.stat().st_size)[:MOST_KEPT]
        if files:
            shutil.rmtree(kept)
            kept.mkdir()
        for file in files:
            shutil.copyfile(file, kept / file.name[:12])
    return len(files)


def main(arguments: Sequence[str]) -> int:
    asked = argparse.ArgumentParser(
        prog="do.py fuzz", description=__doc__, formatter_class=argparse.RawTextHelpFormatter
    )
    asked.add_argument("names", nargs="*", metavar="NAME", help=", ".join(NAMES))
    asked.add_argument("--minutes", type=float, default=1.0)
    asked.add_argument("--hours", type=float)
    asked.add_argument("--at-once", type=int, default=2)
    asked.add_argument("--into", type=Path, default=ROOT / ".artifacts" / "fuzz")
    chosen = asked.add_mutually_exclusive_group()
    chosen.add_argument("--same", action="store_true")
    chosen.add_argument("--keep", action="store_true")
    options = asked.parse_args(arguments)
    unknown = [name for name in options.names if name not in NAMES]
    if unknown:
        asked.error(f"there is no target {unknown[0]}; choose from {', '.join(NAMES)}")
    if importlib.util.find_spec("atheris") is None:
        print(
            "do.py fuzz: Atheris, which it runs, is for Linux on x86-64 with Python 3.11 to 3.13; nothing was run"
        )
        return 0
    names, into = options.names or NAMES, options.into.resolve()
    if options.keep:
        for name in names:
            print(f"{name}: {keep(name, into)} files kept", flush=True)
        return 0
    seconds = None if options.same else 3600 * options.hours if options.hours else 60 * options.minutes
    if options.same:
        into = into / "same"
        shutil.rmtree(into, ignore_errors=True)
    with ThreadPoolExecutor(options.at_once) as processes:
        told = list(processes.map(lambda name: run(name, seconds, into), names))
    return report(told)


def report(told: Sequence[Told]) -> int:
    print(f"{'target':10}{'executions':>12}{'a second':>10}{'branches':>10}{'memory':>10}  found")
    for each in told:
        counts = f"{each.executions:12}{each.a_second:10}{each.branches:10}{each.most_mb:7} MB"
        print(f"{each.name:10}{counts}  {each.fault or 'nothing'}")
    for each in told:
        for file in each.found:
            print(f"\n{file}\n    keep it as a test: cp {file} tests/fuzz/corpus/{each.name}/")
    return 1 if any(each.fault for each in told) else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
