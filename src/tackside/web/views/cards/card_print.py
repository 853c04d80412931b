"""What was made of a card: its files, the remarks, and how to print and fold it, with this card's own figures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from tackside.bench.repositories.jobs import Job
from tackside.bench.repositories.second_sides import second_side_of
from tackside.bench.store import Bench
from tackside.cautions import PRINTING_AND_CUTTING
from tackside.fit.model import Fit
from tackside.messages.message import Message
from tackside.records import Printer, Stock
from tackside.records.card import KeptCard
from tackside.records.sheet_plan import Side
from tackside.web.i18n import words
from tackside.web.i18n.preferences import Person
from tackside.web.shell.keys import key_of
from tackside.web.shell.navigation import _
from tackside.web.views.instructions import InstructionLine
from tackside.workflow.cards.kept import outside_side, parts_of
from tackside.workflow.stocks.fit import fit as fit_by_name

SRGB = words.SPACES["srgb"]
WHAT = {
    "pdf": _("Where your program prints documents; all pages in one."),
    "tif": _("Where your program prints pictures: exactly the printer's dots."),
    "jpg": _("Where a small file is wanted; a little of the finest detail is lost."),
}


@dataclass(frozen=True)
class MadeFile:
    """A file to be taken away; ``first`` is the one to begin with."""

    name: str
    label: str
    href: str
    what: str
    size: str
    first: bool


@dataclass(frozen=True)
class CardPrintView:
    """``corrected`` are the trials that the files are corrected by; ``sides`` how many faces are printed."""

    base: str
    revision: int
    made: str
    files: tuple[MadeFile, ...]
    remarks: tuple[Message, ...]
    cautions: tuple[Message, ...]
    corrected: tuple[str, ...]
    lines: tuple[InstructionLine, ...]
    sides: int


def card_print_view(bench: Bench, card: KeptCard, job: Job, person: Person) -> CardPrintView:
    """Everything on the page of a card's files. Raises NotFound where its stock or printer is gone."""
    found: dict[str, Any] = job.result or {}
    stock, printer = bench.stocks.get(card.stock), bench.printers.get(card.printer)
    base = f"/cards/{key_of(card.name)}/made/{job.id}"
    names = [name for name in found["files"] if not name.endswith(".png")]
    files = tuple(
        MadeFile(
            name, _label(name, person), f"{base}/{name}", person.say(WHAT[name.rsplit(".", 1)[1]]),
            _size(bench.file(found["files"][name]).stat().st_size, person), number == 0,
        )
        for number, name in enumerate(names)
    )  # fmt: skip
    has_inside = len(found["faces"]) > 1
    return CardPrintView(
        base=base,
        revision=found["revision"],
        made=person.moment(job.ended_at) if job.ended_at else "",
        files=files,
        remarks=tuple(map(Message.of_data, found["remarks"])),
        cautions=PRINTING_AND_CUTTING,
        corrected=tuple(found["corrected"]),
        lines=_lines(
            bench,
            stock,
            printer,
            person,
            has_inside=has_inside,
            by_trial=found.get("by_trial"),
            outside=outside_side(parts_of(bench.cards.get(card.name, found["revision"])), stock),
        ),
        sides=len(found["faces"]),
    )


def _label(name: str, person: Person) -> str:
    kind = {"pdf": "PDF", "tif": "TIFF", "jpg": "JPEG"}[name.rsplit(".", 1)[1]]
    if "-inside" in name or "-back" in name:
        return person.say("Download the %(kind)s of the second side", kind=kind)
    return person.say("Download the %(kind)s", kind=kind)


def _size(size_bytes: int, person: Person) -> str:
    return f"{person.figure(max(size_bytes / 1e6, 0.01), 2)} MB"


def _lines(
    bench: Bench,
    stock: Stock,
    printer: Printer,
    person: Person,
    *,
    has_inside: bool,
    by_trial: str | None,
    outside: Side,
) -> tuple[InstructionLine, ...]:
    """In the order in which one's hands do it."""
    say, fit = person.say, fit_by_name(bench, stock.name, printer.name)
    size = fit.custom_size or person.format(fit.size_name) or person.size(fit.size_mm)
    space = say(SRGB)
    own = say("A size of the driver's own. It is the open sheet, not the folded card.")
    typed = say(
        "Make a custom page size, width × height. It is the open sheet, not the folded card that packs state."
    )
    lines = [
        InstructionLine(
            say("Load one sheet, open and flat, into the feed “%(feed)s”.", feed=fit.feed or ""),
            say("The outside is printed first. Guides touching the card, not squeezing it.")
            if has_inside
            else say("The outside is to be printed. Guides touching the card, not squeezing it."),
        ),
        _face(stock, outside, person),
        InstructionLine(say("Page size: %(size)s", size=size), typed if fit.custom_size else own),
        InstructionLine(
            say("Scale: 100 %, no centring"),
            say("No fitting to the page, no enlarging, no shrinking: the file is the whole sheet."),
        ),
        _borderless(fit, person),
        _colour(space, by_trial, person),
    ]
    if has_inside:
        lines.append(_second_side(bench, fit, printer, person))
    lines.append(
        InstructionLine(
            say("Let it dry before it is folded."), say("A few minutes at least; on photo card, a day.")
        )
    )
    if fit.creases:
        lines.append(
            InstructionLine(
                say("Fold it along the crease: first by hand, then with a bone folder."),
                say("The printed outside stays outside; lay a clean sheet between the folder and the print."),
            )
        )
    return tuple(lines)


def _face(stock: Stock, outside: Side, person: Person) -> InstructionLine:
    """Which side of the stock takes the outside."""
    side = person.say(words.SIDES[outside])
    if stock.coated == outside:
        mind = person.say("That is the coated side: it goes where the printer prints first.")
    elif stock.coated in ("front", "back"):
        mind = person.say("That side is not coated; the card is laid out so on purpose.")
    else:
        mind = person.say("It goes where the printer prints first.")
    return InstructionLine(
        person.say("The outside is printed on this side of the card stock: %(side)s", side=side), mind
    )


def _colour(space: str, by_trial: str | None, person: Person) -> InstructionLine:
    say = person.say
    if by_trial is not None:
        return InstructionLine(
            say("Colour: no management anywhere"),
            say(
                "The file holds the printer's numbers, converted by the card's own profile already. Same paper and "
                "quality settings as for trial %(trial)s.",
                trial=by_trial,
            ),
        )
    return InstructionLine(
        say("Colour: as you print your pictures"),
        say(
            "The file is in %(space)s and says so. Choose the media setting that you tested the card with.",
            space=space,
        ),
    )


def _borderless(fit: Fit, person: Person) -> InstructionLine:
    say = person.say
    if fit.borderless:
        return InstructionLine(
            say("Borderless: on"), say("With the least enlargement that the driver offers.")
        )
    return InstructionLine(say("Borderless: off"), say("The sheet keeps to what the printer reaches."))


def _second_side(bench: Bench, fit: Fit, printer: Printer, person: Person) -> InstructionLine:
    say = person.say
    if second_side_of(bench.folder, printer.name, fit.feed or "") is None:
        mind = say(
            "How your sheet comes back is not known: print the guide once (tackside card second-side), or try on plain "
            "paper first."
        )
    else:
        mind = say("As you did with the guide: the file is made for the way that your sheet comes back.")
    return InstructionLine(
        say("When it is dry, put the sheet back for its second side, flat, and print page two."), mind
    )
