"""How spreading work scales from one worker to two: processes of this machine, and a Dask cluster on it.

    python3 do.py test                  # makes the environment with what the tests need, once
    .venv/bin/python benchmarks/executor.py [--runs 3] [--what cards judging]

Two kinds of work: a hundred personalised cards (an A4 at 600 ppi with a photograph of 24 megapixels, as JPEG), and
ninety-six invented trials of 194 patches judged again. The peer is one worker doing the same. Everything counts: the
start of the processes, laying out all rows first, hashing, safe writing; only the start of the Dask cluster does not,
as it stands before the work comes. Aim: 1.8 times as fast with two.

Beside the clock stands what the processors were busy with: the time of all processes together with two workers over
with one (1.00 is spreading without loss), and how many cores were in use by one and by two. A worker has one thread for
computing, but the library writes files on another, so one is more than a core: two cores in use by two workers
is all that a machine of two cores has, whatever the ratio. The load at the start is that of the last minute, of all
programs: above one, the clock tells of them too.
"""

from __future__ import annotations

import argparse
import os
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line sets it
# Dask's workers look at themselves a hundred times a second unless told not to (docs/scale.md).
os.environ.setdefault("DASK_DISTRIBUTED__WORKER__PROFILE__ENABLED", "False")

ROWS, TRIALS, PPI = 100, 96, 600
SIZE = (210.0, 297.0)
Where = dict[str, Any]  # workers=… or cluster=…
Job = Callable[[Where], object]


def cards(folder: Path) -> Job:
    """A run of cards, each time into a folder of its own."""
    import numpy as np
    import pyvips
    from skimage import data

    from tackside.bench.records import Crease, Feed, Printer, Stock
    from tackside.card import Card, CardPicture, CardText
    from tackside.card.rows import Row, Rows
    from tackside.card.series import make_series

    photograph = np.tile(data.coffee(), (10, 10, 1))[:4000, :6000]
    pyvips.Image.new_from_array(photograph).write_to_file(str(folder / "picture.jpg"), Q=92)
    crease = Crease(direction="horizontal", at_mm=SIZE[1] / 2)
    stock = Stock(name="Dune Cotton 310", base="cotton", open_size_mm=SIZE, coated="both", creases=(crease,))
    feed = Feed(name="rear", min_size_mm=(50, 50), max_size_mm=(330, 500), borderless_sizes_mm=(SIZE,))
    printer = Printer(name="Tern 8", grid_ppi=PPI, feeds=(feed,))
    card = Card(
        stock=stock.name,
        printer=printer.name,
        pictures=(CardPicture(panel="front", file="picture.jpg"),),
        texts=(CardText(panel="back", text="For {name}", size_pt=14),),
        folder=folder,
    )
    rows = Rows(
        "guests.csv", ("name",), tuple(Row(n, n + 1, {"name": f"Guest {n}"}) for n in range(1, ROWS + 1))
    )
    make_series(card, Rows(rows.file, rows.names, rows.rows[:1]), stock, printer, folder / "warm.jpg")

    def run(where: Where) -> object:
        with tempfile.TemporaryDirectory(dir=folder) as out:
            kept = Path(out) / "kept"
            return make_series(card, rows, stock, printer, Path(out) / "card.jpg", finished=kept, **where)

    return run


def judging(_: Path) -> Job:
    from tests.report.invented import entry

    from tackside.bench.spread import spread
    from tackside.verdict.again import judge_again

    made = [entry(f"Stock {n}", trial_id=f"T{n:03}", reach=0.4 + n / 300) for n in range(TRIALS)]
    items = [
        {
            "trial": one.trial.model_dump(mode="json"),
            "reading": one.reading.model_dump(mode="json"),
            "stock": one.stock.model_dump(mode="json"),
            "printer": one.printer.model_dump(mode="json"),
        }
        for one in made
    ]
    judge_again(items[0])  # what it imports is not counted
    return lambda where: spread(judge_again, items, **where)


Times = tuple[
    float, float, float
]  # seconds: by the clock; of the processor here; of the processor in the workers


def here(job: Job, workers: int) -> Times:
    def used(who: int) -> float:
        found = resource.getrusage(who)
        return found.ru_utime + found.ru_stime

    before = used(resource.RUSAGE_SELF), used(resource.RUSAGE_CHILDREN)
    start = time.perf_counter()
    job({"workers": workers})
    taken = time.perf_counter() - start
    return taken, used(resource.RUSAGE_SELF) - before[0], used(resource.RUSAGE_CHILDREN) - before[1]


def on_cluster(job: Job, workers: int) -> Times:
    """The scheduler runs in this process, and counts as asking."""
    from distributed import Client, LocalCluster

    quiet = {"dashboard_address": None, "processes": True, "threads_per_worker": 1}
    with LocalCluster(n_workers=workers, **quiet) as cluster, Client(cluster) as client:

        def others() -> float:
            return float(sum(client.run(time.process_time).values()))

        before, mine, start = others(), time.process_time(), time.perf_counter()
        job({"cluster": cluster.scheduler_address})
        return time.perf_counter() - start, time.process_time() - mine, others() - before


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("--runs", type=int, default=3)
    asked.add_argument("--what", nargs="+", choices=["cards", "judging"], default=["cards", "judging"])
    asked.add_argument("--where", nargs="+", choices=["here", "cluster"], default=["here", "cluster"])
    options = asked.parse_args()
    places = {"here": ("this machine", here), "cluster": ("a Dask cluster here", on_cluster)}
    print("| work | workers of | one | two | ratio | load | processors' time, two over one | cores in use |")
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory(prefix="tackside-executor-") as name:
        for kind in options.what:
            job = {"cards": cards, "judging": judging}[kind](Path(name))
            for said, place in (places[where] for where in options.where):
                load = os.getloadavg()[0]
                pairs = [(place(job, 1), place(job, 2)) for _ in range(options.runs)]
                one, two = (statistics.median(each[0] for each in side) for side in zip(*pairs, strict=True))
                ratio = statistics.median(first[0] / second[0] for first, second in pairs)
                busy = statistics.median(sum(second[1:]) / sum(first[1:]) for first, second in pairs)
                cores = [
                    statistics.median(sum(pair[side][1:]) / pair[side][0] for pair in pairs)
                    for side in (0, 1)
                ]
                print(
                    f"| {kind} | {said} | {one:.2f} s | {two:.2f} s | {ratio:.2f} | {load:.1f} "
                    f"| {busy:.2f} | {cores[0]:.2f}, {cores[1]:.2f} |",
                    flush=True,
                )


if __name__ == "__main__":
    main()
