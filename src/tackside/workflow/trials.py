"""Making a trial: its sheet planned, its files written, the trial kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from contextlib import ExitStack
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.files.atomic import atomic_path, require_free
from tackside.files.record_faults import fault_of
from tackside.fit.fit_stock import fit_stock
from tackside.fit.model import Fit
from tackside.fit.refusal import refused
from tackside.messages.message import Message
from tackside.records import Settings, SheetPlan, Trial
from tackside.records.sheet_plan import Purpose, Side, Space
from tackside.records.trial import SentThrough
from tackside.sheet.canvas import Image
from tackside.sheet.ground import feed_called
from tackside.sheet.plan import plan_sheet
from tackside.sheet.render import render
from tackside.sheet.write import PDF_SUFFIXES, SheetPdf, check_suffix, files_of, write_tiff
from tackside.workflow.own_picture import keep_own, own_pixels
from tackside.workflow.pictures.keep import keep_profile_data
from tackside.workflow.profiles.chart import chart_remarks, chart_wish
from tackside.workflow.profiles.sheet_through import SheetProfile, profile_of_sheet
from tackside.workflow.progress import Progress, unheard
from tackside.workflow.sent_files import SentFile

SUFFIXES = ("tif", "pdf")
MOST_WORDS = 200  # of a setting


@dataclass(frozen=True)
class MadeTrial:
    """``files``: what was written, one TIFF a page. ``remarks``: what is to be said of a sheet for a profile."""

    trial: Trial
    fit: Fit
    files: tuple[Path, ...] = ()
    remarks: tuple[Message, ...] = ()


def make_trial(
    bench: Bench,
    stock: str,
    printer: str,
    *,
    files: Sequence[Path] = (),
    purpose: Purpose = "path",
    space: Space = "srgb",
    side: Side = "front",
    feed: str | None = None,
    ppi: float | None = None,
    settings: Settings | Mapping[str, Any] | None = None,
    patches: int | None = None,
    patch_mm: float | None = None,
    through: SheetProfile | None = None,
    picture: SentFile | None = None,
    force: bool = False,
    progress: Progress = unheard,
) -> MadeTrial:
    """A new trial of a stock on a printer, with the plan of its sheet, which is also written to ``files``.

    With a number of ``patches``, for the purpose ``device`` alone, it is the sheet for a profile, on as many sheets of
    the stock as it takes; ``patch_mm``: how small a patch's sides may be, 6 by default. Where an earlier reading of the
    card is there, patches stand closer where it bends.

    ``through`` a profile, for the purpose ``path`` alone, the files hold the printer's numbers, to be printed without
    colour management; the profile is kept with what it promises.

    ``picture``, one of the person's own, takes the harbour's place on the sheet, whole, its colours brought into the
    sheet's space; the bench keeps it.

    ``space`` holds for the purpose ``path``. ``feed`` is by default the best that takes the card, ``ppi`` the printer's
    own grid. ``settings`` are those known already; the space that the sheet's file is in is noted with them. All files
    are written before the trial is kept, or none; ``force``: over what is there already. Raises NotFound, DoesNotFit,
    BadRequest, BadImage, StorageTrouble.
    """
    for file in files:
        check_suffix(file)
    noted = settings if isinstance(settings, Settings) else _changed(Settings(), settings or {})
    if through is not None and purpose != "path":
        raise BadRequest("own-profile.sheet-of-bare-numbers")
    card, machine = bench.stocks.kept(stock), bench.printers.kept(printer)
    fit = fit_stock(card.record, machine.record, feed or None, side)
    if fit.feed is None:
        raise refused(fit)
    wish = chart_wish(
        bench,
        card.record.name,
        machine.record.name,
        purpose=purpose,
        side=side,
        patches=patches,
        patch_mm=patch_mm,
    )
    trial_id = bench.trials.next_id(
        card.record, machine.record, purpose=purpose, space=space if purpose == "path" else None, side=side,
        feed=fit.feed,
    )  # fmt: skip
    plan = plan_sheet(
        card.record, machine.record, trial_id=trial_id, purpose=purpose, space=space, side=side,
        feed=feed_called(machine.record, fit.feed), ppi=ppi, chart=None if wish is None else wish.asked,
        converted=through is not None, own_picture=picture is not None,
    )  # fmt: skip
    require_free(*(each for file in files for each in files_of(file, plan.pages)), force=force)
    own = None if picture is None else keep_own(bench, picture)
    written = write_all(plan, files, progress, through, own_pixels(bench, own, plan))
    sent = None
    if through is not None:
        sent = through.sent(plan, keep_profile_data(bench, through.data, through.name).sha256)
    trial = Trial(
        id=trial_id, stock=card.record.name, stock_revision=card.number, printer=machine.record.name,
        printer_revision=machine.number, feed=fit.feed, side=side, sheet=plan, made_at=datetime.now(UTC),
        settings=_known_settings(noted, plan, sent), through=sent,
        own_picture=own,
    )  # fmt: skip
    remarks = () if wish is None else chart_remarks(plan, wish)
    return MadeTrial(bench.trials.add(trial), fit, written, remarks)


def _known_settings(settings: Settings, plan: SheetPlan, sent: SentThrough | None) -> Settings:
    known: dict[str, Any] = {"source_space": settings.source_space or plan.space}
    if sent is not None:
        known |= {
            "colour_managed_by": "application", "profile": sent.profile[:MOST_WORDS], "intent": sent.intent,
            "black_point_compensation": sent.black_point_compensation,
        }  # fmt: skip
    return settings.model_copy(update=known)


def draw_sheet(bench: Bench, trial: str, folder: Path, progress: Progress = unheard) -> dict[str, str]:
    """The files of a kept trial's sheet, drawn in ``folder`` and kept on the bench: the SHA-256 of each, by ``pdf`` and
    ``tif``; of several pages the TIFFs are ``tif-1`` and on.
    """
    found = bench.trials.get(trial)
    names = [folder / f"sheet.{suffix}" for suffix in SUFFIXES]
    written = write_all(
        found.sheet, names, progress, profile_of_sheet(bench, found),
        own_pixels(bench, found.own_picture, found.sheet),
    )  # fmt: skip
    return {
        file.suffix[1:] + file.stem.removeprefix("sheet"): bench.keep_file(
            file, f"{found.id}{file.stem[5:]}{file.suffix}"
        )
        for file in written
    }


def write_all(
    plan: SheetPlan,
    files: Sequence[Path],
    progress: Progress = unheard,
    through: SheetProfile | None = None,
    own: Image | None = None,
) -> tuple[Path, ...]:
    """The sheet in every file, TIFF or PDF by its suffix: all of them, or none. Returns what was written, in order.

    ``through`` a profile, the files hold the printer's numbers and say nothing of a space.
    ``own``: their picture.
    """
    written = tuple(each for file in files for each in files_of(file, plan.pages))
    if not files:
        return written
    pdf = SheetPdf() if any(_is_pdf(file) for file in files) else None
    with ExitStack() as stack:
        for number, page in enumerate(plan.by_page):
            done = 0.05 + 0.8 * number / plan.pages
            progress(done, Message("progress.drawing-sheet"))
            image = render(page, own)
            if through is not None and plan.space is not None:
                image = through.converted(image, plan.space)
                page = page.model_copy(update={"space": None})
            progress(
                done + 0.4 / plan.pages,
                Message("progress.writing-tiff" if pdf is None else "progress.writing-pdf"),
            )
            for file in files:
                if not _is_pdf(file):
                    write_tiff(
                        page, image, stack.enter_context(atomic_path(files_of(file, plan.pages)[number]))
                    )
            if pdf is not None:
                pdf.add(page, image)
        for file in files:
            if pdf is not None and _is_pdf(file):
                pdf.save(stack.enter_context(atomic_path(file)))
    return written


def _is_pdf(file: Path) -> bool:
    return file.suffix.lower() in PDF_SUFFIXES


@dataclass(frozen=True)
class NotedSettings:
    """A trial's settings as they are noted now; ``is_new``: they differ from what was noted before."""

    trial: Trial
    settings: Settings
    revision: int
    is_new: bool


def note_settings(
    bench: Bench, trial: str, settings: Settings | Mapping[str, Any], *, after: int | None = None
) -> NotedSettings:
    """Note how a trial was printed: all its settings, or the fields that change, by name; earlier ones stay as history.

    ``after`` is the revision that the person saw. Raises NotFound, BadRequest for a field that does not hold,
    Overtaken.
    """
    before = bench.trials.get(trial)
    noted = settings if isinstance(settings, Settings) else _changed(before.settings, settings)
    revision = bench.trials.update_settings(before.id, noted, after=after)
    return NotedSettings(before, noted, revision, noted != before.settings)


def _changed(settings: Settings, changes: Mapping[str, Any]) -> Settings:
    try:
        return Settings.model_validate({**settings.model_dump(), **changes})
    except ValidationError as error:
        fault = fault_of(error, Settings)
        raise BadRequest.saying(fault.message, fault.place) from error
