"""The job that weighs pictures up on the cards that were read, and draws a small proof of each on the best of them."""

from __future__ import annotations

from dataclasses import asdict
from decimal import Decimal
from pathlib import Path
from typing import Any

import numpy as np
import pyvips

from tackside.errors import BadImage, NotFound
from tackside.files.atomic import explain
from tackside.picture.choose.answer import answer, best_of_each_stock, how, why
from tackside.picture.choose.candidates import Candidate, Wanted, candidates, sheet_price
from tackside.picture.choose.choose import Choice, Ranked, choose
from tackside.picture.choose.contact_sheet import ContactSheet, contact_sheet
from tackside.picture.file.open import open_picture
from tackside.picture.proof.ways import LeftOut, ways_of
from tackside.picture.read_cards import comparable
from tackside.web.jobs.engine.task import Task
from tackside.web.jobs.files import lay_out, renamed, under_their_names
from tackside.web.jobs.picture import note


def run(task: Task) -> dict[str, Any]:
    """Asked: ``files`` (SHA-256 and name of each) and what the card must be. Result: the answer, ranks and proofs.

    The small proofs are kept as files of the bench, as the ranking itself is kept: both can be looked at again.
    """
    given = task.asked["files"]
    sha256s, names = [each["sha256"] for each in given], [each["name"] for each in given]
    found, left = candidates(task.bench, _wanted(task.asked))
    if not found:
        raise _nothing(left)
    ways, unusable = ways_of([(each.card, each.prints_bare_numbers) for each in found], [])
    left = [*left, *unusable]
    if not ways:
        raise _nothing(left)
    laid = lay_out(task, sha256s)
    with under_their_names(laid, names):

        def follow(done: int, of: int) -> None:
            task.tell(0.1 + 0.6 * done / of, "weighing the pictures up")

        task.tell(0.05, "looking at the cards that were read")
        choice = choose(laid, ways, cache=task.cache, progress=follow)
        sound = sum(each.fault is None for each in choice.pictures)
        said = answer(choice.ranking, sound)
        task.tell(0.75, "drawing the proofs")
        sheet = contact_sheet(choice, said)
    return {
        "answer": said,
        "cards": _cards(choice, found),
        "pictures": _pictures(task, choice, sheet, sha256s, names, laid),
        "left_out": [asdict(each) for each in [*left, *choice.left_out]],
        "comparable": comparable([each.card.reading for each in found]),
        "scanned": any(each.card.reading.kind == "scan" for each in found),
    }


def _wanted(asked: dict[str, Any]) -> Wanted:
    size = asked.get("size_mm")
    price = asked.get("max_price")
    return Wanted(
        printer=asked.get("printer") or None,
        size_mm=(size[0], size[1]) if size else None,
        max_price=None if price is None else Decimal(price),
        on_hand=asked.get("on_hand"),
    )


def _nothing(left: list[LeftOut]) -> NotFound:
    if not left:
        return NotFound(
            "no card on the bench was read yet", "test a card first: print its sheet and read it back"
        )
    reasons = "; ".join(f"{each.name}: {each.why}" for each in left[:3])
    return NotFound(
        f"no card that was read is what you want ({reasons})", "ask for less, or test another card first"
    )


def _cards(choice: Choice, found: list[Candidate]) -> list[dict[str, Any]]:
    """Each card by its best way, best first."""
    by_name = {each.card.name: each for each in found}
    return [_card(each, by_name[each.way.stock]) for each in best_of_each_stock(choice.ranking)]


def _card(ranked: Ranked, candidate: Candidate) -> dict[str, Any]:
    price, pack = sheet_price(candidate.stock), candidate.stock.pack
    return {
        "name": ranked.way.stock,
        "stock": candidate.stock.name,
        "trial": candidate.trial.id,
        "printer": candidate.trial.printer,
        "intent": ranked.way.variant.intent,
        "bpc": ranked.way.variant.bpc,
        "how": how(ranked.way),
        "why": why(ranked),
        "score": round(ranked.score, 1),
        "best_of": ranked.best_of,
        "price": None if price is None or pack is None else f"{price:.2f} {pack.currency}",
        "on_hand": candidate.stock.sheets_on_hand,
    }


def _pictures(
    task: Task, choice: Choice, sheet: ContactSheet, sha256s: list[str], names: list[str], laid: list[Path]
) -> list[dict[str, Any]]:
    """Each picture with its best card and, of the first dozen, its proofs on the first cards as kept files."""
    rows = iter(sheet.rows)
    told = []
    for number, (each, sha256, name) in enumerate(zip(choice.pictures, sha256s, names, strict=True)):
        row = next(rows, None) if each.fault is None else None
        if each.fault is None:
            note(task.bench, sha256, name, open_picture(laid[number]))
        images = [] if row is None else [row.picture, *row.proofs]
        told.append(
            {
                "sha256": sha256,
                "name": name,
                "best": each.way.stock if each.way else None,
                "fault": renamed(each.fault, laid, names) if each.fault else None,
                "shown": [_kept(task, image, f"choice-{number}-{n}.jpg") for n, image in enumerate(images)],
                "size": [images[0].shape[1], images[0].shape[0]] if images else None,
            }
        )
    return told


def _kept(task: Task, pixels: np.ndarray[Any, np.dtype[np.uint8]], name: str) -> str:
    path = task.folder / name
    try:
        pyvips.Image.new_from_array(np.ascontiguousarray(pixels)).jpegsave(
            str(path), Q=90, subsample_mode="off", keep="none"
        )
    except pyvips.Error as error:
        raise BadImage("a proof cannot be written", "check that the disk has room") from error
    except OSError as error:
        raise explain(error, path, "write") from error
    return task.bench.keep_file(path, name)
