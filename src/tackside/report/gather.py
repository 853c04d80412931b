"""What a report is made of, gathered from a bench: a trial with its verdict, and what is shown beside the figures."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.bench.store import Bench
from tackside.errors import NotFound
from tackside.report.entry import Entry
from tackside.report.pages.views import Extras
from tackside.report.prints import PrintPicture, print_picture


def entry_of(bench: Bench, trial_id: str) -> Entry:
    """A trial with its newest verdict and the reading that it judges. Raises NotFound."""
    trial = bench.trials.get(trial_id)
    verdict = bench.verdicts.latest(trial.id)
    reading = bench.readings.get(verdict.reading) if verdict.reading else bench.readings.latest(trial.id)
    return Entry(
        trial=trial,
        stock=bench.stocks.get(trial.stock, trial.stock_revision),
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
            found = print_picture(bench.file(sha256))
        except NotFound:
            continue
        if found is not None:
            return found
    return None
