"""The workbench with 2,000 trials in the bench: each page on the server, and 50 clients at once for a minute.

    .venv/bin/python benchmarks/web.py [SECONDS]

Aims: every page under 100 ms at the median; no lost write, no error, 95th percentile under 500 ms. The peer is a page
of the same framework that does nothing ("/api/session"), in the same run. All 2,000 trials are of one stock, which is
that of the card, the choice and the gamut too; each was read, and tells where its print fell. Beside the median stands
the first look at a page, which nothing is remembered for yet; and, where the system tells it, the processor time that
the server spent on a look, which other work on the machine does not stretch as it does the clock's.
"""

from __future__ import annotations

import os
import random
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

import httpx

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from sqlalchemy import text
from tests.web.at_work import add_art
from tests.web.card_bench import add_card
from tests.web.pages import paths
from tests.web.workshop import SATIN, TERN, add_reading, add_run, add_trial, add_verdict

from tackside.bench.database.storage import connect, sqlite_url
from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.store import Bench
from tackside.records import Placement, Stock

TRIALS, STOCKS, CLIENTS = 2000, 200, 50
ROUNDS = 15
# Seconds from one request of a client to its next: a person reads.
PACE = (1.0, 3.0)
PLACED = Placement(
    scale_x=1.001, scale_y=1.0005, rotation_deg=0.1, skew_deg=0.02, offset_mm=(0.4, -0.3), residual_um=20, marks_found=4
)  # fmt: skip
# The tables that hold a trial, and the column that names it there.
COPIED = {"trial": "id", "settings": "trial", "reading": "trial", "placement": "trial", "verdict": "trial"}
FORM = {"content-type": "application/x-www-form-urlencoded"}


def filled(folder: Path) -> tuple[Bench, dict[str, str]]:
    """A bench of 2,000 judged trials, all of one stock, and the addresses of all pages; one trial is made the proper
    way, the rest copied from its rows under other ids."""
    bench = Bench.open(folder)
    bench.printers.add(TERN)
    bench.stocks.add(SATIN)
    for number in range(STOCKS - 1):
        bench.stocks.add(Stock(name=f"Dunlin {number:03}", open_size_mm=(210, 297)))
    for black_l in (6.0, 25.0):
        trial = add_trial(bench, SATIN)
        add_verdict(bench, trial, add_reading(bench, trial, black_l, placement=PLACED))
    add_trial(bench, SATIN)
    copy_first_trial(bench, TRIALS - 3)
    add_run(bench)
    add_card(bench, SATIN.name, TERN.name)
    known = {name: path for name, path in paths(bench, add_art(bench)).items() if name != "not-found"}
    assert {"card", "choice", "live-proof", "picture", "profile", "gamut"} <= set(known)
    return bench, known


def copy_first_trial(bench: Bench, count: int) -> None:
    """So many copies of the oldest trial's rows, in the order in which a trial's rows come."""
    first = bench.catalogue.trials(ListAsked(sort="oldest", count=1))[0][0].id
    with connect(sqlite_url(bench.folder / "bench.sqlite")).begin() as connection:
        for table, name in COPIED.items():
            asked = text(f"SELECT * FROM {table} WHERE {name} = :first")
            row = dict(connection.execute(asked, {"first": first}).mappings().one())
            columns = [each for each in row if each != "seq"]
            kept = text(
                f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join(f':{c}' for c in columns)})"
            )
            numbers = range(count)
            copies = [{c: _renamed(row[c], first, f"COPY{number:04}") for c in columns} for number in numbers]
            if table == "placement":
                last = connection.execute(text("SELECT max(seq) FROM reading")).scalar_one()
                copies = [{**each, "reading_seq": last - count + 1 + n} for n, each in enumerate(copies)]
            connection.execute(kept, copies)


def _renamed(value: object, first: str, other: str) -> object:
    return value.replace(first, other) if isinstance(value, str) else value


def serve(folder: Path) -> tuple[subprocess.Popen[str], str]:
    command = [
        sys.executable,
        "-m",
        "tackside",
        "--bench",
        str(folder),
        "start",
        "--no-browser",
        "--port",
        "0",
    ]
    process = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    assert process.stderr is not None
    line = process.stderr.readline()
    return process, line.split()[3]


@contextmanager
def client_at(address: str) -> Iterator[httpx.Client]:
    """A client that the workbench lets in; ``address`` is that which it printed, with its key."""
    with httpx.Client(base_url=address.partition("/open?")[0], timeout=60) as client:
        client.get(address).raise_for_status()
        yield client


def pages(address: str, all_paths: dict[str, str], server: int) -> None:
    print("| page | first look | median | worst of the rest | against a bare answer | processor |")
    print("| --- | --- | --- | --- | --- | --- |")
    with client_at(address) as client:
        bare = statistics.median(_times(client, "/api/session")[1:])
        slowest = ("", 0.0)
        for name, path in {"nothing (/api/session)": "/api/session", **all_paths}.items():
            before = processor_ms(server)
            first, *times = _times(client, path)
            after = processor_ms(server)
            median = statistics.median(times)
            slowest = max(slowest, (name, median), key=lambda each: each[1])
            spent = "–" if before is None or after is None else f"{(after - before) / (1 + ROUNDS):.0f} ms"
            print(
                f"| {name} | {1000 * first:.1f} ms | {1000 * median:.1f} ms | {1000 * max(times):.1f} ms | "
                f"{median / bare:.1f} | {spent} |"
            )
    print(f"\nslowest of {len(all_paths)} pages: {slowest[0]}, {1000 * slowest[1]:.1f} ms at the median")


def processor_ms(process: int) -> float | None:
    """Processor time of a process so far, where Linux tells it."""
    try:
        fields = Path(f"/proc/{process}/stat").read_text().rpartition(")")[2].split()
    except OSError:
        return None
    return (int(fields[11]) + int(fields[12])) * 1000 / os.sysconf("SC_CLK_TCK")


def _times(client: httpx.Client, path: str) -> list[float]:
    """Seconds of each look at a page, the first one first. A page that is not there stops the run."""
    times = []
    for _ in range(1 + ROUNDS):
        start = time.perf_counter()
        client.get(path).raise_for_status()
        times.append(time.perf_counter() - start)
    return times


@dataclass
class Load:
    """What one crowd of clients saw."""

    times: list[float] = field(default_factory=list)
    errors: list[str] = field(default_factory=list)
    kept: list[str] = field(default_factory=list)
    lock: threading.Lock = field(default_factory=threading.Lock)


def crowd(
    address: str,
    all_paths: list[str],
    seconds: float,
    clients: int = CLIENTS,
    pace: tuple[float, float] = PACE,
    enough: int | None = None,
) -> Load:
    """So many clients, each reading pages at a person's pace and describing a card now and then; they leave after
    ``seconds``, or once ``enough`` cards are described."""
    load = Load()
    until = time.monotonic() + seconds
    threads = [
        threading.Thread(target=_visit, args=(address, all_paths, until, load, number, pace, enough))
        for number in range(clients)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return load


def _visit(
    address: str,
    all_paths: list[str],
    until: float,
    load: Load,
    number: int,
    pace: tuple[float, float],
    enough: int | None,
) -> None:
    with client_at(address) as client:
        token = client.get("/api/session").json()["csrf"]
        step = 0
        while time.monotonic() < until and (enough is None or len(load.kept) < enough):
            step += 1
            name = f"Crowd {number} {step}"
            start = time.perf_counter()
            if (step + number) % 5 == 0:
                form = {"csrf": token, "name": name, "width": "210", "height": "297", "units": "mm"}
                answer = client.post(
                    "/describe/stock", content=urlencode(form), headers=FORM
                )  # fmt: skip
                wanted = 303
            else:
                answer, wanted = client.get(all_paths[(number + step) % len(all_paths)]), 200
            took = time.perf_counter() - start
            with load.lock:
                load.times.append(took)
                if answer.status_code != wanted:
                    load.errors.append(f"{answer.request.url}: {answer.status_code}")
                elif wanted == 303:
                    load.kept.append(name)
            time.sleep(random.uniform(*pace))


def percentile(times: list[float], share: float) -> float:
    return sorted(times)[min(len(times) - 1, int(share * len(times)))]


def main() -> None:
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 60.0
    with tempfile.TemporaryDirectory() as place:
        bench, all_paths = filled(Path(place) / "bench")
        process, address = serve(bench.folder)
        try:
            print(f"load of the machine: {os.getloadavg()[0]:.1f}\n")
            pages(address, all_paths, process.pid)
            load = crowd(address, list(all_paths.values()), seconds)
        finally:
            process.terminate()
            process.wait()
        names = {stock.name for stock in bench.stocks.list()}
        lost = [name for name in load.kept if name not in names]
        print(f"\n{CLIENTS} clients for {seconds:.0f} s, a request each every 1 to 3 s, as people read:\n")
        print("| requests | writes | lost | errors | median | 95th percentile |")
        print("| --- | --- | --- | --- | --- | --- |")
        print(
            f"| {len(load.times)} | {len(load.kept)} | {len(lost)} | {len(load.errors)} | "
            f"{1000 * percentile(load.times, 0.5):.0f} ms | {1000 * percentile(load.times, 0.95):.0f} ms |"
        )
        if load.errors:
            print(load.errors[:5], file=sys.stderr)


if __name__ == "__main__":
    main()
