"""Processes killed at random instants over a bench: what was confirmed is there, and nothing is there by half.

    python -m tests.bench.kills [--kills 200] [--seed 1] [--server URL]

Each child is a fork of this process, so that a kill costs milliseconds, not a start of Python. Kills alternate between
imports of a stock with its trials, sheets counted for a run, and moves of the bench (with ``--server``, every other
one to PostgreSQL). Prints one line of JSON; exits 1 with the first thing that does not hold.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import shutil
import signal
import sqlite3
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

from sqlalchemy import URL, make_url, text

from tackside.bench.database.all_tables import all_tables
from tackside.bench.database.rows import tally_of
from tackside.bench.database.storage import MOVED, connect, sqlite_url
from tackside.bench.location import BenchLocation, place_of
from tackside.bench.store import Bench
from tackside.bench.transfer.exchange import export_stock
from tackside.bench.transfer.exchange_import import import_stock
from tackside.bench.transfer.move import move_bench
from tackside.bench.transfer.sidecar_files import kept_hashes
from tackside.files.atomic import TEMPORARY_PREFIX, sha256_of
from tackside.records.run import KeptRun, Tally
from tests.bench import invented

STOCKS = 4
Work = Callable[[Callable[[object], None]], None]


def killed(work: Work, after_s: float) -> list[str]:
    """Run ``work`` in a child and kill it; what it had confirmed by then."""
    readable, writable = os.pipe()
    child = os.fork()
    if child == 0:
        try:
            os.close(readable)
            work(lambda said: os.write(writable, f"{said}\n".encode()) and None)
        finally:
            os._exit(0)
    os.close(writable)
    time.sleep(after_s)
    os.kill(child, signal.SIGKILL)
    os.waitpid(child, 0)
    with os.fdopen(readable) as told:
        return told.read().splitlines()


def is_sound(folder: Path) -> None:
    """No damaged database, and no file whose bytes are not those of its name."""
    database = folder / "bench.sqlite"
    if database.exists():
        connection = sqlite3.connect(database)
        assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
        connection.close()
    for sha256 in kept_hashes(folder):
        assert sha256_of(folder / "files" / sha256[:2] / sha256) == sha256, f"{sha256} is half-written"
    for file in folder.rglob("*"):
        known = file.is_dir() or file.name.startswith((TEMPORARY_PREFIX, "bench.")) or len(file.name) == 64
        assert known, f"{file} has no place in a bench"


def counted(place: BenchLocation) -> dict[str, tuple[int, str]]:
    engine = connect(place.url or sqlite_url(place.folder / "bench.sqlite"))
    with engine.connect() as connection:
        return {table.name: tally_of(connection, table).told for table in all_tables()}


class Imports:
    """A child takes in archives, one after the other, over and over on fresh benches."""

    def __init__(self, folder: Path) -> None:
        self._folder, self.archives = folder, []
        source = Bench.open(folder / "source")
        source.printers.add(invented.printer())
        scan = folder / "scan.tif"
        for number in range(STOCKS):
            name, trial = f"Stock {number}", f"TRIAL{number:03}"
            scan.write_bytes(f"{number}".encode() * 200_000)
            source.stocks.add(invented.stock(name=name))
            source.trials.add(invented.trial(trial, stock=name))
            found = source.readings.add(invented.reading(trial, source_sha256=source.keep_file(scan)))
            source.verdicts.add(invented.verdict(trial, reading=found.id))
            export_stock(source, name, folder / f"{number}.zip")
            self.archives.append(folder / f"{number}.zip")

    def round(self, chance: random.Random) -> bool:
        """One kill; whether it came in the midst of the work. Raises AssertionError."""
        bench = self._folder / "bench"
        shutil.rmtree(bench, ignore_errors=True)
        told = killed(lambda confirm: self._work(bench, confirm), chance.uniform(0, 0.25))
        begun = bench.exists()
        is_sound(bench)
        self._hold(bench, {int(each) for each in told})
        self._work(bench, lambda _: None)  # the next start is clean, and finishes the work
        self._hold(bench, set(range(STOCKS)))
        return begun and len(told) < STOCKS

    def _work(self, folder: Path, confirm: Callable[[object], None]) -> None:
        bench = Bench.open(folder)
        for number, archive in enumerate(self.archives):
            import_stock(bench, archive)
            confirm(number)

    def _hold(self, folder: Path, confirmed: set[int]) -> None:
        bench = Bench.open(folder)
        there = {int(stock.name.split()[1]) for stock in bench.stocks.list()}
        assert confirmed <= there, f"confirmed {confirmed}, found {there}"
        for number in there:  # a stock is there with all that came with it, or not at all
            trial = f"TRIAL{number:03}"
            assert bench.trials.get(trial).stock == f"Stock {number}"
            reading = bench.readings.standing(trial)
            assert bench.verdicts.standing(trial).reading == reading.id
            assert sha256_of(bench.file(reading.source_sha256)) == reading.source_sha256
        assert bench.counts()["trial"] == len(there)


class Counts:
    """A child counts sheets at the printer for a run; the log goes on over all rounds."""

    def __init__(self, folder: Path) -> None:
        self._folder = folder / "counts"
        run = KeptRun(
            name="Spring", folder="/orders", file="spring.toml", file_sha256="0" * 64, made_at=invented.NOON,
            batches=(), plan={},
        )  # fmt: skip
        self._run = Bench.open(self._folder).runs.add(run).id or ""
        self._sheets = 0

    def round(self, chance: random.Random) -> bool:
        told = killed(self._work, chance.uniform(0, 0.1))
        is_sound(self._folder)
        sheets = [tally.sheets for tally in Bench.open(self._folder).runs.tallies(self._run)]
        assert sheets == list(range(1, len(sheets) + 1)), "the log has a gap or a double"
        assert len(sheets) >= self._sheets + len(told), f"confirmed {told}, found {len(sheets)}"
        assert len(sheets) <= self._sheets + len(told) + 2, "more was kept than was counted"
        assert len(sheets) % 2 == 0, "half of what was counted at once is there"
        self._sheets = len(sheets)
        return bool(told)

    def _work(self, confirm: Callable[[object], None]) -> None:
        bench, number = Bench.open(self._folder), self._sheets
        while True:
            pair = [
                Tally(
                    run=self._run, batch=1, stock="Harbour Satin 300", printer="Tern 8", kind="good",
                    sheets=number + each, made_at=invented.NOON + timedelta(seconds=number + each),
                )
                for each in (1, 2)
            ]  # fmt: skip
            bench.runs.count(*pair)
            number += 2
            confirm(number - 1)
            confirm(number)


class Moves:
    """A child moves a bench to an empty place, of a folder or of a server."""

    def __init__(self, folder: Path, imports: Imports, server: URL | None) -> None:
        self._folder, self._server, self._number = folder, server, 0
        self._model = folder / "model"
        bench = Bench.open(self._model)
        for archive in imports.archives:
            import_stock(bench, archive)
        self._whole = counted(place_of(self._model))

    def round(self, chance: random.Random) -> bool:
        old, new = self._folder / "old", self._folder / "new"
        for place in (old, new):
            shutil.rmtree(place, ignore_errors=True)
        shutil.copytree(self._model, old)
        self._number += 1
        to = BenchLocation(new, self._server if self._number % 2 else None)
        if to.url is not None:
            self._clear()
        told = killed(
            lambda confirm: move_bench(place_of(old), to) and confirm("moved"), chance.uniform(0, 0.35)
        )
        begun = new.exists()
        for place in (old, new):
            is_sound(place)
        assert counted(place_of(old)) == self._whole, "the old rows are not whole"
        if not _is_sealed(old):
            assert not told, "a move was confirmed and is not sealed"
            move_bench(place_of(old), to)
        assert _is_sealed(old)
        assert counted(to) == self._whole, "the new rows are not whole"
        assert list(kept_hashes(new)) == list(kept_hashes(old))
        Bench.open(new, create=False).stocks.add(invented.stock(name="goes on"))
        return begun and not told

    def _clear(self) -> None:
        assert self._server is not None
        engine = connect(self._server)
        with engine.begin() as connection:
            connection.execute(text("DROP SCHEMA public CASCADE"))
            connection.execute(text("CREATE SCHEMA public"))


def _is_sealed(folder: Path) -> bool:
    connection = sqlite3.connect(folder / "bench.sqlite")
    found = connection.execute("SELECT version_num FROM alembic_version").fetchone()
    connection.close()
    return bool(found == (MOVED,))


def main() -> int:
    asked = argparse.ArgumentParser()
    asked.add_argument("--kills", type=int, default=200)
    asked.add_argument("--seed", type=int, default=1)
    asked.add_argument("--server")
    options = asked.parse_args()
    chance = random.Random(options.seed)
    folder = Path(tempfile.mkdtemp(prefix="tackside-kills-"))
    begun = time.monotonic()
    try:
        imports = Imports(folder)
        server = make_url(options.server).set(drivername="postgresql+psycopg") if options.server else None
        kinds = (imports, Counts(folder), Moves(folder, imports, server))
        done: Counter[str] = Counter()
        for number in range(options.kills):
            kind = kinds[number % 3]
            done["midway"] += kind.round(chance)
            done[type(kind).__name__.lower()] += 1
    finally:
        shutil.rmtree(folder, ignore_errors=True)
    print(json.dumps({**done, "seconds": round(time.monotonic() - begun, 1)}))
    return 0


if __name__ == "__main__":
    sys.exit(main())
