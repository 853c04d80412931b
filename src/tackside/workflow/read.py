"""Reading what came back of a print: scans, an instrument's file, or both."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from pathlib import Path

from tackside.bench.repositories.kept_files import ArrivingFiles
from tackside.bench.store import Bench
from tackside.files.atomic import explain, write_atomically
from tackside.messages.message import Message
from tackside.reading.files import read_files, require_plausible
from tackside.reading.scan.fitness import dried
from tackside.reading.scan.image_file import scan_sha256
from tackside.reading.scan.uncertainty import REMEMBERED, under_name
from tackside.records import Reading
from tackside.workflow.progress import Progress, unheard
from tackside.workflow.scanning.made import MadeScan
from tackside.workflow.sent_files import SentFile, reading_renamed, under_their_names

# Names of one scanner that are kept, so that one can be withdrawn and an earlier one stand.
_MOST_NAMES = 100


def read_print(
    bench: Bench,
    trial: str,
    files: Sequence[SentFile],
    *,
    device: str | None = None,
    scanner: str | None = None,
    progress: Progress = unheard,
    made: MadeScan | None = None,
) -> Reading:
    """One reading from all the files that came back of a trial, kept on the bench with them: ``read_back``, then
    ``keep_reading``. A PDF that a scanner made is read as the pictures of its pages.
    """
    if any(file.is_document for file in files):
        from tackside.workflow.arrived.pages import taken_apart  # seldom needed

        with taken_apart(bench, files) as pages:
            return read_print(
                bench, trial, pages, device=device, scanner=scanner, progress=progress, made=made
            )
    with bench.arriving_files() as arriving:
        reading = read_back(
            bench,
            trial,
            files,
            device=device,
            scanner=scanner,
            progress=progress,
            made=made,
            arriving=arriving,
        )
        progress(0.9, Message("progress.keeping-reading"))
        kept = keep_reading(bench, reading, files, arriving)
    progress(1.0, Message("progress.keeping-reading"))
    return kept


def read_back(
    bench: Bench,
    trial: str,
    files: Sequence[SentFile],
    *,
    device: str | None = None,
    scanner: str | None = None,
    progress: Progress = unheard,
    made: MadeScan | None = None,
    arriving: ArrivingFiles | None = None,
) -> Reading:
    """What all the files that came back of a trial say, by all that the bench knows; nothing is kept yet.

    ``device`` names the scanner and its settings in the person's words; ``scanner`` is one that was learnt, by its
    name. Without either, a scan that was ``made`` from here is called by its scanner and settings, and one whose file
    says the same as one that was named takes that name.
    A print that was not dry yet, by the trial's settings, is trusted less; a reading that no print can give is
    refused, and so is one of a trial that was withdrawn. Scans that are to be kept by ``arriving`` are copied in as
    they are read. Raises NotFound, BadRequest, BadImage, BadScan, BadInstrumentFile, StorageTrouble.
    """
    found = bench.trials.standing(trial)
    use = None
    if scanner:
        from tackside.workflow.scanners import scanner_use  # for a scanner that was learnt alone

        use = scanner_use(bench, scanner, found)
    if made is not None and use is None:
        device = device or made.scanned.label
    progress(0.1, Message("progress.finding-marks"))
    with under_their_names(files):
        paths = [file.path for file in files]
        copied = (
            scan_sha256 if arriving is None or all(file.is_kept for file in files) else arriving.sha256_of
        )
        reading = read_files(
            paths, found.sheet, trial=found.id, device=device or None, scanner=use, hashing=copied
        )
        require_plausible(reading)
    if not device and use is None and (named := _name_remembered(bench, reading)) is not None:
        reading = under_name(reading, named)
    if made is not None:
        reading = made.noted_in(reading)
    return reading_renamed(dried(reading, found.settings.drying_hours), files)


def keep_reading(
    bench: Bench, reading: Reading, files: Sequence[SentFile], arriving: ArrivingFiles | None = None
) -> Reading:
    """A reading and the files that it came from, on the bench; those ``arriving`` are copied already."""
    keep = bench.keep_file if arriving is None else arriving.keep
    for file in files:
        if not file.is_kept:
            keep(file.path, file.name)
    kept = bench.readings.add(reading)
    _remember_name(bench, kept)
    return kept


def _named_in(bench: Bench, reading: Reading) -> Path | None:
    """The file that remembers how a person named the scanner of files that say the same as this reading's."""
    if reading.kind != "scan" or reading.file_says is None:
        return None
    said = hashlib.sha256(reading.file_says.model_dump_json().encode()).hexdigest()
    return bench.folder / "scanners" / "named" / f"{said}.txt"


def _name_remembered(bench: Bench, reading: Reading) -> str | None:
    """The newest name whose reading stands: with a reading that was withdrawn goes what was said of its scanner."""
    place = _named_in(bench, reading)
    said = [] if place is None else _names_in(place)
    if not said:
        return None
    readings = [one for one, _ in said if one is not None]
    away = bench.withdrawals.of("reading", readings)
    trials = bench.withdrawals.of("trial", [one.rpartition("-")[0] for one in readings])
    for one, name in reversed(said):
        if one is None or (one not in away and one.rpartition("-")[0] not in trials):
            return name
    return None


def _remember_name(bench: Bench, reading: Reading) -> None:
    """Keep what a person called the scanner; the name of a learnt one, whose colours are corrected, is asked for each
    time."""
    place = _named_in(bench, reading)
    if place is None or not reading.device or "scan | device " not in reading.uncertainty.comparable_with:
        return
    if any(notice.code == REMEMBERED for notice in reading.notices):
        return  # the program's word, not a person's
    if reading.scanned is not None and reading.device == reading.scanned.label:
        return
    try:
        place.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise explain(error, place.parent, "write") from error
    said = [*_names_in(place), (reading.id, " ".join(reading.device.split()))][-_MOST_NAMES:]
    lines = (name if one is None else f"{one}\t{name}" for one, name in said)
    write_atomically(place, "\n".join(lines).encode("utf-8"))


def _names_in(place: Path) -> list[tuple[str | None, str]]:
    """(reading, name) of each time that a person named the scanner, oldest first; older files hold one name alone."""
    try:
        lines = place.read_text("utf-8").splitlines() if place.is_file() else []
    except OSError as error:
        raise explain(error, place, "read") from error
    found = []
    for line in lines:
        one, told, name = line.rpartition("\t")
        if name.strip():
            found.append((one if told else None, name.strip()))
    return found
