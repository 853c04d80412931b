"""Practising: a sheet printed and scanned by the virtual press, and afterwards the truth about it."""

from __future__ import annotations

import secrets
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from tackside.bench.store import Bench
from tackside.errors import BadRequest, NotFound
from tackside.files.atomic import require_free
from tackside.messages.message import Message
from tackside.records import Cause, Settings, Trial
from tackside.records.standing.practice import InventedCard, PracticeGuess, PracticePrint
from tackside.sheet.renamed import renamed
from tackside.sheet.render import render
from tackside.sheet.write import files_of
from tackside.workflow.own_picture import own_pixels
from tackside.workflow.practice.press import card_for, faults_for, printed_and_scanned
from tackside.workflow.progress import Progress, unheard

SUFFIXES = (".tif", ".tiff")
MARK = "PRACTICE"


@dataclass(frozen=True)
class Practised:
    """A practice trial, and the scans of its print, one a page. The fault is None where it is to be guessed."""

    trial: Trial
    of: str
    files: tuple[Path, ...]
    fault: Cause | None
    card: InventedCard


@dataclass(frozen=True)
class Revealed:
    """The truth of a practice print beside what was guessed of it: by the person, and by the verdict that stands.

    None: nobody guessed, or there is no verdict. ``first``: no guess was made before this one.
    """

    trial: str
    of: str
    card: InventedCard
    fault: Cause
    hidden: bool
    guess: Cause | None
    verdict_cause: Cause | None
    verdict_chance: float | None
    first: bool

    @property
    def guessed_right(self) -> bool | None:
        return None if self.guess is None else self.guess == self.fault

    @property
    def verdict_right(self) -> bool | None:
        return None if self.verdict_cause is None else self.verdict_cause == self.fault


def begin_practice(
    bench: Bench, trial: str, *, fault: str | None = None, card: InventedCard | None = None
) -> tuple[Trial, PracticePrint]:
    """A practice trial as ``drawn_practice`` makes it, kept on the bench; its print is to follow."""
    made, printed = drawn_practice(bench, trial, fault=fault, card=card)
    bench.practice.add(made, printed)
    return made, printed


def drawn_practice(
    bench: Bench, trial: str, *, fault: str | None = None, card: InventedCard | None = None
) -> tuple[Trial, PracticePrint]:
    """A practice trial of a trial's sheet, with the ``fault`` that was chosen, or with one drawn by lot that stays
    hidden until it is revealed.

    The card is by default the invented one nearest to the stock. Its settings are told as a right print would have
    them. Nothing is kept yet. Raises NotFound, BadRequest for a fault that this sheet cannot show, or a sheet that went
    through a profile.
    """
    found = bench.trials.get(trial)
    of = bench.practice.get(found.id).of if found.practice else found.id
    if found.through is not None:
        raise BadRequest("practice.through-a-profile", trial=found.id)
    known = faults_for(found.sheet)
    if fault is not None and fault not in known:
        raise BadRequest("practice.no-such-fault", fault=fault, faults=known)
    stock = bench.stocks.get(found.stock, found.stock_revision)
    chosen = next((each for each in known if each == fault), None) or secrets.choice(known)
    new = bench.trials.next_id(
        stock, bench.printers.get(found.printer, found.printer_revision), purpose=found.sheet.purpose,
        space=found.sheet.space, side=found.side, feed=found.feed, practice=True,
    )  # fmt: skip
    now = datetime.now(UTC)
    made = found.model_copy(
        update={
            "id": new, "practice": True, "made_at": now, "sheet": renamed(found.sheet, found.id, new, marked=MARK),
            "settings": Settings(source_space=found.sheet.space, drying_hours=24.0),
        }
    )  # fmt: skip
    printed = PracticePrint(
        trial=new, of=of, card=card or card_for(stock.base), fault=chosen, hidden=fault is None,
        lot=secrets.randbelow(1_000_000), made_at=now,
    )  # fmt: skip
    return made, printed


def practise(
    bench: Bench,
    trial: str,
    out: Path,
    *,
    fault: str | None = None,
    card: InventedCard | None = None,
    force: bool = False,
    progress: Progress = unheard,
) -> Practised:
    """Print and scan a trial's sheet on the virtual press, into ``out`` (TIFF; of several pages ``out-1.tif`` and on).

    The practice trial is kept once all files are written. Raises NotFound, BadRequest, StorageTrouble.
    """
    if out.suffix.lower() not in SUFFIXES:
        raise BadRequest("practice.scan-suffix", file=out.name)
    pages = bench.trials.get(trial).sheet.pages
    files = files_of(out, pages)
    require_free(*files, force=force)
    made, printed = drawn_practice(bench, trial, fault=fault, card=card)
    print_practice(bench, made, printed, files, progress)
    bench.practice.add(made, printed)
    told = None if printed.hidden else printed.fault
    return Practised(made, printed.of, tuple(files), told, printed.card)


def print_practice(
    bench: Bench, trial: Trial, printed: PracticePrint, files: Sequence[Path], progress: Progress = unheard
) -> None:
    """The scans of a practice trial's print, page by page, with the picture of one's own where the sheet has one."""
    own = own_pixels(bench, trial.own_picture, trial.sheet)
    pages = trial.sheet.by_page
    for number, (page, file) in enumerate(zip(pages, files, strict=True)):
        progress(number / len(pages), Message("progress.practice-printing"))
        printed_and_scanned(page, render(page, own), printed, file)
    progress(1.0, Message("progress.practice-printing"))


def print_kept(
    bench: Bench, trial: str, folder: Path, progress: Progress = unheard
) -> tuple[tuple[str, str], ...]:
    """The scans of a kept practice trial's print, made in ``folder`` and kept on the bench: SHA-256 and name of each.

    Raises NotFound, StorageTrouble.
    """
    printed = bench.practice.get(trial)
    found = bench.trials.get(printed.trial)
    files = files_of(folder / f"practice-{found.id}.tif", found.sheet.pages)
    print_practice(bench, found, printed, files, progress)
    return tuple((bench.keep_file(file, file.name), file.name) for file in files)


def reveal(bench: Bench, trial: str, guess: str | None = None) -> Revealed:
    """The truth of a practice print beside a guess, which is kept, and the verdict that stands.

    Raises NotFound where the trial is none of practice, BadRequest for a guess that is no cause of this sheet's.
    """
    printed = bench.practice.get(trial)
    known = faults_for(bench.trials.get(printed.trial).sheet)
    if guess is not None and guess not in known:
        raise BadRequest("practice.no-such-fault", fault=guess, faults=known)
    before = bench.practice.guesses(printed.trial)
    try:
        verdict = bench.verdicts.standing(printed.trial)
    except NotFound:
        verdict = None
    cause = None if verdict is None else verdict.cause
    named = next((each for each in known if each == guess), None)
    bench.practice.guess(
        PracticeGuess(trial=printed.trial, guess=named, verdict_cause=cause, made_at=datetime.now(UTC))
    )
    return Revealed(
        printed.trial, printed.of, printed.card, printed.fault, printed.hidden, named, cause,
        None if verdict is None or cause is None else verdict.causes.get(cause), first=not before,
    )  # fmt: skip


def revealed(bench: Bench, trial: str) -> Revealed | None:
    """What ``reveal`` said the first time; None where nothing was revealed yet."""
    printed = bench.practice.get(trial)
    first = next(iter(bench.practice.guesses(printed.trial)), None)
    if first is None:
        return None
    return Revealed(
        printed.trial, printed.of, printed.card, printed.fault, printed.hidden, first.guess, first.verdict_cause, None,
        first=False,
    )  # fmt: skip


def faults_of_trial(bench: Bench, trial: str) -> tuple[Cause, ...]:
    """The faults that a trial's sheet can show. Raises NotFound."""
    return faults_for(bench.trials.get(trial).sheet)
