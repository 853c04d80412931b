"""``tackside stock new`` and ``tackside printer new``: described by answers, at the terminal or as options."""

from __future__ import annotations

import sys
from typing import Annotated, Any

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cli.asking import Subject, agree_to, answers_to, can_ask, chosen_of
from tackside.cli.session import Outcome, bench_folder, bench_if_there
from tackside.cli.views.onward import commands
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.messages.wording import documents
from tackside.records import Printer, Stock
from tackside.typed.doubts import Doubt
from tackside.typed.length import Unit
from tackside.workflow.leading.next_steps import Done, known_names, steps_after
from tackside.workflow.stocks import questions
from tackside.workflow.stocks.describe import agreed, described_printer, described_stock, keep_described

Units = Annotated[Unit, Parameter(help="Unit of lengths that are given without one.")]
Yes = Annotated[bool, Parameter(negative=(), help="Keep figures that look like a slip without asking.")]


def new_stock(
    *,
    name: Annotated[str | None, Parameter(help="What you call it, with its weight.")] = None,
    size: Annotated[str | None, Parameter(help="A5, US letter, 148 x 210, 21 x 29.7 cm, 5 x 7 in …")] = None,
    folds: Annotated[
        str | None, Parameter(help="How the size is meant: open (it folds in half), folded, or flat.")
    ] = None,
    base: Annotated[str | None, Parameter(help="photo, matt, cotton, plain or unknown.")] = None,
    weight: Annotated[str | None, Parameter(help="300 gsm, 110 lb cover …")] = None,
    caliper: Annotated[
        str | None, Parameter(help="Its thickness, measured: 0.32 mm, 320 µm, 12 mil …")
    ] = None,
    coated: Annotated[str | None, Parameter(help="front, back, both, none or unknown.")] = None,
    found_by: Annotated[str | None, Parameter(help="damp-fingertip, maker or not-checked.")] = None,
    inkjet: Annotated[str | None, Parameter(help="Whether it is sold for inkjet: yes or no.")] = None,
    pack: Annotated[str | None, Parameter(help="How many sheets are in a pack.")] = None,
    price: Annotated[str | None, Parameter(help="What a pack costs: £14.50, 14,50 €, 14.50 USD …")] = None,
    currency: Annotated[str | None, Parameter(help="Currency of a price that names none, as GBP.")] = None,
    surface: Annotated[str, Parameter(help="Such as satin or smooth.")] = "",
    notes: Annotated[str, Parameter(help="Anything else worth remembering.")] = "",
    units: Units = "mm",
    yes: Yes = False,
) -> Outcome:
    """Describe a card stock and keep it.

    At a terminal it asks for what is needed, in plain words, and checks each answer at once. With --name, --size and
    --folds among the options nothing is asked, so a script can use it.
    --pack 25
    """
    given = {
        "name": name, "size": size, "folds": folds, "base": base, "weight": weight, "caliper": caliper,
        "coated": coated, "found-by": found_by, "inkjet": inkjet, "pack": pack, "price": price,
    }  # fmt: skip
    answers = answers_to(questions.STOCK, given, "stock", units)
    found = described_stock(
        answers, currency=None if currency is None else currency.upper(), surface=surface, notes=notes
    )
    opened = () if found.is_open_mm is None else (Message("ask.taken-for-open", open_mm=found.is_open_mm),)
    return _kept(found.stock, found.doubts, yes=yes, said=opened)


def new_printer(
    *,
    name: Annotated[str | None, Parameter(help="What you call it.")] = None,
    inks: Annotated[str | None, Parameter(help="dye, pigment, mixed or unknown.")] = None,
    ink_count: Annotated[str | None, Parameter(help="How many inks.")] = None,
    grid: Annotated[str | None, Parameter(help="Native resolution in ppi: 300, 360, 600 or 720.")] = None,
    feed: Annotated[str | None, Parameter(help="Name of the feed that takes card.")] = None,
    largest: Annotated[str | None, Parameter(help="The largest sheet: A4, A3+, 13 x 19 in …")] = None,
    smallest: Annotated[str | None, Parameter(help="The smallest sheet.")] = None,
    thickest: Annotated[str | None, Parameter(help="The thickest card, by its maker's limit.")] = None,
    margins: Annotated[
        str | None, Parameter(help="Margins that it can't reach: one for all, or top; bottom; left; right.")
    ] = None,
    borderless: Annotated[
        str | None, Parameter(help="Sizes that it prints borderless: 'A4; 10 x 15 cm', or none.")
    ] = None,
    notes: Annotated[str, Parameter(help="Anything else worth remembering.")] = "",
    units: Units = "mm",
    yes: Yes = False,
) -> Outcome:
    """Describe a printer with one feed and keep it.

    At a terminal it asks for what is needed and checks each answer at once. With --name and --largest among the options
    nothing is asked. A printer on the network tells most of it itself: tackside printer find.
    """
    given = {
        "name": name, "inks": inks, "ink-count": ink_count, "grid": grid, "feed": feed, "largest": largest,
        "smallest": smallest, "thickest": thickest, "margins": margins, "borderless": borderless,
    }  # fmt: skip
    found = described_printer(answers_to(questions.PRINTER, given, "printer", units), notes=notes)
    return _kept(found.printer, found.doubts, yes=yes)


def name_meant(subject: Subject, given: str | None) -> str:
    """The stock or printer that is meant: the one ``given``, else the only one on the bench, else asked for.

    Where there is none yet, it is described first. Raises BadRequest where nobody can be asked.
    """
    if given:
        return given
    names = known_names(bench_if_there(), subject)
    if len(names) == 1:
        return names[0]
    if names:
        return chosen_of(names, subject)
    if not can_ask():
        raise BadRequest(f"typed.no-{subject}")
    print(Message(f"ask.first-{subject}"), file=sys.stderr)
    kept = new_stock() if subject == "stock" else new_printer()
    print(f"\n{kept.text}\n", file=sys.stderr)
    return str(kept.document["name"])


def look_again(doubts: tuple[Doubt, ...], *, yes: bool) -> tuple[Message, ...]:
    """Ask about figures of a file that may be slips where somebody can answer; else hand them on as warnings.

    Raises BadRequest where the person doesn't say that they are right.
    """
    if doubts and not yes and can_ask():
        agree_to(agreed(doubts), yes=False)
        return ()
    return tuple(each.message for each in doubts)


def _kept(
    record: Stock | Printer, doubts: tuple[Doubt, ...], *, yes: bool, said: tuple[Message, ...] = ()
) -> Outcome:
    """Kept, once doubtful figures are agreed to: here nobody's script is older than the question."""
    if doubts:
        agree_to(agreed(doubts), yes=yes)
    bench = Bench.open(bench_folder())
    revision = keep_described(lambda: bench, record)
    done: Done = "stock" if isinstance(record, Stock) else "printer"
    onward = steps_after(done, bench, **{done: record.name})  # type: ignore[arg-type]
    document: dict[str, Any] = {
        "name": record.name, "revision": revision, "new": True, done: record.model_dump(mode="json"),
        "doubts": documents([each.message for each in doubts]), "remarks": documents(said),
    }  # fmt: skip
    text = " ".join(map(str, (Message("ask.kept", name=record.name), *said)))
    return Outcome(document, text, onward=commands(onward))
