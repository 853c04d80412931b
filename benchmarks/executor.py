"""How judging an archive again scales from one worker to two: processes of this machine, and a Dask cluster on it.

    .venv/bin/python benchmarks/executor.py

The archive is ninety-six invented trials of 194 patches each; the peer is one worker doing the same. Aim:
1.8 times as fast with two. A warm-up of each pool is not counted: workers of long runs start once.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))

from tackside.bench.spread import spread
from tackside.verdict.again import judge_again

TRIALS, RUNS = 96, 3


def archive() -> list[dict[str, Any]]:
    from tests.report.invented import entry

    made = [entry(f"Stock {n}", trial_id=f"T{n:03}", reach=0.4 + n / 300) for n in range(TRIALS)]
    return [
        {
            "trial": one.trial.model_dump(mode="json"),
            "reading": one.reading.model_dump(mode="json"),
            "stock": one.stock.model_dump(mode="json"),
            "printer": one.printer.model_dump(mode="json"),
        }
        for one in made
    ]


def seconds(call: Callable[[list[dict[str, Any]]], Any], items: list[dict[str, Any]]) -> float:
    start = time.perf_counter()
    call(items)
    return time.perf_counter() - start


def here(workers: int, items: list[dict[str, Any]]) -> float:
    """Seconds for the work alone: what starting the workers takes is measured with one item each, and taken off."""
    whole = seconds(lambda each: spread(judge_again, each, workers=workers), items)
    start = seconds(lambda each: spread(judge_again, each, workers=workers), items[:workers])
    one = seconds(lambda each: [judge_again(item) for item in each], items[:1])
    return whole - start + one


def on_cluster(workers: int, items: list[dict[str, Any]]) -> float:
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=workers, threads_per_worker=1, processes=True, dashboard_address=None
    ) as cluster:
        warm = [{**item, "warm": number} for number, item in enumerate(items[: 2 * workers])]
        spread(judge_again, warm, cluster=cluster.scheduler_address)
        return seconds(lambda each: spread(judge_again, each, cluster=cluster.scheduler_address), items)


def main() -> None:
    items = archive()
    judge_again(items[0])  # what it imports is not counted
    print("| workers of | one | two | ratio |")
    print("| --- | --- | --- | --- |")
    for name, measure in (("this machine", here), ("a Dask cluster here", on_cluster)):
        pairs = [(measure(1, items), measure(2, items)) for _ in range(RUNS)]
        one, two = (statistics.median(each) for each in zip(*pairs, strict=True))
        ratio = statistics.median(first / second for first, second in pairs)
        print(f"| {name} | {one:.2f} s | {two:.2f} s | {ratio:.2f} |", flush=True)


if __name__ == "__main__":
    main()
