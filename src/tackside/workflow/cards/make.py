"""Make the print-ready sheet of a card, of a whole list, or of a card that the bench keeps; or draw it beforehand."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tackside.bench.store import Bench
from tackside.card.file.design import Card
from tackside.card.file.load import load_card
from tackside.card.make import CardSheet, LaidOut, lay_out_for
from tackside.card.make import make_card as make_sheet
from tackside.card.pixels.conversion import Output
from tackside.card.series.rows import read_rows
from tackside.card.series.series import RowSheet
from tackside.card.series.series import make_series as make_sheets
from tackside.card.views.show import save_preview
from tackside.errors import BadRequest
from tackside.files.atomic import require_free
from tackside.fit.placement.measured import PrintPath
from tackside.profile.icc.files import read_profile_file
from tackside.records import Printer, Stock
from tackside.workflow.placement import print_path
from tackside.workflow.profiles.own import profile_of_card
from tackside.workflow.progress import Progress, counted, unheard

FINISHED = Path("cache", "cards")  # in the bench's folder: which rows of a list are made


def output_of(profile: Path | None, **choices: Any) -> Output:
    """How a card is put out: by a printer's profile if there is one, else in ``choices``' working space. Raises
    BadProfile, StorageTrouble.
    """
    return Output(profile=None if profile is None else read_profile_file(profile), **choices)


def output_by_card(
    bench: Bench, file: Path, trial: str, *, progress: Progress = unheard, **choices: Any
) -> Output:
    """How a card file is put out by the own profile of its card, which was read as a ``trial``.

    Raises BadRequest where the trial is of another stock or printer, and what building the profile raises.
    """
    card, read = load_card(file), bench.trials.get(trial)
    if (card.stock, card.printer) != (read.stock, read.printer):
        raise BadRequest("own-profile.of-another-card", trial=read.id, stock=read.stock, printer=read.printer)
    return Output(profile=profile_of_card(bench, read.id, progress=progress), **choices)


@dataclass(frozen=True)
class _Known:
    """What the bench knows of a card: its stock and printer, and its way into the printer."""

    stock: Stock
    printer: Printer
    path: PrintPath

    @classmethod
    def of(cls, bench: Bench, card: Card, *, corrected: bool) -> _Known:
        stock, printer = bench.stocks.get(card.stock), bench.printers.get(card.printer)
        return cls(stock, printer, print_path(bench, stock, printer, corrected=corrected))


@dataclass(frozen=True)
class MadeCard:
    card: Card
    sheet: CardSheet


@dataclass(frozen=True)
class MadeSeries:
    card: Card
    rows: tuple[RowSheet, ...]


def make_card(
    bench: Bench, file: Path, out: Path, output: Output, *, corrected: bool = True, force: bool = False
) -> MadeCard:
    """The sheet of a card file at true size, written to ``out``: PDF, TIFF or JPEG; ``force``: over what is there.

    ``corrected``: laid out by where earlier trials fell. Raises BadRecord, NotFound, DoesNotFit, BadImage,
    StorageTrouble.
    """
    require_free(out, force=force, inputs=(file,))
    card = load_card(file)
    known = _Known.of(bench, card, corrected=corrected)
    sheet = make_sheet(card, known.stock, known.printer, out, output=output, path=known.path, force=force)
    return MadeCard(card, sheet)


def make_series(
    bench: Bench,
    file: Path,
    rows: Path,
    out: Path,
    output: Output,
    *,
    corrected: bool = True,
    workers: int | None = None,
    cluster: str | None = None,
    progress: Progress = unheard,
) -> MadeSeries:
    """A sheet for each row of a list: ``NAME-001.pdf`` and so on; called again, it makes what is missing or changed.

    Raises as ``make_card``.
    """
    card = load_card(file)
    known = _Known.of(bench, card, corrected=corrected)
    made = make_sheets(
        card,
        read_rows(rows),
        known.stock,
        known.printer,
        out,
        output=output,
        path=known.path,
        workers=workers,
        cluster=cluster,
        finished=bench.folder / FINISHED,
        tell=counted(progress, "progress.made-cards"),
    )
    return MadeSeries(card, made)


def draw_card(bench: Bench, file: Path, out: Path, *, folded: bool = False, force: bool = False) -> LaidOut:
    """A picture of a card file for a screen, written to ``out`` as PNG: the sheet as fed, or the finished card;
    ``force``: over what is there, but for the card's own pictures.
    """
    card = load_card(file)
    require_free(out, force=force, inputs=(card.folder / each.file for each in card.pictures))
    known = _Known.of(bench, card, corrected=True)
    laid = lay_out_for(card, known.stock, known.printer, path=known.path)
    save_preview(card, laid, known.stock, out, folded=folded)
    return laid
