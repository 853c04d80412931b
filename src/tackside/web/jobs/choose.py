"""The jobs that compare the cards that were read for pictures, with a small proof of each on the best of them, and
that ready a card for it ahead of need."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal
from typing import Any

from tackside.messages.message import Message
from tackside.picture.choose.answer import best_of_each_stock, how, why
from tackside.picture.choose.candidates import Candidate, WantedCard
from tackside.picture.choose.choose import Choice, RankedWay
from tackside.records.money import price_a_sheet
from tackside.web.jobs.engine.task import Task, plain
from tackside.workflow.laid_out import known_as
from tackside.workflow.pictures.choose_kept import ChosenPicture, choose_kept
from tackside.workflow.pictures.work_out import work_out_trials
from tackside.workflow.sent_files import SentFile


def run(task: Task) -> dict[str, Any]:
    """Asked: ``files`` (SHA-256 and name of each) and what the card must be. Result: the answer, ranks and proofs."""
    given = task.asked["files"]
    chosen, pictures = choose_kept(
        task.bench,
        [each["sha256"] for each in given],
        [each["name"] for each in given],
        _wanted(task.asked),
        task.folder,
        task.tell,
    )
    files = [each.file for each in pictures]
    return {
        "answer": plain(chosen.answer),
        "cards": _cards(chosen.choice, chosen.cards),
        "pictures": [_picture(each, files) for each in pictures],
        "left_out": [{"name": each.name, "why": plain(each.why)} for each in chosen.left_out],
        "comparable": chosen.comparable,
        "scanned": chosen.by_scanner,
    }


def prepare_card(task: Task) -> dict[str, Any]:
    """Asked: ``trial`` of a card just read. Result: the same; what a choice asks of the card is in the cache."""
    task.tell(0.1, Message("progress.working-out-card"))
    work_out_trials(task.bench, [task.asked["trial"]])
    return {"trial": task.asked["trial"]}


def _wanted(asked: dict[str, Any]) -> WantedCard:
    size = asked.get("size_mm")
    price = asked.get("max_price")
    return WantedCard(
        printer=asked.get("printer") or None,
        size_mm=(size[0], size[1]) if size else None,
        max_price=None if price is None else Decimal(price),
        on_hand=asked.get("on_hand"),
    )


def _cards(choice: Choice, found: Sequence[Candidate]) -> list[dict[str, Any]]:
    """Each card by its best way, best first."""
    by_name = {each.card.name: each for each in found}
    return [_card(each, by_name[each.way.stock]) for each in best_of_each_stock(choice.ranking)]


def _card(ranked: RankedWay, candidate: Candidate) -> dict[str, Any]:
    price = price_a_sheet(candidate.stock.pack)
    return {
        "name": ranked.way.stock,
        "stock": candidate.stock.name,
        "trial": candidate.trial.id,
        "printer": candidate.trial.printer,
        "intent": ranked.way.variant.intent,
        "bpc": ranked.way.variant.bpc,
        "how": plain(how(ranked.way)),
        "why": plain(why(ranked)),
        "score": round(ranked.score, 1),
        "best_of": ranked.best_of,
        "price": None if price is None else plain(price.message),
        "on_hand": candidate.stock.sheets_on_hand,
    }


def _picture(picture: ChosenPicture, files: Sequence[SentFile]) -> dict[str, Any]:
    choice = picture.choice
    return {
        "sha256": picture.sha256,
        "name": picture.file.name,
        "best": choice.way.stock if choice.way else None,
        "fault": plain(known_as(choice.fault, files)) if choice.fault else None,
        "shown": list(picture.shown),
        "size": list(picture.size) if picture.size else None,
    }
