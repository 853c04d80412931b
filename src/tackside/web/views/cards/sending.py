"""What a person sees before sheets are sent: what, how many, to which printer, and what it cannot be asked."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.bench.repositories.jobs import Job
from tackside.bench.store import Bench
from tackside.cautions import PRINTING
from tackside.messages.message import Message
from tackside.web.i18n.preferences import Person
from tackside.web.shell.navigation import _
from tackside.workflow.runs.send import Ready

FACES_OF_STOCK = {"front": _("Front of the card stock"), "back": _("Back of the card stock")}
# The printer starts: these are read before anyone says yes.


@dataclass(frozen=True)
class ConfirmView:
    """``documents`` are the jobs by name with their copies; ``reasons`` what the printer says is wrong with it, in its
    own keywords; ``media_types`` its own words for papers."""

    sheets: int
    facts: tuple[tuple[str, str], ...]
    documents: tuple[tuple[str, int], ...]
    left_out: tuple[Message, ...]
    reasons: tuple[str, ...]
    media_types: tuple[str, ...]
    cautions: tuple[Message, ...]


def sending_work(bench: Bench, subject: str) -> Job | None:
    """The newest work that sends sheets of a run, or of a card (``card_subject``)."""
    return next(iter(bench.jobs.list(subject=subject, kind="send", count=1)), None)


def card_subject(card: str) -> str:
    """What the work of sending a single card is about."""
    return f"card {card}"[:60]


def confirm_view(ready: Ready, person: Person) -> ConfirmView:
    sent, say = ready.consignment, person.say
    facts = [
        (say("Stock"), sent.stock.name),
        *([(say("Side that is printed"), say(FACES_OF_STOCK[sent.printed_on]))] if sent.printed_on else []),
        (say("Page size"), person.size(sent.stock.open_size_mm)),
        (say("Printer"), f"{sent.told.name or sent.printer.name} · {sent.uri}"),
    ]
    if ready.cost is not None and ready.run is not None:
        cost = person.wording.money(ready.cost, str(ready.run.plan.get("currency", "")))
        facts.append((say("Card and ink"), cost.strip()))
    return ConfirmView(
        sent.sheets,
        tuple(facts),
        tuple((each.document, each.copies) for each in sent.parcels),
        ready.left_out,
        sent.told.state_reasons,
        sent.told.types,
        PRINTING,
    )
