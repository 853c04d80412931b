"""Every job that writes, killed before each of its writes in turn: what was there is there, and it can be tried again.

    python -m tests.bench.killed_jobs [--kills 200] [--seed 1] [JOB…]

A job is gone through once to count what it does to the disk and the database; then a fork of this process does it on
a fresh copy and kills itself, with SIGKILL, before one of these steps, by count and not by clock, so that every state
that it leaves can be drawn, however fast the machine is. Prints one line of JSON; exits 1 with the first thing that
does not hold.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import tempfile
import time
import traceback
import zipfile
from collections import Counter
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from types import FrameType, SimpleNamespace
from unittest.mock import patch

import numpy as np
import pikepdf
import tifffile

from tackside.bench.location import place_of
from tackside.bench.store import Bench
from tackside.bench.transfer.backup import back_up, check_bench
from tackside.bench.transfer.exchange import export_stock
from tackside.bench.transfer.exchange_import import import_stock
from tackside.bench.transfer.move import move_bench
from tackside.bench.transfer.repair import repair
from tackside.bench.transfer.restore import restore
from tackside.profile.icc.working_space import working_space_profile
from tackside.reading.scanning.escl_job import Patience
from tackside.reading.scanning.wish import ScanAsked
from tackside.records.assets import ProfileQuality
from tackside.records.run import KeptBatch, KeptRun, Tally
from tackside.records.sheet_plan import Patch
from tackside.units import Box
from tackside.workflow.cards.make import make_one_file, make_series, output_of
from tackside.workflow.profiles import build
from tackside.workflow.progress import unheard
from tackside.workflow.read import read_print
from tackside.workflow.report import ReportWishes, write_site
from tackside.workflow.runs.count import count_sheets
from tackside.workflow.runs.keep import keep_file
from tackside.workflow.scanning import scan
from tackside.workflow.sent_files import SentFile
from tackside.workflow.standing.withdraw import withdraw_count, withdraw_reading
from tests.bench import invented
from tests.reading.instrument.dialects import CHART_RGB, NAMES, Dialect, write_cgats

# Calls into C that change a file, a folder or the database, or speak to another machine, by their names.
WRITES = frozenset(
    (
        "write", "writelines", "fsync", "rename", "replace", "unlink", "remove", "mkdir", "rmdir", "link", "symlink",
        "truncate", "sendfile", "copy_file_range", "execute", "executemany", "executescript", "commit", "rollback",
        "save", "connect", "send", "sendall", "recv",
    )
)  # fmt: skip
SECONDS = 120  # for one job; no more than a guard against one that hangs
STOCK, TRIAL = "Harbour Satin 300", "7K3M9QPA"
CARD = f"""
stock = "{STOCK}"
printer = "Tern 8"
[[texts]]
panel = "front"
text = "For {{name}}"
size_pt = 24
"""
RUN = """
name = "Harbour fair"
currency = "GBP"
[[cards]]
name = "Boats"
file = "card.toml"
quantity = 4
[inks."Tern 8"]
ml = 112
price = "128.00"
currency = "GBP"
"""


@dataclass(frozen=True)
class Job:
    """``work`` is done in a folder made as ``furnish`` makes it. ``outputs``: files that it leaves, which must be whole
    where they are there. ``new_bench``: the one that it fills."""

    work: Callable[[Path], object]
    outputs: tuple[str, ...] = ()
    new_bench: str = ""


def furnish(folder: Path) -> None:
    """A bench that has one of everything, and beside it the files that jobs begin with."""
    bench = Bench.open(folder / "bench")
    scan = folder / "scan.tif"
    scan.write_bytes(b"pixels" * 20_000)
    patches = tuple(
        Patch(name=name, rgb=tuple(rgb), box_mm=Box(10, 10, 5, 5), roles=(), panel="front")
        for name, rgb in zip(NAMES, CHART_RGB.tolist(), strict=True)
    )
    sheet = invented.sheet().model_copy(update={"patches": patches})
    bench.stocks.add(invented.stock(pack={"count": 25, "price": "14.50", "currency": "GBP"}), scan)
    bench.printers.add(invented.printer())
    bench.trials.add(invented.trial(TRIAL, sheet=sheet))
    for _ in range(2):
        found = bench.readings.add(invented.reading(TRIAL, source_sha256=bench.keep_file(scan)))
        bench.verdicts.add(invented.verdict(TRIAL, reading=found.id))
    batch = KeptBatch(
        number=1, printer="Tern 8", stock=STOCK, setting="", good=40, spoiled=2, setup=1, cards=(("Boats", 40),),
        tones_m2=(None,),
    )  # fmt: skip
    plan = KeptRun(
        name="Spring", folder="/orders", file="spring.toml", file_sha256="0" * 64, made_at=invented.NOON,
        batches=(batch,), plan={},
    )  # fmt: skip
    run = bench.runs.add(plan).id or ""
    bench.runs.count(
        Tally(run=run, batch=1, stock=STOCK, printer="Tern 8", kind="good", sheets=3, made_at=invented.NOON)
    )
    (folder / "chart.txt").write_bytes(write_cgats(Dialect(colour="lab")))
    (folder / "card.toml").write_text(CARD, "utf-8")
    (folder / "run.toml").write_text(RUN, "utf-8")
    (folder / "guests.csv").write_text("name\nAnn\nBo\n", "utf-8")
    export_stock(bench, STOCK, folder / "stock.zip")
    back_up(place_of(bench.folder), folder / "bench.zip")
    Bench.open(folder / "empty")
    glass = np.full((1200, 1200, 3), 250, np.uint8)
    tifffile.imwrite(
        folder / "glass.tif", glass, photometric="rgb", resolution=(300, 300), resolutionunit="INCH"
    )
    for name in ("out", ".passing"):
        (folder / name).mkdir()


def bench_in(folder: Path) -> Bench:
    return Bench.open(folder / "bench", create=False)


def _count(at: Path) -> None:
    bench = bench_in(at)
    run = bench.runs.list()[0].id or ""
    count_sheets(bench, run, 1, {"good": 4, "spoiled": 1}, why="head strike")


def _take_back(at: Path) -> None:
    bench = bench_in(at)
    withdraw_count(bench, bench.runs.list()[0].id or "", 1)


def _build(at: Path) -> None:
    """What is calculated is calculated before anything is written, and is given here."""
    number = dict.fromkeys(ProfileQuality.model_fields, 1)
    words = {"noise_measured": True, "bend_ramp": "grey", "readings_volume_method": "hull"}
    quality = ProfileQuality.model_validate(
        number | words | dict.fromkeys(("white_lab", "black_lab"), (95.0, 0.0, -2.0))
    )
    card = SimpleNamespace(stock=STOCK, side="front", printer="Tern 8")
    evidence = SimpleNamespace(card=card, trials=(TRIAL,), readings=())
    own = SimpleNamespace(data=working_space_profile("srgb"), evidence=evidence, quality=quality, notices=())
    with patch.object(build, "own_profile", lambda *_given, **_named: own):
        build._built(bench_in(at), evidence, at / "out" / "card.icc", build.PLAIN, unheard)  # type: ignore[arg-type]


def _scan(at: Path) -> None:
    """A scan that has come: looked into, named, its scanner remembered. What came over the network is given here."""

    def came(_scanner: object, _wish: object, into: Path, *_more: object) -> tuple[ScanAsked, object]:
        shutil.copyfile(at / "glass.tif", into)
        return ScanAsked(300, 8, "image/tiff", (101.6, 101.6), (216.0, 297.0)), SimpleNamespace(
            model="Invented"
        )

    with (
        patch.object(scan, "scan_by_escl", came),
        patch.object(
            scan,
            "scanner_at",
            lambda address, **_named: SimpleNamespace(address=address, seen_certificate=None),
        ),
    ):
        scan.scan_sheet(bench_in(at), scan.ScanOrder(scanner="http://desk/eSCL"), at / ".passing")


def _scan_over_the_network(at: Path) -> None:
    """From a scanner of our own, whose address is noted beside the bench; it gives up a job that nobody ends."""
    address = (at / "scanner.txt").read_text("ascii")
    patience = Patience(busy_s=20.0, least_pause_s=0.25)
    made = scan.scan_sheet(
        bench_in(at), scan.ScanOrder(scanner=address), at / ".passing", trial=TRIAL, patience=patience
    )
    bench_in(at).keep_file(made.file.path, made.file.name)


def jobs() -> dict[str, Job]:
    """By name."""
    return {
        "read": Job(lambda at: read_print(bench_in(at), TRIAL, [SentFile.at(at / "chart.txt")])),
        "import": Job(lambda at: import_stock(Bench.open(at / "empty"), at / "stock.zip"), new_bench="empty"),
        "export": Job(
            lambda at: export_stock(bench_in(at), STOCK, at / "out" / "stock.zip"), ("out/stock.zip",)
        ),
        "backup": Job(lambda at: back_up(place_of(at / "bench"), at / "out" / "b.zip"), ("out/b.zip",)),
        "restore": Job(lambda at: restore(at / "bench.zip", place_of(at / "new")), new_bench="new"),
        "move": Job(lambda at: move_bench(place_of(at / "bench"), place_of(at / "new")), new_bench="new"),
        "repair": Job(lambda at: repair(place_of(at / "bench"), place_of(at / "new")), new_bench="new"),
        "make a list": Job(
            lambda at: make_series(
                bench_in(at),
                at / "card.toml",
                at / "guests.csv",
                at / "out" / "c.pdf",
                output_of(None),
                workers=1,
            ),
            ("out/c-001-Ann.pdf", "out/c-002-Bo.pdf"),
        ),
        "make one file": Job(
            lambda at: make_one_file(
                bench_in(at), at / "card.toml", at / "guests.csv", at / "out" / "c.pdf", output_of(None)
            ),
            ("out/c.pdf",),
        ),
        "run keep": Job(lambda at: keep_file(bench_in(at), at / "run.toml")),
        "count": Job(_count),
        "undo a count": Job(_take_back),
        "undo a reading": Job(
            lambda at: withdraw_reading(bench_in(at), bench_in(at).readings.list(TRIAL)[0].id or "")
        ),
        "profile build": Job(_build, ("out/card.icc",)),
        "scan": Job(_scan),
        "scan over the network": Job(_scan_over_the_network),
        "publish": Job(lambda at: write_site(bench_in(at), at / "out", ReportWishes(pictures=False))),
    }


@dataclass(frozen=True)
class Done:
    """How a fork ended: ``steps`` it took, what it ``raised`` (empty where nothing), whether it was killed."""

    steps: int
    raised: str
    killed: bool


def forked(work: Callable[[Path], object], folder: Path, kill_before: int = 0) -> Done:
    """Do a job in a fork, which kills itself before the step of that number; 0 for none."""
    readable, writable = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(readable)
        _in_the_fork(work, folder, kill_before, writable)
    os.close(writable)
    with os.fdopen(readable) as told:
        said = told.read()
    _, status = os.waitpid(child, 0)
    steps, _, raised = said.partition(" ")
    if os.WIFSIGNALED(status):
        assert os.WTERMSIG(status) == signal.SIGKILL, f"it ended by signal {os.WTERMSIG(status)}"
        return Done(kill_before, "", True)
    return Done(int(steps), raised, False)


def _in_the_fork(work: Callable[[Path], object], folder: Path, kill_before: int, told: int) -> None:
    steps = 0

    def watch(_frame: FrameType, event: str, function: object) -> None:
        nonlocal steps
        if event == "c_call" and getattr(function, "__name__", "") in WRITES:
            steps += 1
            if steps == kill_before:
                os.kill(os.getpid(), signal.SIGKILL)

    sys.dont_write_bytecode = True  # modules that a job imports on its way are no step of it
    signal.alarm(SECONDS)
    raised = ""
    try:
        sys.setprofile(watch)
        work(folder)
    except BaseException as error:  # noqa: BLE001  whatever it is, the fork ends here, and tells it
        code = getattr(getattr(error, "message", None), "code", "")
        raised = code or "".join(traceback.format_exception(error))
    finally:
        sys.setprofile(None)
        os.write(told, f"{steps} {raised}".encode())
        os._exit(0)


def rows_of(folder: Path) -> dict[str, Counter[str]]:
    """What stands in a bench's database, table by table, as SQLite has it."""
    if not (folder / "bench.sqlite").exists():
        return {}
    connection = sqlite3.connect(folder / "bench.sqlite")
    assert connection.execute("PRAGMA integrity_check").fetchone() == ("ok",)
    assert connection.execute("PRAGMA foreign_key_check").fetchall() == []
    tables = connection.execute("SELECT name FROM sqlite_master WHERE type = 'table'").fetchall()
    found = {
        name: Counter(map(repr, connection.execute(f'SELECT * FROM "{name}"')))
        for (name,) in tables
        if name not in ("alembic_version", "sqlite_sequence")
    }
    connection.close()
    return found


def counts_of(folder: Path) -> dict[str, int]:
    return {name: rows.total() for name, rows in rows_of(folder).items()}


class Kills:
    """One job, over and over on copies of one world."""

    def __init__(self, name: str, job: Job, model: Path, now: Path) -> None:
        self._name, self._job, self._model, self._now = name, job, model, now
        self._fresh()
        done = forked(job.work, now)
        assert not done.raised, f"{name} fails by itself: {done.raised}"
        self.steps = done.steps
        self._rows = {each: rows_of(model / each) for each in ("bench", "empty")}
        self._outputs = {each: (now / each).read_bytes() for each in job.outputs}
        self._names = {each.relative_to(now).as_posix() for each in self._files()}
        self._counts = counts_of(now / (job.new_bench or "bench"))

    def round(self, step: int) -> str:
        """Killed before that step; what trying again was refused with, empty where it was done.

        Raises AssertionError.
        """
        self._fresh()
        done = forked(self._job.work, self._now, step)
        assert done.killed, f"step {step} was not reached: {done.raised}"
        self._hold()
        again = forked(self._job.work, self._now)
        assert not again.killed
        assert again.raised in ("", *DONE_ALREADY), f"trying again: {again.raised}"
        self._hold()
        for each in self._job.outputs:
            assert (self._now / each).exists(), f"{each} was not made"
        made = counts_of(self._now / (self._job.new_bench or "bench"))
        fewer = {name: count for name, count in self._counts.items() if made.get(name, 0) < count}
        assert not fewer, f"fewer than were made: {fewer}"
        if self._job.new_bench:
            assert made == self._counts, "more than were made"
            assert check_bench(place_of(self._now / self._job.new_bench)).flaws == ()
        return again.raised

    def _fresh(self) -> None:
        shutil.rmtree(self._now, ignore_errors=True)
        shutil.copytree(self._model, self._now)

    def _files(self) -> list[Path]:
        """What a person sees there: no hidden file, and what is in benches by its bench alone."""
        benches = {self._now / name for name in ("bench", "empty", "new")}
        return [
            each
            for each in self._now.rglob("*")
            if not benches & {each, *each.parents} and not _is_hidden(each.relative_to(self._now))
        ]

    def _hold(self) -> None:
        """Nothing that was there is lost, and nothing is there by half."""
        for name, before in self._rows.items():
            after = rows_of(self._now / name)
            lost = {table: rows - after[table] for table, rows in before.items() if rows - after[table]}
            assert not lost, f"rows of {name} are lost: {lost}"
        if self._name != "move":  # whose old bench is sealed, and checked by its rows
            assert check_bench(place_of(self._now / "bench")).flaws == ()
        for each in self._job.outputs:
            if (self._now / each).exists():
                require_whole(self._now / each)
        strays = {each.relative_to(self._now).as_posix() for each in self._files()} - self._names
        assert not strays, f"left behind: {strays}"


# What trying again may be refused with, where the job was as good as done: what is asked for is there.
DONE_ALREADY = ("file.there-already", "transfer.records-there-already", "database.moved")


def _is_hidden(path: Path) -> bool:
    return any(part.startswith(".") for part in path.parts)


def require_whole(file: Path) -> None:
    if file.suffix == ".zip":
        with zipfile.ZipFile(file) as archive:
            assert archive.testzip() is None, f"{file} is half-written"
    elif file.suffix == ".pdf":
        with pikepdf.open(file) as document:
            assert len(document.pages), f"{file} is half-written"
    else:
        assert file.read_bytes() == working_space_profile("srgb"), f"{file} is half-written"


def kill(names: Sequence[str], kills: int, seed: int) -> dict[str, object]:
    """Spread evenly over the jobs; what was done."""
    chance, begun = random.Random(seed), time.monotonic()
    done: dict[str, object] = {}
    folder = Path(tempfile.mkdtemp(prefix="tackside-killed-"))
    # A process of its own: a fork of one that has threads is none that can be relied on.
    scanner = subprocess.Popen(
        [sys.executable, "-m", "tests.reading.scanning.escl_server"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    )
    try:
        (folder / "model").mkdir()
        furnish(folder / "model")
        assert scanner.stdout is not None
        (folder / "model" / "scanner.txt").write_text(scanner.stdout.readline().strip(), "ascii")
        known = jobs()
        for number, name in enumerate(names or known):
            share = kills // len(names or known) + (number < kills % len(names or known))
            job = Kills(name, known[name], folder / "model", folder / "now")
            steps = chance.sample(range(1, job.steps + 1), min(share, job.steps))
            refused = Counter(told for step in steps if (told := _round(job, name, step)))
            done[name] = {"steps": job.steps, "kills": len(steps), **refused}
    finally:
        scanner.communicate()  # which closes what it listens to
        shutil.rmtree(folder, ignore_errors=True)
    return {**done, "seconds": round(time.monotonic() - begun, 1)}


def _round(job: Kills, name: str, step: int) -> str:
    try:
        return job.round(step)
    except AssertionError as error:
        raise AssertionError(f"{name}, killed before step {step} of {job.steps}: {error}") from error


def main() -> int:
    asked = argparse.ArgumentParser()
    asked.add_argument("jobs", nargs="*")
    asked.add_argument("--kills", type=int, default=200)
    asked.add_argument("--seed", type=int, default=1)
    options = asked.parse_args()
    print(json.dumps(kill(options.jobs, options.kills, options.seed)))
    return 0


if __name__ == "__main__":
    sys.exit(main())
