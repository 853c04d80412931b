"""A choice as its page shows it: the answer, the cards best first, the pictures with their proofs."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tackside.bench.repositories.jobs import Job
from tackside.bench.store import Bench
from tackside.errors import NotFound
from tackside.messages.message import Message


@dataclass(frozen=True)
class RankedCard:
    """One card by its best way. ``price`` is that of a sheet, with its currency."""

    name: str
    stock: str
    trial: str
    printer: str
    intent: str
    bpc: bool
    how: Message
    why: Message
    score: float
    best_of: int
    price: Message | None
    on_hand: int | None


@dataclass(frozen=True)
class PictureLine:
    """A picture; ``shown`` are kept files: as it is, then on each of the first cards. ``size`` of those, in pixels."""

    sha256: str
    name: str
    best: str | None
    fault: Message | None
    shown: tuple[str, ...]
    size: tuple[int, int] | None


@dataclass(frozen=True)
class ChoiceView:
    """``comparable``: the cards were read alike; ``scanned``: by a scanner, so that figures are estimates."""

    id: str
    answer: Message
    cards: tuple[RankedCard, ...]
    pictures: tuple[PictureLine, ...]
    left_out: tuple[tuple[str, Message], ...]
    comparable: bool
    scanned: bool

    @property
    def shown_cards(self) -> tuple[RankedCard, ...]:
        """The cards that proofs were drawn of."""
        most = max((len(each.shown) for each in self.pictures), default=1) - 1
        return self.cards[: max(most, 0)]

    def picture(self, number: int) -> PictureLine:
        """Raises NotFound."""
        if 0 <= number < len(self.pictures) and self.pictures[number].fault is None:
            return self.pictures[number]
        raise NotFound("choose.no-picture")

    def card(self, trial: str) -> RankedCard:
        """The card of a trial; the best one where it is none of these."""
        return next((each for each in self.cards if each.trial == trial), self.cards[0])


def choice_of(bench: Bench, job_id: str) -> Job:
    """The job of a choice. Raises NotFound."""
    job = bench.jobs.get(job_id)
    if job.kind != "choose":
        raise NotFound("choose.no-choice")
    return job


def choice_view(job: Job) -> ChoiceView:
    """What a finished choice found."""
    found: dict[str, Any] = job.result or {}
    pictures = tuple(
        PictureLine(
            sha256=each["sha256"], name=each["name"], best=each["best"],
            fault=Message.of_data(each["fault"]) if each["fault"] else None,
            shown=tuple(each["shown"]), size=(each["size"][0], each["size"][1]) if each["size"] else None,
        )
        for each in found["pictures"]
    )  # fmt: skip
    return ChoiceView(
        id=job.id,
        answer=Message.of_data(found["answer"]),
        cards=tuple(_card(each) for each in found["cards"]),
        pictures=pictures,
        left_out=tuple((each["name"], Message.of_data(each["why"])) for each in found["left_out"]),
        comparable=found["comparable"],
        scanned=found["scanned"],
    )


def _card(told: dict[str, Any]) -> RankedCard:
    price = None if told["price"] is None else Message.of_data(told["price"])
    how, why = Message.of_data(told["how"]), Message.of_data(told["why"])
    return RankedCard(**{**told, "how": how, "why": why, "price": price})
