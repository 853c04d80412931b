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
from tackside.files.atomic import atomic_path
from tackside.files.record_faults import fault_of
from tackside.fit.fit_stock import fit_stock
from tackside.fit.model import Fit
from tackside.fit.refusal import refused
from tackside.messages.message import Message
from tackside.records import Settings, SheetPlan, Trial
from tackside.records.sheet_plan import Purpose, Side, Space
from tackside.sheet.ground import feed_called
from tackside.sheet.plan import plan_sheet
from tackside.sheet.render import render
from tackside.sheet.write import check_suffix, write_sheet
from tackside.workflow.progress import Progress, unheard

SUFFIXES = ("tif", "pdf")


@dataclass(frozen=True)
class MadeTrial:
    trial: Trial
    fit: Fit


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
    settings: Settings | None = None,
    progress: Progress = unheard,
) -> MadeTrial:
    """A new trial of a stock on a printer, with the plan of its sheet, which is also written to ``files``.

    ``space`` holds for the purpose ``path``. ``feed`` is by default the best that takes the card, ``ppi`` the printer's
    own grid. ``settings`` are those known already; the space that the sheet's file is in is noted with them. All files
    are written before the trial is kept, or none. Raises NotFound, DoesNotFit, BadRequest, StorageTrouble.
    """
    for file in files:
        check_suffix(file)
    card, machine = bench.stocks.kept(stock), bench.printers.kept(printer)
    fit = fit_stock(card.record, machine.record, feed or None, side)
    if fit.feed is None:
        raise refused(fit)
    trial_id = bench.trials.next_id(
        card.record, machine.record, purpose=purpose, space=space if purpose == "path" else None, side=side,
        feed=fit.feed,
    )  # fmt: skip
    plan = plan_sheet(
        card.record, machine.record, trial_id=trial_id, purpose=purpose, space=space, side=side,
        feed=feed_called(machine.record, fit.feed), ppi=ppi,
    )  # fmt: skip
    write_all(plan, files, progress)
    trial = Trial(
        id=trial_id, stock=card.record.name, stock_revision=card.number, printer=machine.record.name,
        printer_revision=machine.number, feed=fit.feed, side=side, sheet=plan, made_at=datetime.now(UTC),
        settings=_with_space(settings or Settings(), plan),
    )  # fmt: skip
    return MadeTrial(bench.trials.add(trial), fit)


def _with_space(settings: Settings, plan: SheetPlan) -> Settings:
    return settings.model_copy(update={"source_space": settings.source_space or plan.space})


def draw_sheet(bench: Bench, trial: str, folder: Path, progress: Progress = unheard) -> dict[str, str]:
    """The files of a kept trial's sheet, drawn in ``folder`` and kept on the bench: the SHA-256 of each by suffix."""
    found = bench.trials.get(trial)
    files = {suffix: folder / f"sheet.{suffix}" for suffix in SUFFIXES}
    write_all(found.sheet, tuple(files.values()), progress)
    return {suffix: bench.keep_file(file, f"{found.id}.{suffix}") for suffix, file in files.items()}


def write_all(plan: SheetPlan, files: Sequence[Path], progress: Progress = unheard) -> None:
    """The sheet in every file, TIFF or PDF by its suffix: all of them, or none."""
    if not files:
        return
    progress(0.05, Message("progress.drawing-sheet"))
    image = render(plan)
    with ExitStack() as stack:
        for number, file in enumerate(files):
            kind = "pdf" if file.suffix.lower() == ".pdf" else "tiff"
            progress(0.4 + 0.6 * number / len(files), Message(f"progress.writing-{kind}"))
            write_sheet(plan, image, stack.enter_context(atomic_path(file)))


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
