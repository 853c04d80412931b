"""The job that makes a card's print-ready files, and shows the folded card and the sheet beforehand."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from tackside.card.file.design import Card
from tackside.card.known_path import print_path
from tackside.card.make import PrintPath, lay_out_for, make_card
from tackside.card.output import Output
from tackside.card.views.show import save_preview
from tackside.errors import BadRecord
from tackside.records.card import KeptCard
from tackside.web.cards import parts_of
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out, renamed, under_their_names

SUFFIXES = ("pdf", "tif", "jpg")


def make(task: Task) -> dict[str, Any]:
    """Asked: ``card``, ``revision``, ``kinds`` (of ``SUFFIXES``), ``corrected``. Result: kept files, remarks."""
    kept = task.bench.cards.get(task.asked["card"], task.asked["revision"])
    parts = parts_of(kept)
    stock, printer = task.bench.stocks.get(kept.stock), task.bench.printers.get(kept.printer)
    images = {each.name: each for each in kept.images}
    used = [images[name] for name in dict.fromkeys(each.file for each in parts.pictures)]
    laid, names = lay_out(task, [each.sha256 for each in used]), [each.name for each in used]
    path = print_path(task.bench, stock, printer, corrected=task.asked["corrected"])
    files: dict[str, str] = {}
    with under_their_names(laid, names):
        card = _card(kept, laid, names, task.folder)
        drawn = lay_out_for(card, stock, printer, path=path)
        task.tell(0.05, "drawing the folded card")
        for name in ("folded", "sheet"):
            save_preview(card, drawn, stock, task.folder / f"{name}.png", folded=name == "folded")
            files[f"{name}.png"] = _keep(task, task.folder / f"{name}.png", kept.name)
        kinds = [each for each in SUFFIXES if each in task.asked["kinds"]]
        for number, kind in enumerate(kinds):
            task.tell(0.3 + 0.7 * number / len(kinds), "writing the print-ready file")
            made = make_card(card, stock, printer, task.folder / f"card.{kind}", output=Output(), path=path)
            for file in dict.fromkeys(made.files.values()):
                files[file.name] = _keep(task, file, kept.name)
    outside = drawn.faces[0].fit
    return {
        "card": kept.name,
        "revision": task.asked["revision"],
        "files": files,
        "faces": [face.name for face in drawn.faces],
        "size_mm": list(outside.size_mm),
        "corrected": _corrected(path, [face.side for face in drawn.faces]),
        "remarks": [renamed(each, laid, names) for each in drawn.warnings],
    }


def _card(kept: KeptCard, laid: list[Path], names: list[str], folder: Path) -> Card:
    """The design with its pictures under our own names. Raises BadRecord where there is nothing to print."""
    parts = parts_of(kept)
    if not parts.holds_something:
        raise BadRecord("the card holds neither a picture nor a text", "drop a picture on it, or add words")
    ours = dict(zip(names, (each.name for each in laid), strict=True))
    pictures = tuple(each.model_copy(update={"file": ours[each.file]}) for each in parts.pictures)
    return Card.model_validate({**dict(parts), "pictures": pictures, "folder": folder})


def _corrected(path: PrintPath, sides: list[Any]) -> list[str]:
    """The trials that the output is corrected by."""
    return sorted({trial for side, each in path.placements.items() if side in sides for trial in each.trials})


def _keep(task: Task, file: Path, card: str) -> str:
    return task.bench.keep_file(file, f"{card}-{file.name}")
