"""The workbench with 2,000 trials in the bench: each page on the server, and 50 clients at once for a minute.

    .venv/bin/python benchmarks/web.py [SECONDS]

Aims: every page under 100 ms at the median; no lost write, no error, 95th percentile under 500 ms. The peer is a page
of the same framework that does nothing ("/api/session"), in the same run.
"""

from __future__ import annotations

import random
import statistics
import subprocess
import sys
import tempfile
import threading
import time
from dataclasses import dataclass, field
from pathlib import Path
from urllib.parse import urlencode

import httpx

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from sqlalchemy import text
from tests.web.pages import paths
from tests.web.workshop import SATIN, TERN, add_reading, add_trial, add_verdict

from tackside.bench.records import Stock
from tackside.bench.storage import connect, sqlite_url
from tackside.bench.store import Bench

TRIALS, STOCKS, CLIENTS = 2000, 200, 50
ROUNDS = 15
# Seconds from one request of a client to its next: a person reads.
PACE = (1.0, 3.0)
FORM = {"content-type": "application/x-www-form-urlencoded"}


def filled(folder: Path) -> Bench:
    """A bench of 2,000 judged trials: one made the proper way, the rest copied from its rows under other ids."""
    bench = Bench.open(folder)
    bench.printers.add(TERN)
    bench.stocks.add(SATIN)
    for number in range(STOCKS - 1):
        bench.stocks.add(Stock(name=f"Dunlin {number:03}", open_size_mm=(210, 297)))
    for black_l in (6.0, 25.0):
        trial = add_trial(bench, SATIN)
        add_verdict(bench, trial, add_reading(bench, trial, black_l))
    add_trial(bench, SATIN)
    first = bench.trials.list()[0].id
    engine = connect(sqlite_url(folder / "bench.sqlite"))
    with engine.begin() as connection:
        for table, name in (
            ("trial", "id"),
            ("settings", "trial"),
            ("reading", "trial"),
            ("verdict", "trial"),
        ):
            rows = connection.execute(text(f"SELECT * FROM {table} WHERE {name} = :first"), {"first": first})
            row = dict(rows.mappings().one())
            columns = [each for each in row if each != "seq"]
            stated = (
                f"INSERT INTO {table} ({', '.join(columns)}) VALUES ({', '.join(f':{c}' for c in columns)})"
            )
            copies = []
            for number in range(TRIALS - 3):
                other = f"COPY{number:04}"
                copies.append({c: _renamed(row[c], first, other) for c in columns})
            connection.execute(text(stated), copies)
    return bench


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
    return process, line.split()[3].rstrip("/")


def pages(address: str, all_paths: dict[str, str]) -> None:
    print("| page | median | worst | against a bare answer |")
    print("| --- | --- | --- | --- |")
    with httpx.Client(base_url=address, timeout=60) as client:
        bare = statistics.median(_times(client, "/api/session"))
        for name, path in {"nothing (/api/session)": "/api/session", **all_paths}.items():
            times = _times(client, path)
            median = statistics.median(times)
            print(f"| {name} | {1000 * median:.1f} ms | {1000 * max(times):.1f} ms | {median / bare:.1f} |")


def _times(client: httpx.Client, path: str) -> list[float]:
    client.get(path)
    times = []
    for _ in range(ROUNDS):
        start = time.perf_counter()
        client.get(path)
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
) -> Load:
    """So many clients, each reading pages at a person's pace and describing a card now and then."""
    load = Load()
    until = time.monotonic() + seconds
    threads = [
        threading.Thread(target=_visit, args=(address, all_paths, until, load, number, pace))
        for number in range(clients)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return load


def _visit(
    address: str, all_paths: list[str], until: float, load: Load, number: int, pace: tuple[float, float]
) -> None:
    with httpx.Client(base_url=address, timeout=60) as client:
        token = client.get("/api/session").json()["csrf"]
        step = 0
        while time.monotonic() < until:
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
        bench = filled(Path(place) / "bench")
        all_paths = {name: path for name, path in paths(bench).items() if name != "not-found"}
        process, address = serve(bench.folder)
        try:
            pages(address, all_paths)
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
