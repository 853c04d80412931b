"""Publish what trials found: a comparison, a short answer on one, or a site of all cards."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tackside.bench.store import Bench
from tackside.errors import NotFound
from tackside.files.atomic import explain, require_free, write_atomically
from tackside.messages.message import Message
from tackside.report.data import plain_name
from tackside.report.entry import Entry
from tackside.report.pages.page import render_report
from tackside.report.pages.views import Extras
from tackside.report.prints import PrintPicture, print_picture
from tackside.report.published import published
from tackside.workflow.judge import require_alike
from tackside.workflow.progress import Progress, unheard

HTML, PDF = "html", "pdf"
PRACTICE = "practice"  # behind the name of a card, wherever the report names it
INDEX = "index.html"


@dataclass(frozen=True)
class ReportWishes:
    """``licence`` is what others may do with it; ``pictures``: the scans are shown; ``data``: all figures attached."""

    title: str | None = None
    note: str | None = None
    licence: str | None = None
    pictures: bool = True
    data: bool = True


@dataclass(frozen=True)
class Published:
    """A report as the bench keeps it: the SHA-256 of each file by its ending, its title (a person's own words, or a
    message), the stocks in it."""

    files: dict[str, str]
    title: str | Message | None
    stocks: tuple[str, ...]


@dataclass(frozen=True)
class Site:
    """The files of a catalogue by name, and the trials in it."""

    files: tuple[str, ...]
    trials: tuple[str, ...]


def report_on(bench: Bench, trials: Sequence[str], kind: str, wishes: ReportWishes) -> bytes:
    """The comparison of trials as one page of HTML or as a paged PDF (``kind``). Raises NotFound."""
    entries = _entries(bench, list(dict.fromkeys(trials)))
    return _rendered(entries, kind, wishes, _extras(bench, entries, wishes))


def short_answer_on(bench: Bench, trial: str, kind: str) -> bytes:
    """Half a page on one trial, HTML or PDF: can I print on this? Raises NotFound."""
    return _short(entry_of(bench, trial), kind)


def publish(
    bench: Bench,
    trials: Sequence[str],
    folder: Path,
    wishes: ReportWishes,
    *,
    short: bool = False,
    progress: Progress = unheard,
) -> Published:
    """The report as HTML and as PDF, made in an empty ``folder`` and kept on the bench.

    ``short``: the short answer on the first trial. Raises NotFound.
    """
    progress(0.05, Message("progress.gathering-readings"))
    entries = _entries(bench, trials)
    title: str | Message | None = wishes.title
    if short:
        from tackside.report.pages.short import question

        title = question(entries[0])
        progress(0.3, Message("progress.writing-page"))
        made = {kind: _short(entries[0], kind) for kind in (HTML, PDF)}
    else:
        progress(0.1, Message("progress.picturing-prints"))
        extras = _extras(bench, entries, wishes)
        progress(0.4, Message("progress.writing-page"))
        made = {HTML: _rendered(entries, HTML, wishes, extras)}
        progress(0.6, Message("progress.setting-pdf"))
        made[PDF] = _rendered(entries, PDF, wishes, extras)
    stocks = tuple(entry.stock.name for entry in entries)
    name = plain_name(published(title) if title else " ".join(dict.fromkeys(stocks)))
    files: dict[str, str] = {}
    for kind, content in made.items():
        path = folder / f"{name}.{kind}"
        write_atomically(path, content)
        files[kind] = bench.keep_file(path, path.name)
    return Published(files, title, stocks)


def write_site(bench: Bench, folder: Path, wishes: ReportWishes, *, force: bool = False) -> Site:
    """A site of all stocks, with every trial that was judged, written into a folder; ``force``: over what is there.
    Raises BadRequest, StorageTrouble.
    """
    from tackside.report.pages.catalogue import catalogue

    away = {trial.id for trial in bench.trials.list(practice=True)}
    judged = dict.fromkeys(
        verdict.trial for verdict in bench.verdicts.list() if verdict.trial and verdict.trial not in away
    )
    entries = [entry_of(bench, trial) for trial in judged]
    extras = _extras(bench, entries, wishes)
    newest = max((entry.verdict.made_at for entry in entries), default=datetime.now(UTC))
    made = catalogue(bench.stocks.list(), entries, made_at=newest, title=wishes.title, extras=extras)
    require_free(*(folder / name for name in made), force=force)
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise explain(error, folder, "write") from error
    for name, content in sorted(made.items(), key=lambda item: item[0] == INDEX):  # the index last
        write_atomically(folder / name, content)
    return Site(tuple(sorted(made)), tuple(judged))


def _entries(bench: Bench, trials: Sequence[str]) -> list[Entry]:
    """Raises NotFound, BadRequest where practice stands beside real prints."""
    entries = [entry_of(bench, trial) for trial in trials]
    require_alike(entry.trial for entry in entries)
    return entries


def _note(entries: Sequence[Entry], wishes: ReportWishes) -> str | None:
    """The person's own note; of practice, first that it is practice."""
    if not any(entry.trial.practice for entry in entries):
        return wishes.note
    return " ".join(filter(None, (str(Message("practice.note")), wishes.note)))


def entry_of(bench: Bench, trial_id: str) -> Entry:
    """A trial with its verdict that stands and the reading that it judges. Raises NotFound."""
    trial = bench.trials.get(trial_id)
    verdict = bench.verdicts.standing(trial.id)
    reading = bench.readings.get(verdict.reading) if verdict.reading else bench.readings.standing(trial.id)
    stock = bench.stocks.get(trial.stock, trial.stock_revision)
    if trial.practice:  # said wherever the card is named
        stock = stock.model_copy(update={"name": f"{stock.name} ({PRACTICE})"})
        trial = trial.model_copy(update={"stock": stock.name})
    return Entry(
        trial=trial,
        stock=stock,
        printer=bench.printers.get(trial.printer, trial.printer_revision),
        reading=reading,
        verdict=verdict,
    )


def extras_of(
    bench: Bench,
    entries: Sequence[Entry],
    licence: str | None = None,
    *,
    pictures: bool = True,
    data: bool = True,
) -> Extras:
    """The prints' scans that the bench has kept, and whether the data are attached."""
    shown = {entry.trial.id: _picture(bench, entry) for entry in entries} if pictures else {}
    return Extras({trial: found for trial, found in shown.items() if found is not None}, data, licence)


def _picture(bench: Bench, entry: Entry) -> PrintPicture | None:
    """The first of a reading's scans that the bench has kept."""
    reading = entry.reading
    for sha256 in (reading.source_sha256, *(source.sha256 for source in reading.further_sources)):
        try:
            found = print_picture(bench.file(sha256), entry.trial.sheet, entry.trial.id)
        except NotFound:
            continue
        if found is not None:
            return found
    return None


def _extras(bench: Bench, entries: Sequence[Entry], wishes: ReportWishes) -> Extras:
    return extras_of(bench, entries, wishes.licence, pictures=wishes.pictures, data=wishes.data)


def _rendered(entries: Sequence[Entry], kind: str, wishes: ReportWishes, extras: Extras) -> bytes:
    note = _note(entries, wishes)
    if kind == PDF:
        from tackside.report.pages.paper import (
            render_pdf,  # setting a PDF takes a library that HTML does without
        )

        return render_pdf(entries, title=wishes.title, note=note, extras=extras)
    return render_report(entries, title=wishes.title, note=note, extras=extras).encode("utf-8")


def _short(entry: Entry, kind: str) -> bytes:
    from tackside.report.pages.short import render_short, render_short_pdf

    return render_short_pdf(entry) if kind == PDF else render_short(entry).encode("utf-8")
