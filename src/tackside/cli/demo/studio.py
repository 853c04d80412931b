"""The whole job on the invented studio: sheets, press, scans, readings, verdicts, report, a card."""

from __future__ import annotations

import errno
import json
import os
import shutil
from collections.abc import Callable, Iterator
from concurrent.futures import ProcessPoolExecutor, as_completed
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from importlib.resources import as_file
from multiprocessing import get_context
from pathlib import Path

from tackside.bench.store import Bench
from tackside.card.make import CardSheet
from tackside.card.pixels.conversion import Output
from tackside.cli.demo import scenario, stages
from tackside.cli.demo.picture import draw_picture
from tackside.errors import BadRequest
from tackside.files.atomic import explain, write_atomically
from tackside.records import Printer, Reading, Stock, Trial, Verdict
from tackside.workflow.cards.keep_file import keep_card_file
from tackside.workflow.cards.make import make_card
from tackside.workflow.judge import judge_print
from tackside.workflow.read import keep_reading
from tackside.workflow.report import HTML, ReportWishes, report_on
from tackside.workflow.sent_files import SentFile
from tackside.workflow.stocks.records import add_printer, add_stock
from tackside.workflow.trials import make_trial

MARKER = "tackside-demo.json"  # in a folder that a demo made: the next demo may clear it, and no other folder
STAGES: tuple[tuple[str, Callable[[stages.PressJob], Reading | None]], ...] = (
    ("drawing", stages.make_sheet),
    ("printing and scanning", stages.print_and_scan),
    ("reading", stages.read_it),
)

Tell = Callable[[str, float], None]
"""Told what was finished, and how much of the whole it was, 0 to 1."""


@dataclass(frozen=True)
class DemoOutcome:
    """What the demo leaves behind."""

    folder: Path
    bench: Path
    report: Path
    cards: tuple[Path, ...]
    verdicts: tuple[tuple[Trial, Verdict], ...]
    best: str


def run_demo(folder: Path, tell: Tell) -> DemoOutcome:
    """Run the whole job into ``folder``, which must be new, empty, or an earlier demo's.

    Everything is made beside it first, so that a stopped demo leaves an earlier one as it was.
    """
    with workshop(folder) as place:
        bench = Bench.open(place / "bench")
        stocks, printer = _furnish(bench)
        jobs = [_job(bench, place, print_, stocks[print_.stock], printer) for print_ in scenario.PRINTS]
        readings = _print_all(jobs, tell)
        verdicts = _judge_all(bench, jobs, readings)
        tell("judged", 0.05)
        wishes = ReportWishes("Four cards on one printer", scenario.NOTE)
        report = report_on(bench, [trial.id for trial, _, _ in verdicts], HTML, wishes)
        write_atomically(place / "report.html", report)
        best = _best(verdicts)
        cards = _make_cards(bench, place, best)
        tell("report and card", 0.05)
    return DemoOutcome(
        folder,
        folder / "bench",
        folder / "report.html",
        tuple(folder / file.relative_to(place) for card in cards for file in card.files.values()),
        tuple((trial, verdict) for trial, _, verdict in verdicts),
        best,
    )


def require_place(folder: Path) -> None:
    """Raises BadRequest, StorageTrouble where no demo can be made."""
    if folder.is_symlink() and not folder.exists():
        raise BadRequest(f"{folder} is a link that leads nowhere", "name a folder with --out")
    if folder.exists() and not folder.is_dir():
        raise BadRequest(f"{folder} is a file", "name a folder with --out")
    if folder.exists() and any(folder.iterdir()) and not (folder / MARKER).exists():
        raise BadRequest(f"{folder} holds files that no demo made", "name a new folder with --out")
    above = next(each for each in folder.absolute().parents if each.exists())
    if not above.is_dir():
        raise explain(NotADirectoryError(errno.ENOTDIR, "", str(above)), folder, "write")


@contextmanager
def workshop(folder: Path) -> Iterator[Path]:
    """A folder beside the one asked for, put in its place once all is done; removed where it isn't."""
    require_place(folder)
    place = folder.with_name(f".{folder.name}.part-{os.getpid()}")
    try:
        place.mkdir(parents=True)
        write_atomically(place / MARKER, json.dumps({"note": scenario.NOTE}).encode())
        yield place
        if folder.exists():
            shutil.rmtree(folder)
        place.rename(folder)
    except OSError as error:
        raise explain(error, folder, "write") from error
    finally:
        shutil.rmtree(place, ignore_errors=True)


def _furnish(bench: Bench) -> tuple[dict[str, Stock], Printer]:
    stocks = {}
    with ExitStack() as opened:
        for file in scenario.STOCK_FILES:
            stock, _ = add_stock(lambda: bench, opened.enter_context(as_file(scenario.DATA.joinpath(file))))
            stocks[stock.name] = stock
        path = opened.enter_context(as_file(scenario.DATA.joinpath(scenario.PRINTER_FILE)))
        printer, _ = add_printer(lambda: bench, path)
    return stocks, printer


def _job(
    bench: Bench, place: Path, print_: scenario.DemoPrint, stock: Stock, printer: Printer
) -> stages.PressJob:
    trial = make_trial(bench, stock.name, printer.name, side=print_.side, settings=print_.settings).trial
    name = f"{stock.name.lower().replace(' ', '-')}-{print_.side}"
    for folder in ("sheets", "scans"):
        (place / folder).mkdir(exist_ok=True)
    return stages.PressJob(
        print_,
        bench.folder,
        trial.id,
        trial.sheet,
        place / "sheets" / f"{name}.tif",
        place / "scans" / f"{name}.tif",
    )


def _print_all(jobs: list[stages.PressJob], tell: Tell) -> list[Reading]:
    """Each print goes through its stages in order; prints go side by side, one a core."""
    workers = min(len(jobs), os.cpu_count() or 1)
    readings: dict[str, Reading] = {}
    with ProcessPoolExecutor(workers, mp_context=get_context("spawn")) as pool:
        waiting = {pool.submit(STAGES[0][1], job): (job, 0) for job in jobs}
        while waiting:
            done = next(as_completed(waiting))
            job, stage = waiting.pop(done)
            result = done.result()
            tell(f"{job.print.stock}, {job.print.side}: {STAGES[stage][0]}", 0.9 / (len(jobs) * len(STAGES)))
            if result is not None:
                readings[job.trial] = result
            else:
                waiting[pool.submit(STAGES[stage + 1][1], job)] = (job, stage + 1)
    return [readings[job.trial] for job in jobs]


def _judge_all(
    bench: Bench, jobs: list[stages.PressJob], readings: list[Reading]
) -> list[tuple[Trial, Reading, Verdict]]:
    kept = [
        keep_reading(bench, reading, [SentFile.at(job.scan_file)])
        for job, reading in zip(jobs, readings, strict=True)
    ]
    good = next(job.trial for job in jobs if job.print.stock == scenario.REFERENCE)
    judged = []
    for job, reading in zip(jobs, kept, strict=True):
        against = None if job.trial == good else good
        verdict = judge_print(bench, job.trial, reading=reading, against=against).verdict
        judged.append((bench.trials.get(job.trial), reading, verdict))
    return judged


def _best(verdicts: list[tuple[Trial, Reading, Verdict]]) -> str:
    """The stock with the best grade; among equals the one with the deepest black."""

    def rank(entry: tuple[Trial, Reading, Verdict]) -> tuple[int, float]:
        verdict = entry[2]
        black = verdict.measures["black_l"].value
        return ("sell", "send", "draft", "reject").index(verdict.grade), black if isinstance(
            black, float
        ) else 100.0

    return min(verdicts, key=rank)[0].stock


def _make_cards(bench: Bench, place: Path, stock: str) -> list[CardSheet]:
    """The card on the best stock, as PDF and as TIFF; the program draws the picture."""
    folder = place / "card"
    folder.mkdir()
    draw_picture(folder / scenario.PICTURE_FILE)
    text = scenario.DATA.joinpath(scenario.CARD_FILE).read_text(encoding="utf-8")
    design = folder / scenario.CARD_FILE
    write_atomically(design, text.replace(scenario.REFERENCE, stock).encode())
    keep_card_file(bench, design, scenario.CARD_NAME)
    return [
        make_card(bench, design, folder / f"card{suffix}", Output(), corrected=False, force=True).sheet
        for suffix in (".pdf", ".tif")
    ]


def demo_bench(folder: Path) -> Path | None:
    """The bench of the demo that a folder holds; None where it holds none."""
    bench = folder / "bench"
    return bench if (folder / MARKER).is_file() and bench.is_dir() else None
