"""How long ``tackside --help`` takes beside a bare ``python -c pass``, alternately, in the same run.

    python3 do.py tackside --version    # makes the environment, once
    .venv/bin/python benchmarks/start.py

Aim: at most 0.3 s more than bare Python.
"""

from __future__ import annotations

import statistics
import subprocess
import sys
import time

RUNS = 15


def seconds(*arguments: str) -> float:
    start = time.perf_counter()
    subprocess.run([sys.executable, *arguments], check=True, stdout=subprocess.DEVNULL)
    return time.perf_counter() - start


def main() -> None:
    bare, ours = [], []
    for _ in range(RUNS):
        bare.append(seconds("-c", "pass"))
        ours.append(seconds("-m", "tackside", "--help"))
    low, high = statistics.median(bare), statistics.median(ours)
    print("| bare Python | tackside --help | more by | ratio |")
    print("| --- | --- | --- | --- |")
    print(f"| {low:.3f} s | {high:.3f} s | {high - low:.3f} s | {high / low:.1f} |")


if __name__ == "__main__":
    main()
