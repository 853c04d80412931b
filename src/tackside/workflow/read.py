"""Reading what came back of a print: scans, an instrument's file, or both."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.bench.store import Bench
from tackside.errors import BadScan
from tackside.messages.message import Message
from tackside.reading.drying import dried
from tackside.reading.files import read_files
from tackside.reading.scan.image_file import open_scan
from tackside.reading.scan.marks.detections import see
from tackside.records import Reading
from tackside.workflow.progress import Progress, part, unheard
from tackside.workflow.scanners import scanner_use
from tackside.workflow.sent_files import SentFile, reading_renamed, under_their_names


def read_print(
    bench: Bench,
    trial: str,
    files: Sequence[SentFile],
    *,
    device: str | None = None,
    scanner: str | None = None,
    progress: Progress = unheard,
) -> Reading:
    """One reading from all the files that came back of a trial, kept on the bench with them: ``read_back``, then
    ``keep_reading``.
    """
    reading = read_back(
        bench, trial, files, device=device, scanner=scanner, progress=part(progress, 0.0, 0.9)
    )
    return keep_reading(bench, reading, files, progress=part(progress, 0.9, 1.0))


def read_back(
    bench: Bench,
    trial: str,
    files: Sequence[SentFile],
    *,
    device: str | None = None,
    scanner: str | None = None,
    progress: Progress = unheard,
) -> Reading:
    """What all the files that came back of a trial say, by all that the bench knows; nothing is kept yet.

    ``device`` names the scanner and its settings in the person's words; ``scanner`` is one that was learnt, by its
    name. A print that was not dry yet, by the trial's settings, is trusted less. Raises NotFound, BadRequest,
    BadImage, BadScan, BadInstrumentFile.
    """
    found = bench.trials.get(trial)
    use = scanner_use(bench, scanner, found) if scanner else None
    progress(0.1, Message("progress.finding-marks"))
    with under_their_names(files):
        paths = [file.path for file in files]
        reading = read_files(paths, found.sheet, trial=found.id, device=device or None, scanner=use)
    return reading_renamed(dried(reading, found.settings.drying_hours), files)


def keep_reading(
    bench: Bench, reading: Reading, files: Sequence[SentFile], *, progress: Progress = unheard
) -> Reading:
    """A reading and the files that it came from on the bench, and its card ready to be chosen from."""
    for file in files:
        if not file.is_kept:
            bench.keep_file(file.path, file.name)
    kept = bench.readings.add(reading)
    if kept.trial is not None:
        progress(0.0, Message("progress.working-out-card"))
        _work_out_for_choosing(bench, kept.trial)
        progress(1.0, Message("progress.working-out-card"))
    return kept


def trial_shown(scan: SentFile) -> str:
    """The trial whose sheet a scan shows, by the tag on it. Raises BadScan unless it shows one trial's alone."""
    with under_their_names([scan]):
        named = {tag.trial for tag in see(open_scan(scan.path)).tags if tag.trial is not None}
    if not named:
        raise BadScan("arrived.no-tag", file=scan.name)
    if len(named) > 1:
        raise BadScan("arrived.several-trials", file=scan.name)
    return named.pop()


def _work_out_for_choosing(bench: Bench, trial: str) -> None:
    """Keep what a choice asks of this card, so that the first one need not wait for it."""
    from tackside.workflow.pictures.work_out import work_out_trials  # heavy: after the reading is safe

    work_out_trials(bench, [trial])
