"""Make the print-ready sheet of a card, of a whole list, or of a card that the bench keeps; or draw it beforehand. With
it comes what the bench knows of the faces that it is printed on: how test prints on them were judged.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from tackside.bench.store import Bench
from tackside.card.checks.remarks import face_called, stock_side
from tackside.card.file.design import Card, load_card, sample_words
from tackside.card.layout.layout import CardFace
from tackside.card.layout.texts import missing_characters
from tackside.card.make import CardSheet, LaidOut, lay_out_for
from tackside.card.make import make_card as make_sheet
from tackside.card.pixels.conversion import Output
from tackside.card.series.lay_rows import lay_rows, naming_column, row_called
from tackside.card.series.list_file import read_rows
from tackside.card.series.one_file import TITLES
from tackside.card.series.one_file import make_one_file as make_pages
from tackside.card.series.row_faults import Rows
from tackside.card.series.series import RowSheet
from tackside.card.series.series import make_series as make_sheets
from tackside.card.views.show import save_preview
from tackside.errors import BadRequest
from tackside.files.atomic import require_free
from tackside.fit.placement.measured import PrintPath
from tackside.messages.message import Message
from tackside.profile.icc.files import read_profile_file
from tackside.records import Printer, Stock
from tackside.records.sheet_plan import Side
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
    """``notices`` say what about the list had to be guessed."""

    card: Card
    rows: tuple[RowSheet, ...]
    notices: tuple[Message, ...] = ()


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
    return MadeCard(card, _with_remarks(bench, card, sheet, known.stock))


def make_series(
    bench: Bench,
    file: Path,
    rows: Path,
    out: Path,
    output: Output,
    *,
    named_by: str | None = None,
    corrected: bool = True,
    force: bool = False,
    workers: int | None = None,
    cluster: str | None = None,
    progress: Progress = unheard,
) -> MadeSeries:
    """A sheet for each row of a list: ``NAME-001-ANN.pdf`` and so on, called by what stands in the column ``named_by``;
    called again, it makes what is missing or changed.

    Raises as ``make_card``, all faulty rows at once.
    """
    card = load_card(file)
    known = _Known.of(bench, card, corrected=corrected)
    listed = read_rows(rows)
    made = make_sheets(
        card,
        listed,
        known.stock,
        known.printer,
        out,
        output=output,
        path=known.path,
        named_by=named_by,
        force=force,
        workers=workers,
        cluster=cluster,
        finished=bench.folder / FINISHED,
        tell=counted(progress, "progress.made-cards"),
    )
    return _series(bench, card, made, listed, known.stock)


def make_one_file(
    bench: Bench,
    file: Path,
    rows: Path,
    out: Path,
    output: Output,
    *,
    named_by: str | None = None,
    faces_apart: bool = False,
    corrected: bool = True,
    force: bool = False,
    titles: Mapping[str, str] = TITLES,
    progress: Progress = unheard,
) -> MadeSeries:
    """The cards of all rows in one PDF, its pages called after the rows; ``faces_apart``: all first faces before all
    second ones. Raises as ``make_series``.
    """
    card = load_card(file)
    require_free(out, force=force, inputs=(file, rows))
    known = _Known.of(bench, card, corrected=corrected)
    listed = read_rows(rows)
    made = make_pages(
        card,
        listed,
        known.stock,
        known.printer,
        out,
        output=output,
        path=known.path,
        named_by=named_by,
        faces_apart=faces_apart,
        titles=titles,
        force=force,
        tell=counted(progress, "progress.made-cards"),
    )
    return _series(bench, card, made, listed, known.stock)


def draw_card(
    bench: Bench,
    file: Path,
    out: Path,
    *,
    rows: Path | None = None,
    row: str | None = None,
    folded: bool = False,
    force: bool = False,
) -> LaidOut:
    """A picture of a card file for a screen, written to ``out`` as PNG: the sheet as fed, or the finished card;
    ``force``: over what is there, but for the card's own pictures.

    With a list, the card of that ``row``, by its number or by what it is called; by default the first. Raises as
    ``make_card``, and BadRecord where there is no such row; characters that no font has are left out and told.
    """
    card = load_card(file)
    known = _Known.of(bench, card, corrected=True)
    said: tuple[Message, ...] = ()
    if rows is not None:
        listed = read_rows(rows)
        number = row_called(listed, row or "1", naming_column(card, listed))
        (one,) = lay_rows(
            card, listed, known.stock, known.printer, path=known.path, only={number}, drawn=True
        )
        card, laid, said = one.card, one.laid, listed.notices
    else:
        laid = lay_out_for(card, known.stock, known.printer, path=known.path, drawn=True)
    require_free(out, force=force, inputs=(file, rows, *(card.folder / each.file for each in card.pictures)))
    save_preview(card, laid, known.stock, out, folded=folded)
    missing = (missing_characters(text).message for face in laid.faces for text in face.texts if text.missing)
    left_out = (Message("card-remark.left-out", fault=each) for each in missing)
    judged = judged_faces(bench, known.stock.name, laid.faces, laid.outside_on)
    return replace(laid, warnings=(*said, *left_out, *laid.warnings, *judged))


def words_of_template(file: Path) -> tuple[str, ...]:
    """The words of a card file that still stand as a template has them: to be asked about before they are printed.

    Raises BadRecord.
    """
    return sample_words(load_card(file))


def _with_remarks(bench: Bench, card: Card, sheet: CardSheet, stock: Stock) -> CardSheet:
    """The sheet, with how the sides that it is printed on were judged, and the words that a template left."""
    judged = judged_faces(bench, stock.name, sheet.faces, sheet.outside_on)
    words = sample_words(card)
    left = (Message("card-remark.says-sample-words", words=quoted(words)),) if words else ()
    return replace(sheet, warnings=(*sheet.warnings, *judged, *left))


def quoted(words: Sequence[str]) -> list[str]:
    """Words as a message names them, each on one line."""
    return [f'"{" ".join(each.split())}"' for each in words]


def _series(bench: Bench, card: Card, made: Sequence[RowSheet], listed: Rows, stock: Stock) -> MadeSeries:
    rows = tuple(replace(each, sheet=_with_remarks(bench, card, each.sheet, stock)) for each in made)
    return MadeSeries(card, rows, listed.notices)


POOR = ("draft", "reject")


def judged_faces(bench: Bench, stock: str, faces: Sequence[CardFace], outside: Side) -> tuple[Message, ...]:
    """A remark for each face that holds something and lies on a side whose latest test print is no better than a
    draft."""
    standing = {each.side: each for each in bench.catalogue.standing([stock]).get(stock, ())}
    found = []
    for face in faces:
        judged = standing.get(stock_side(face, outside))
        if judged is None or judged.grade not in POOR or face.is_empty:
            continue
        found.append(
            Message(
                "card-remark.on-poor-side",
                face=face_called(face),
                side=Message(f"fit.face-{judged.side}"),
                trial=judged.id,
                grade=Message(f"verdict.grade.{judged.grade}"),
            )
        )
    return tuple(found)
