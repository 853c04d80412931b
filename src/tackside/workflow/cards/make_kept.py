"""Make the print-ready files of a card that the bench keeps, with drawings of it folded and as a sheet."""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass
from pathlib import Path

from tackside.bench.store import Bench
from tackside.card.file.design import Card
from tackside.card.make import LaidOut, lay_out_for, make_card
from tackside.card.pixels.conversion import Output
from tackside.card.views.show import save_preview
from tackside.errors import BadRecord
from tackside.messages.message import Message
from tackside.records.card import KeptCard
from tackside.workflow.cards.kept import files_of, parts_of, parts_with_files
from tackside.workflow.cards.make import judged_faces
from tackside.workflow.laid_out import known_as, lay_out
from tackside.workflow.placement import print_path
from tackside.workflow.profiles.own import profile_of_card
from tackside.workflow.progress import Progress, part, unheard
from tackside.workflow.sent_files import SentFile, under_their_names

SUFFIXES = ("pdf", "tif", "jpg")
DRAWINGS = ("folded", "sheet")
DRAWN = 0.3  # of the whole job


@dataclass(frozen=True)
class MadeFiles:
    """``files`` are kept, by name → SHA-256; ``corrected_by`` names the trials that the sheet is corrected by."""

    card: KeptCard
    files: dict[str, str]
    laid: LaidOut
    corrected_by: tuple[str, ...]
    remarks: tuple[Message, ...]


def make_kept_card(
    bench: Bench,
    name: str,
    revision: int,
    suffixes: Collection[str],
    folder: Path,
    *,
    corrected: bool = True,
    by_trial: str | None = None,
    progress: Progress = unheard,
) -> MadeFiles:
    """Drawings of a kept card, and its sheet as each of ``suffixes``, worked at in an empty ``folder``.

    ``by_trial``: the files are converted by the own profile of the card, as this trial read it. Raises BadRecord where
    there is nothing to print, and what building the profile and making a card raise.
    """
    kept = bench.cards.get(name, revision)
    stock, printer = bench.stocks.get(kept.stock), bench.printers.get(kept.printer)
    laid = lay_out_files(bench, kept, folder)
    path = print_path(bench, stock, printer, corrected=corrected)
    output = Output()
    if by_trial is not None:
        output = Output(profile=profile_of_card(bench, by_trial, progress=part(progress, 0.0, DRAWN)))
    with under_their_names(laid):
        card = design_of(kept, laid, folder)
        drawn = lay_out_for(card, stock, printer, path=path)
        files: list[Path] = []
        progress(0.05, Message("progress.drawing-card"))
        for each in DRAWINGS:
            files.append(folder / f"{each}.png")
            save_preview(card, drawn, stock, files[-1], folded=each == "folded")
        writing = part(progress, DRAWN, 1.0)
        for number, suffix in enumerate(suffixes):
            writing(number / len(suffixes), Message("progress.writing-print-file"))
            made = make_card(card, stock, printer, folder / f"card.{suffix}", output=output, path=path)
            files += dict.fromkeys(made.files.values())
    return MadeFiles(
        kept,
        {file.name: bench.keep_file(file, f"{kept.name}-{file.name}") for file in files},
        drawn,
        _corrected_by(drawn),
        (
            *(known_as(each, laid) for each in drawn.warnings),
            *judged_faces(bench, stock.name, drawn.faces, drawn.outside_on),
        ),
    )


def lay_out_files(bench: Bench, kept: KeptCard, folder: Path) -> list[SentFile]:
    """Lay out the pictures and fonts that a kept card uses in an empty ``folder``. Raises NotFound."""
    files = files_of(kept)
    return list(lay_out(bench, folder, list(files), list(files.values())))


def design_of(kept: KeptCard, laid: Sequence[SentFile], folder: Path) -> Card:
    """The design with its files under our own names, as ``lay_out_files`` lays them in ``folder``. Raises BadRecord
    where there is nothing to print."""
    if not parts_of(kept).holds_something:
        raise BadRecord("run.nothing-on-the-card", card=kept.name)
    places = {sha256: each.path.name for sha256, each in zip(files_of(kept), laid, strict=True)}
    return Card.model_validate({**dict(parts_with_files(kept, places)), "folder": folder})


def _corrected_by(drawn: LaidOut) -> tuple[str, ...]:
    sides = {face.side for face in drawn.faces}
    return tuple(
        sorted(
            {trial for side, each in drawn.path.placements.items() if side in sides for trial in each.trials}
        )
    )
