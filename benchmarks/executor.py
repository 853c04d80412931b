"""How spreading work scales from one worker to two: processes of this machine, and a Dask cluster on it.

    python3 do.py test                  # makes the environment with what the tests need, once
    .venv/bin/python benchmarks/executor.py [--runs 3] [--what photographs names judging] [--where apart here cluster]

Three kinds of work, the first two as ``card make --csv`` does them: an A4 sheet at 600 ppi with a photograph of 24
megapixels on the front panel and a guest's name on the back, each written as a JPEG of 15 MB. *Photographs*: two dozen
guests, each with a photograph of their own, so that all of a card is drawn. *Names*: two hundred guests with the same
photograph, so that of a card its name alone is drawn and encoded, and the rest is mostly to hash and to write.
*Judging*: ninety-six invented trials of 194 patches. The peer is one worker doing the same pieces. Aim: 1.8 times as
fast.

"Apart" is what the machine itself has to give, measured in the same minutes: some pieces by one process, then as many
by each of two at once, started by hand and warm, with nothing between them: no queue, nothing kept, no order.

"Whole" counts all that a person waits for: laying out all rows, the start of the processes, a photograph that all share
made ready in each, hashing, safe writing. Only the start of the Dask cluster is not in it, as that stands before the
work comes. "Warm" is without the first tenth. One and two take turns; medians, the best pair in brackets.

Beside the clock stands how many cores our processes kept busy, by one and by two workers, and how many those of all
other programs did meanwhile: where that is not near nothing, the ratio tells of them and not of us. Two workers that
keep less than two cores busy wait for the disk, whose own pace is told last: a file of 15 MB after the other, each
safely written.
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import resource
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).parent.parent))
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")  # as the command line sets it
# Dask's workers look at themselves a hundred times a second unless told not to (docs/scale.md).
os.environ.setdefault("DASK_DISTRIBUTED__WORKER__PROFILE__ENABLED", "False")

GUESTS, OWN, TRIALS, PPI = 200, 24, 96, 600
SIZE = (210.0, 297.0)
FILE_MB, FILES = 15, 40
Where = dict[str, Any]  # workers=… or cluster=…
Tell = Callable[[int, int], None]
Plain = dict[str, Any]


@dataclass(frozen=True)
class Job:
    """``run`` does all pieces, ``pieces`` gives them one by one, each to be called with the common part; ``apart`` is
    how many of them a process does alone."""

    run: Callable[[Where, Path, Tell], object]
    pieces: Callable[[Path], tuple[Callable[..., Plain], Sequence[Plain], Plain | None]]
    apart: int


def names(folder: Path) -> Job:
    return cards(folder, ["picture.jpg"] * GUESTS, apart=60)


def photographs(folder: Path) -> Job:
    return cards(folder, [f"picture-{guest}.jpg" for guest in range(OWN)], apart=6)


def cards(folder: Path, photographs: list[str], apart: int) -> Job:
    """A run of cards, a guest for each photograph, each time into a folder of its own."""
    import numpy as np
    import pyvips
    from skimage import data

    from tackside.card.file.design import Card, CardPicture, CardText
    from tackside.card.make import AS_THE_CARD_SAYS, UNKNOWN_PATH
    from tackside.card.series.row_faults import ListRow, Rows
    from tackside.card.series.row_work import asked_of_all, asked_of_row, make_row
    from tackside.card.series.rows import personalised
    from tackside.card.series.series import make_series
    from tackside.records import Crease, Feed, Printer, Stock

    pixels = np.tile(data.coffee(), (10, 10, 1))[:4000, :6000]
    photograph = pyvips.Image.new_from_array(pixels).jpegsave_buffer(Q=92)
    for name in set(photographs):
        (folder / name).write_bytes(photograph)
    same = len(set(photographs)) == 1
    crease = Crease(direction="horizontal", at_mm=SIZE[1] / 2)
    stock = Stock(name="Dune Cotton 310", base="cotton", open_size_mm=SIZE, coated="both", creases=(crease,))
    feed = Feed(name="rear", min_size_mm=(50, 50), max_size_mm=(330, 500), borderless_sizes_mm=(SIZE,))
    printer = Printer(name="Tern 8", grid_ppi=PPI, feeds=(feed,))
    card = Card(
        stock=stock.name,
        printer=printer.name,
        pictures=(CardPicture(panel="front", file=photographs[0] if same else "{photograph}"),),
        texts=(CardText(panel="back", text="For {name}", size_pt=14),),
        folder=folder,
    )
    rows = Rows(
        "guests.csv",
        ("name", "photograph"),
        tuple(
            ListRow(n, n + 1, {"name": f"Guest {n}", "photograph": file})
            for n, file in enumerate(photographs, start=1)
        ),
    )
    make_series(card, Rows(rows.file, rows.names, rows.rows[:1]), stock, printer, folder / "warm.jpg")

    def run(where: Where, out: Path, tell: Tell) -> object:
        return make_series(
            card, rows, stock, printer, out / "card.jpg", finished=out / "kept", tell=tell, **where
        )

    def pieces(out: Path) -> tuple[Callable[..., Plain], Sequence[Plain], Plain]:
        common = asked_of_all(card, rows, stock, printer, AS_THE_CARD_SAYS, UNKNOWN_PATH)
        asked = [
            asked_of_row(row, each, out / f"card-{row.number:03}.jpg")
            for row, each in zip(rows.rows, personalised(card, rows), strict=True)
        ]
        return make_row, asked, common

    return Job(run, pieces, apart)


def judging(_: Path) -> Job:
    from tests.report.invented import entry

    from tackside.tasks.parallel import spread
    from tackside.verdict.known_print import KnownPrint
    from tackside.workflow.rejudge import as_plain, judge_again

    made = [entry(f"Stock {n}", trial_id=f"T{n:03}", reach=0.4 + n / 300) for n in range(TRIALS)]
    items = [as_plain(KnownPrint(one.reading, one.trial, one.stock)) for one in made]
    judge_again(items[0])  # what it imports is not counted

    def run(where: Where, _: Path, tell: Tell) -> object:
        return list(spread(judge_again, items, tell=tell, **where))

    return Job(run, lambda _: (judge_again, items, None), apart=40)


@dataclass(frozen=True)
class Times:
    """Seconds: of the whole, of the warm part, of our processors; ``others``: how many cores other programs had."""

    whole: float
    warm: float
    busy: float
    others: float


def timed(work: Callable[[Tell], float], busy: Callable[[], float] = lambda: 0.0) -> Times:
    """``work`` gives what its own processes took that ``busy`` cannot know of."""
    import psutil

    def machine() -> float:
        found = psutil.cpu_times()
        return float(found.user + found.system + getattr(found, "nice", 0.0))

    told: list[float] = []
    before, mine, start = machine(), busy(), time.perf_counter()
    elsewhere = work(lambda done, of: told.append(time.perf_counter()))
    whole = time.perf_counter() - start
    ours = busy() - mine + elsewhere
    warm = told[-1] - told[len(told) // 10] if told else whole
    return Times(whole, warm, ours, max(machine() - before - ours, 0.0) / whole)


def used(*whose: int) -> float:
    found = [resource.getrusage(who) for who in whose]
    return sum(each.ru_utime + each.ru_stime for each in found)


def here(job: Job, workers: int, out: Path) -> Times:
    def work(tell: Tell) -> float:
        job.run({"workers": workers}, out, tell)
        return 0.0

    return timed(work, lambda: used(resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))


def on_cluster(job: Job, workers: int, out: Path) -> Times:
    """The scheduler runs in this process, and counts as asking."""
    from distributed import Client, LocalCluster

    quiet = {"dashboard_address": None, "processes": True, "threads_per_worker": 1}
    with LocalCluster(n_workers=workers, **quiet) as cluster, Client(cluster) as client:

        def busy() -> float:
            return time.process_time() + float(sum(client.run(time.process_time).values()))

        def work(tell: Tell) -> float:
            job.run({"cluster": cluster.scheduler_address}, out, tell)
            return 0.0

        return timed(work, busy)


def apart(job: Job, workers: int, out: Path) -> Times:
    """Processes that have nothing to do with each other but the moment when they begin; ``job.apart`` pieces each."""
    from tackside.tasks.workers import one_thread_each

    work, items, common = job.pieces(out)
    context = multiprocessing.get_context("spawn")
    begin, taken = context.Barrier(workers + 1), context.Queue()
    with one_thread_each():
        started = [
            context.Process(target=_alone, args=(work, items[n::2][: job.apart], common, begin, taken))
            for n in range(workers)
        ]
        for each in started:
            each.start()
    begin.wait()
    times = timed(lambda _: sum(taken.get() for _ in started))
    for each in started:
        each.join()
    return times


def _alone(
    work: Callable[..., Plain], items: Sequence[Plain], common: Plain | None, begin: Any, taken: Any
) -> None:
    more = () if common is None else (common,)
    work(items[0], *more)
    begin.wait()
    before = time.process_time()
    for each in items:
        work(each, *more)
    taken.put(time.process_time() - before)


JOBS: dict[str, Callable[[Path], Job]] = {"photographs": photographs, "names": names, "judging": judging}
PLACES: dict[str, tuple[str, Callable[[Job, int, Path], Times]]] = {
    "apart": ("two processes apart", apart),
    "here": ("workers of this machine", here),
    "cluster": ("workers of a Dask cluster here", on_cluster),
}


def afresh(place: Callable[[Job, int, Path], Times], job: Job, workers: int, folder: Path) -> Times:
    """Into a folder that is emptied when nothing is timed."""
    with tempfile.TemporaryDirectory(dir=folder) as out:
        return place(job, workers, Path(out))


def line(kind: str, said: str, pairs: Sequence[tuple[Times, Times]], share: int) -> str:
    """``share``: how many times as much the two of a pair did as the one."""

    def median(of: Callable[[Times], float], side: int) -> float:
        return statistics.median(of(pair[side]) for pair in pairs)

    def ratio(of: Callable[[Times], float]) -> str:
        found = [share * of(one) / of(two) for one, two in pairs]
        return f"{statistics.median(found):.2f} ({max(found):.2f})"

    one, two = (median(lambda each: each.whole, side) for side in (0, 1))
    cores = [median(lambda each: each.busy / each.whole, side) for side in (0, 1)]
    others = max(each.others for pair in pairs for each in pair)
    work = statistics.median(two.busy / one.busy / share for one, two in pairs)
    return (
        f"| {kind} | {said} | {one:.2f} s | {two:.2f} s | {ratio(lambda each: each.whole)} "
        f"| {ratio(lambda each: each.warm)} | {work:.2f} | {cores[0]:.2f}, {cores[1]:.2f} | {others:.2f} |"
    )


def disk(folder: Path) -> float:
    """Megabytes a second of files that are safely written one after the other."""
    from tackside.files.atomic import write_atomically

    data = os.urandom(FILE_MB * 1_000_000)
    with tempfile.TemporaryDirectory(dir=folder) as out:
        start = time.perf_counter()
        for number in range(FILES):
            write_atomically(Path(out) / f"{number}", data)
        return FILES * FILE_MB / (time.perf_counter() - start)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    asked.add_argument("--runs", type=int, default=3)
    asked.add_argument("--what", nargs="+", choices=[*JOBS], default=[*JOBS])
    asked.add_argument("--where", nargs="+", choices=[*PLACES], default=[*PLACES])
    options = asked.parse_args()
    print(
        "| work | done by | one | two | ratio, whole | warm | processors' time, two over one "
        "| cores in use | by others, at most |"
    )
    print("| --- | --- | --- | --- | --- | --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory(prefix="tackside-executor-") as name:
        folder = Path(name)
        for kind in options.what:
            job = JOBS[kind](folder)
            pairs: dict[str, list[tuple[Times, Times]]] = {where: [] for where in options.where}
            for _ in range(options.runs):
                for where in options.where:
                    one, two = (afresh(PLACES[where][1], job, workers, folder) for workers in (1, 2))
                    pairs[where].append((one, two))
            for where in options.where:
                print(line(kind, PLACES[where][0], pairs[where], 2 if where == "apart" else 1), flush=True)
        print(f"\nthe disk writes {disk(folder):.0f} MB a second")


if __name__ == "__main__":
    main()
