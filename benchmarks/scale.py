"""What a trial, a picture and a card cost in time and room: the figures of docs/scale.md.

    python3 do.py test                  # makes the environment with what the tests need, once
    .venv/bin/python benchmarks/scale.py

An invented trial of 194 patches, two hundred times; the peer is SQLite alone: the same bytes put into one table, a
transaction each. A photograph of 24 megapixels (that of coffee in scikit-image, repeated, as JPEG) weighed up on twenty
invented stocks, and a personalised card with it, A4 at 600 ppi as JPEG; the peer is libvips decoding it whole. Times
are of the processor, so a busy machine counts less.
"""

from __future__ import annotations

import json
import os
import shutil
import sqlite3
import sys
import tempfile
from collections.abc import Callable
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parent.parent))
sys.path.insert(0, str(Path(__file__).parent))
os.environ["OPENBLAS_NUM_THREADS"] = "1"  # as workers have it
os.environ["VIPS_CONCURRENCY"] = "1"

from tests.report.invented import NOON, Entry, entry

from tackside.bench.location import place_of
from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.store import Bench
from tackside.bench.transfer.backup import back_up
from tackside.bench.transfer.move import move_bench
from tackside.bench.transfer.restore import restore
from tackside.report.pages.catalogue import catalogue

TRIALS, STOCKS = 200, 50


def per(count: int, call: Callable[[], object]) -> float:
    """Milliseconds of the processor for each of ``count``."""
    start = sum(os.times()[:4])  # of children too
    call()
    return 1000 * (sum(os.times()[:4]) - start) / count


def fill(bench: Bench, one: Entry) -> None:
    for number in range(TRIALS):
        trial = bench.trials.add(one.trial.model_copy(update={"id": f"T{number:07}"}))
        reading = bench.readings.add(one.reading.model_copy(update={"trial": trial.id}))
        bench.verdicts.add(one.verdict.model_copy(update={"trial": trial.id, "reading": reading.id}))


def bare(file: Path, one: Entry) -> None:
    database = sqlite3.connect(file, isolation_level=None)
    database.execute("PRAGMA journal_mode = WAL")
    database.execute("PRAGMA synchronous = FULL")
    database.execute("CREATE TABLE record (body TEXT)")
    bodies = [part.model_dump_json() for part in (one.trial, one.reading, one.verdict)]
    for _ in range(TRIALS):
        for body in bodies:
            database.execute("INSERT INTO record VALUES (?)", (body,))
    database.close()


def main() -> None:
    folder = Path(tempfile.mkdtemp(prefix="tackside-scale-"))
    one = entry()
    bench = Bench.open(folder / "bench")
    bench.stocks.add(one.stock)
    bench.printers.add(one.printer)
    peer = per(TRIALS, lambda: bare(folder / "bare.sqlite", one))
    kept = per(TRIALS, lambda: fill(bench, one))
    room = (folder / "bench" / "bench.sqlite").stat().st_size / TRIALS / 1000
    page = per(1, lambda: bench.catalogue.trials(ListAsked()))
    backup = per(TRIALS, lambda: back_up(place_of(folder / "bench"), folder / "b.zip"))
    packed = (folder / "b.zip").stat().st_size / TRIALS / 1000
    back = per(TRIALS, lambda: restore(folder / "b.zip", place_of(folder / "restored")))
    moved = per(TRIALS, lambda: move_bench(place_of(folder / "bench"), place_of(folder / "moved")))
    many = [entry(f"Stock {number}", trial_id=f"T{number:04}") for number in range(STOCKS)]
    made: dict[str, bytes] = {}
    site = per(STOCKS, lambda: made.update(catalogue([each.stock for each in many], many, made_at=NOON)))
    size = sum(map(len, made.values())) / STOCKS / 1000
    print("| a trial with reading and verdict | ms | kB | × SQLite alone |")
    print("| --- | --- | --- | --- |")
    print(f"| kept, three transactions | {kept:.1f} | {room:.0f} | {kept / peer:.1f} |")
    print(f"| backed up | {backup:.1f} | {packed:.0f} | {backup / peer:.1f} |")
    print(f"| restored and verified | {back:.1f} | {room:.0f} | {back / peer:.1f} |")
    print(f"| moved and verified | {moved:.1f} | {room:.0f} | {moved / peer:.1f} |")
    print(f"| page of a list of {TRIALS} | {page:.1f} | | {page / peer:.1f} |")
    print(f"| a stock's page in a catalogue | {site:.1f} | {size:.0f} | {site / peer:.1f} |")
    print()
    pictures_and_cards(folder)
    shutil.rmtree(folder)


def pictures_and_cards(folder: Path) -> None:
    """Pieces of the very work that ``choose`` and ``card make --csv`` spread, one process, one thread."""
    import choose as choosing
    import executor
    import pyvips

    from tackside.picture.choose.choose import MOST_AT_ONCE
    from tackside.picture.choose.choose_work import asked_of_pictures, at_hand, weigh
    from tackside.picture.choose.workshop import Workshop

    same, own = executor.names(folder), executor.photographs(folder)
    photograph = folder / "picture.jpg"
    bare = per(8, lambda: [pyvips.Image.new_from_file(str(photograph)).copy_memory() for _ in range(8)])
    workshop = Workshop(choosing.ways(20), None)  # type: ignore[arg-type]
    found: list[dict[str, object]] = []
    with at_hand(workshop) as handle:
        asked = asked_of_pictures([photograph] * MOST_AT_ONCE)
        look = per(MOST_AT_ONCE, lambda: found.append(weigh(asked, handle)))
    room = len(json.dumps(found[0])) / MOST_AT_ONCE / 1000
    (folder / "cards").mkdir()

    def run(job: executor.Job) -> object:
        return job.run({"workers": 1}, folder / "cards", lambda done, of: None)

    named = per(executor.GUESTS, lambda: run(same))
    card = per(executor.OWN, lambda: run(own))
    print("| a picture of 24 megapixels | ms | kB | × decoding it whole |")
    print("| --- | --- | --- | --- |")
    print(f"| weighed up on 20 stocks, 60 ways | {look:.0f} | {room:.1f} | {look / bare:.2f} |")
    print(f"| a personalised card with it | {card:.0f} | | {card / bare:.2f} |")
    print(f"| one of many with the same, another name on it | {named:.0f} | | {named / bare:.2f} |")


if __name__ == "__main__":
    main()
