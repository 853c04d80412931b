"""A phone in place of a scanner: looking at a photograph of a new print beside a known one, and reading it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from tackside.bench.store import Bench
from tackside.errors import BadRequest, BadScan, NotFound
from tackside.messages.message import Message
from tackside.reading.files import require_plausible
from tackside.reading.photo.fault import Outline, PhotoFault
from tackside.reading.photo.look import all_faults, faults_of_shake
from tackside.reading.photo.picture import open_photo
from tackside.reading.photo.read import Known, read_pair
from tackside.reading.photo.sheets import FEWEST_MARKS, PhotoSheet, find_sheets
from tackside.reading.scan.fitness import dried
from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.marks.detections import Seen, is_mirrored, see
from tackside.records import Reading, SheetPlan, Trial
from tackside.verdict.known_print import surface_of
from tackside.workflow.progress import Progress, unheard
from tackside.workflow.read import keep_reading
from tackside.workflow.sent_files import SentFile, reading_renamed, under_their_names

# What keeps codes and marks from being read, and so is behind other faults.
_FIRST = ("photo.blurred", "photo.too-small", "photo.cut-off")


@dataclass(frozen=True)
class SheetSeen:
    """A sheet in a photograph: whose it is (None: its tag was not read), its outline, and its marks."""

    trial: str | None
    is_new: bool
    outline: Outline
    marks: int
    marks_planned: int


@dataclass(frozen=True)
class PhotoLook:
    """What a photograph shows, and what is wrong with it; the worst first.

    ``trial``: the new print; ``beside``: the known one; None where they could not be told.
    """

    size_px: tuple[int, int]
    trial: str | None
    beside: str | None
    sheets: tuple[SheetSeen, ...]
    faults: tuple[PhotoFault, ...]

    @property
    def is_ready(self) -> bool:
        """Whether nothing keeps it from being read."""
        return not any(fault.hinders for fault in self.faults)


@dataclass(frozen=True)
class PhotoRead:
    """Readings kept, the new print's first; ``beside``: the trial that lay beside it."""

    readings: tuple[Reading, ...]
    beside: str
    look: PhotoLook


def look_at_photo(
    bench: Bench,
    file: SentFile,
    *,
    trial: str | None = None,
    beside: str | None = None,
    full_width: int | None = None,
) -> PhotoLook:
    """What is wrong with a photograph, before anything is read from it.

    ``trial`` and ``beside``: what the person says lies in it, told by the tags otherwise. ``full_width``: of the
    picture as taken, where a reduced one is looked at. Raises NotFound, BadImage, BadScan only for what is no picture.
    """
    with under_their_names([file]):
        return _look(bench, open_photo(file.path), trial, beside, full_width)[0]


def read_photo(
    bench: Bench,
    file: SentFile,
    *,
    trial: str | None = None,
    beside: str | None = None,
    progress: Progress = unheard,
) -> PhotoRead:
    """The new print's reading by the known one beside it, kept on the bench; where nothing is known of that one,
    readings of both that may be compared with each other. Raises NotFound, BadImage, BadScan with the first reason why
    the photograph cannot be read."""
    progress(0.1, Message("progress.finding-marks"))
    with under_their_names([file]):
        scan = open_photo(file.path)
        look, sheets = _look(bench, scan, trial, beside, None)
        for fault in look.faults:
            if fault.hinders:
                raise BadScan.saying(fault.message)
        by_trial = {sheet.trial: sheet for sheet in sheets}
        if look.trial is None or look.beside is None or not {look.trial, look.beside} <= set(by_trial):
            raise BadScan("photo.unread", file=file.name)
        progress(0.5, Message("progress.working-out-colours"))
        new, good = bench.trials.get(look.trial), bench.trials.get(look.beside)
        known = Known(_known_reading(bench, good.id), _same_surface(bench, new, good))
        found = read_pair(scan, by_trial[new.id], by_trial[good.id], known)
        for reading in found:
            require_plausible(reading)
    minor = tuple(fault.message for fault in look.faults)
    hours = {each.id: each.settings.drying_hours for each in (new, good)}
    progress(0.9, Message("progress.keeping-reading"))
    kept = []
    for reading in found:
        told = reading.model_copy(update={"notices": (*reading.notices, *minor)})
        dry = dried(told, hours.get(told.trial or ""))
        kept.append(keep_reading(bench, reading_renamed(dry, [file]), [file]))
    progress(1.0, Message("progress.keeping-reading"))
    return PhotoRead(tuple(kept), good.id, look)


def _known_reading(bench: Bench, trial: str) -> Reading | None:
    """What a scan or an instrument says of it, as far as that may be gone by."""
    try:
        standing = bench.readings.standing(trial)
    except (NotFound, BadRequest):
        return None
    fit = max((flaw.degree for flaw in standing.flaws), default=0.0) < 1.0
    return standing if standing.kind in ("scan", "instrument") and fit else None


def _same_surface(bench: Bench, one: Trial, other: Trial) -> bool:
    """Whether both cards are of one kind of surface, as far as their packs say."""
    here, there = (
        surface_of(bench.stocks.get(each.stock, each.stock_revision).surface) for each in (one, other)
    )
    return here == there or "unknown" in (here, there)


def _look(
    bench: Bench, scan: ScanImage, trial: str | None, beside: str | None, full_width: int | None
) -> tuple[PhotoLook, list[PhotoSheet]]:
    said = {name: bench.trials.standing(name) for name in (trial, beside) if name}
    seen = see(scan)
    trials, unknown = _named(bench, seen, said)
    plans = {name: each.sheet for name, each in trials.items()}
    sheets = find_sheets(seen, plans, scan.pixels, tuple(said) or tuple(plans))
    new, known, faults = _roles(bench, sheets, trials, trial, beside)
    if len(sheets) < 2:
        faults = [*_too_few(scan, seen, plans, unknown, sheets), *faults]
    scale = 1.0 if full_width is None else max(full_width / scan.pixels.shape[1], 1.0)
    if sheets:
        faults += all_faults(scan, sheets, scale)
    if any(fault.message.code == "photo.tag-unread" for fault in faults):
        faults = [*faults_of_shake(scan, sheets), *faults]  # the reason that no code is read
    height, width = scan.pixels.shape[:2]
    look = PhotoLook(
        size_px=(width, height),
        trial=new,
        beside=known,
        sheets=tuple(_shown(scan, sheet, new) for sheet in sheets),
        faults=tuple(sorted(faults, key=lambda fault: (not fault.hinders, fault.message.code not in _FIRST))),
    )
    return look, sheets


def _named(bench: Bench, seen: Seen, said: Mapping[str, Trial]) -> tuple[dict[str, Trial], list[str]]:
    """The trials that tags in the picture or the person name, and tags' trials that the bench does not have."""
    found, unknown = dict(said), list[str]()
    for name in dict.fromkeys(tag.trial for tag in seen.tags if tag.trial is not None):
        if name in found:
            continue
        try:
            found[name] = bench.trials.standing(name)
        except NotFound:
            unknown.append(name)
    return found, unknown


def _too_few(
    scan: ScanImage, seen: Seen, plans: Mapping[str, SheetPlan], unknown: list[str], sheets: list[PhotoSheet]
) -> list[PhotoFault]:
    if unknown:
        return [PhotoFault(Message("photo.unknown-trial", file=scan.name, trial=unknown[0]), True)]
    if sheets:
        return [PhotoFault(Message("photo.one-sheet", file=scan.name, trial=sheets[0].trial or "?"), True)]
    if is_mirrored(scan, len(seen.marks)):
        return [PhotoFault(Message("photo.mirrored", file=scan.name), True)]
    if len(seen.marks) >= FEWEST_MARKS and not plans:
        return [PhotoFault(Message("photo.no-tag", file=scan.name), True)]
    return [PhotoFault(Message("photo.no-sheets", file=scan.name), True)]


def _roles(
    bench: Bench,
    sheets: list[PhotoSheet],
    trials: Mapping[str, Trial],
    trial: str | None,
    beside: str | None,
) -> tuple[str | None, str | None, list[PhotoFault]]:
    """Which is the new print and which the known one, and what speaks against it."""
    shown = [sheet.trial for sheet in sheets if sheet.trial in trials]
    away = [name for name in (trial, beside) if name and len(sheets) >= 2 and name not in shown]
    if away and len(shown) < len(sheets):
        faults = [PhotoFault(Message("photo.tag-unread"), True)]
    else:
        faults = [
            PhotoFault(Message("photo.not-that-trial", trial=name, shown=tuple(map(str, shown))), True)
            for name in away
        ]
    if len(shown) > len(set(shown)):
        faults.append(PhotoFault(Message("photo.twice", trial=str(shown[0])), True))
    names = list(dict.fromkeys(name for name in shown if name is not None))
    if len(names) > 2 and not (trial and beside):
        faults.append(PhotoFault(Message("photo.more-than-two", trials=tuple(names)), True))
    if len(names) < 2:
        return trial, beside, faults
    if trial is None and beside is None:
        read = [name for name in names if _is_read(bench, name)]
        if len(read) >= 2:
            faults.append(PhotoFault(Message("photo.no-new-print", trials=tuple(names)), True))
        known = read[0] if read else min(names, key=lambda name: trials[name].made_at)
        return next(name for name in names if name != known), known, faults
    new = trial or next((name for name in names if name != beside), None)
    return new, beside or next((name for name in names if name != new), None), faults


def _is_read(bench: Bench, trial: str) -> bool:
    """Whether a scan or an instrument has read it."""
    return any(reading.kind in ("scan", "instrument") for reading in bench.readings.list(trial))


def _shown(scan: ScanImage, sheet: PhotoSheet, new: str | None) -> SheetSeen:
    height, width = scan.pixels.shape[:2]
    outline = tuple((float(x) / width, float(y) / height) for x, y in sheet.outline)
    return SheetSeen(sheet.trial, sheet.trial == new, outline, len(sheet.marks), len(sheet.plan.marks))
