"""A kept card for each row of a list: any row as it would come out, and the files of all."""

from __future__ import annotations

import zipfile
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from tackside.bench.store import Bench
from tackside.card.file.design import Card, CardParts, sample_words
from tackside.card.series.lay_rows import naming_column, row_name
from tackside.card.series.list_file import read_rows
from tackside.card.series.one_file import TITLES, make_one_file
from tackside.card.series.row_check import refuse_unfit_rows
from tackside.card.series.row_faults import Rows
from tackside.card.series.rows import personalised
from tackside.card.series.series import RowSheet, make_series
from tackside.errors import BadRequest
from tackside.files.atomic import atomic_path
from tackside.messages.message import Message
from tackside.records.card import KeptCard
from tackside.workflow.cards.fonts import fonts_in_use
from tackside.workflow.cards.kept import opener_of, parts_of
from tackside.workflow.cards.make import judged_faces, quoted
from tackside.workflow.cards.make_kept import design_of, lay_out_files
from tackside.workflow.laid_out import known_as
from tackside.workflow.placement import print_path
from tackside.workflow.progress import Progress, counted, unheard
from tackside.workflow.sent_files import SentFile, under_their_names

Filed = Literal["one", "apart", "single"]  # one PDF card by card, one with the outsides first, a file a card


@dataclass(frozen=True)
class KeptList:
    """A list as the bench keeps it; ``names`` are what its rows are called on this card."""

    rows: Rows
    names: tuple[str, ...]


@dataclass(frozen=True)
class MadeList:
    """``file`` is kept, as SHA-256, and called ``name``: a PDF, or a ZIP of one for each card."""

    name: str
    file: str
    cards: int
    remarks: tuple[Message, ...]


def list_of(bench: Bench, parts: CardParts, sha256: str, name: str) -> KeptList:
    """A kept list, called ``name`` by the person, as a card's rows. Raises NotFound, BadRecord."""
    with under_their_names([SentFile(bench.file(sha256), name, is_kept=True)]):
        rows = read_rows(bench.file(sha256))
    column = naming_column(Card.model_construct(**dict(parts)), rows)
    return KeptList(rows, tuple(row_name(row, column) for row in rows.rows))


def refuse_faulty_rows(bench: Bench, card: KeptCard, sha256: str, name: str) -> None:
    """Raise what is wrong with the rows of a kept list on a kept card, all at once, before any card is made."""
    parts, listed = parts_of(card), SentFile(bench.file(sha256), name, is_kept=True)
    stock, printer = bench.stocks.get(card.stock), bench.printers.get(card.printer)
    with under_their_names([listed]):
        refuse_unfit_rows(
            Card.model_construct(**dict(parts)),
            list_of(bench, parts, sha256, name).rows,
            stock,
            printer,
            opener_of(card.images),
            fonts_in_use(bench, card.fonts),
            print_path(bench, stock, printer, corrected=True),
        )


def row_on_card(parts: CardParts, rows: Rows, number: int) -> CardParts:
    """The design with the words of one row. Raises BadRecord where the row lacks something."""
    only = tuple(each for each in rows.rows if each.number == number)
    (card,) = personalised(Card.model_construct(**dict(parts)), Rows(rows.file, rows.names, only))
    return CardParts.model_validate({name: getattr(card, name) for name in CardParts.model_fields})


def make_list(
    bench: Bench,
    card: str,
    revision: int,
    listed: tuple[str, str],
    filed: Filed,
    folder: Path,
    *,
    sample_meant: bool = False,
    titles: Mapping[str, str] = TITLES,
    progress: Progress = unheard,
) -> MadeList:
    """The print-ready files of a kept card for all rows of a kept list (SHA-256, name); ``folder`` is empty.

    Raises BadRequest where words still stand as a template has them and nobody said that they are meant, and as
    ``make_series`` and ``make_one_file`` do.
    """
    kept = bench.cards.get(card, revision)
    stock, printer = bench.stocks.get(kept.stock), bench.printers.get(kept.printer)
    laid = lay_out_files(bench, kept, folder)
    source = SentFile(bench.file(listed[0]), listed[1], is_kept=True)
    with under_their_names([*laid, source]):
        design = design_of(kept, laid, folder)
        words = sample_words(design)
        if words and not sample_meant:
            raise BadRequest("card-remark.sample-words", words=quoted(words))
        rows = read_rows(source.path)
        path = print_path(bench, stock, printer, corrected=True)
        tell = counted(progress, "progress.made-cards")
        if filed == "single":
            made = make_series(design, rows, stock, printer, folder / "card.pdf", path=path, tell=tell)
            out = folder / "cards.zip"
            _zip([file for each in made for file in dict.fromkeys(each.sheet.files.values())], out)
        else:
            out = folder / "cards.pdf"
            made = make_one_file(
                design,
                rows,
                stock,
                printer,
                out,
                path=path,
                faces_apart=filed == "apart",
                titles=titles,
                tell=tell,
            )
    first = made[0].sheet
    judged = judged_faces(bench, stock.name, first.faces, first.outside_on)
    remarks = (*rows.notices, *(known_as(each, laid) for each in _remarks(made)), *judged)
    return MadeList(out.name, bench.keep_file(out, f"{kept.name}-{out.name}"), len(made), remarks)


def _remarks(made: tuple[RowSheet, ...]) -> list[Message]:
    """What is said of all cards once, the rest with its row."""
    shared = [each for each in made[0].sheet.warnings if all(each in one.sheet.warnings for one in made)]
    own = [
        Message("card-rows.of-row", row=one.row.number, warning=each)
        for one in made
        for each in one.sheet.warnings
        if each not in shared
    ]
    return [*shared, *own]


def _zip(files: list[Path], out: Path) -> None:
    """PDFs are packed as they are: their streams are compressed already."""
    with (
        atomic_path(out) as temporary,
        zipfile.ZipFile(temporary, "w", zipfile.ZIP_STORED, strict_timestamps=False) as pack,
    ):
        for file in files:
            pack.write(file, file.name)
