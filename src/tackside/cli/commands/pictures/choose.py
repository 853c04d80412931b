"""``tackside choose``: which card for these pictures."""

from __future__ import annotations

from dataclasses import asdict
from decimal import Decimal
from pathlib import Path
from typing import Annotated, Any

from cyclopts import Parameter
from rich.console import RenderableType
from rich.text import Text

from tackside.bench.store import Bench
from tackside.cli.session import Force, Outcome, bench_folder, on_stderr
from tackside.cli.spreading import HERE, Spreading
from tackside.cli.views import facts
from tackside.cli.views.onward import commands
from tackside.errors import BadRequest, NotFound
from tackside.files.atomic import require_free
from tackside.messages.message import Message
from tackside.messages.wording import TERMINAL
from tackside.picture.choose.answer import best_of_each_stock, how, why
from tackside.picture.choose.candidates import Candidate, WantedCard
from tackside.picture.choose.choose import RankedWay
from tackside.picture.file.gather import gather_pictures
from tackside.records.money import price_a_sheet
from tackside.workflow.leading.next_steps import steps_after
from tackside.workflow.pictures.choose import SHEETS, CardChoice, printer_profiles, write_contact_sheet
from tackside.workflow.pictures.choose import choose as choose_card

SHOWN_PICTURES = 20


def choose(
    *picture: Annotated[Path, Parameter(help="Pictures, or folders of them.")],
    stocks: Annotated[
        tuple[str, ...],
        Parameter(help="Only these stocks.", consume_multiple=True),
    ] = (),
    profiles: Annotated[
        tuple[Path, ...], Parameter(help="Printer profiles to compare as well.", consume_multiple=True)
    ] = (),
    printer: Annotated[str | None, Parameter(help="Only cards tried on this printer.")] = None,
    size_mm: Annotated[
        tuple[float, float] | None, Parameter(help="Width and height of the folded card that you want.")
    ] = None,
    max_price: Annotated[
        Decimal | None, Parameter(help="The most that a sheet may cost, in its own currency.")
    ] = None,
    on_hand: Annotated[
        int | None, Parameter(help="Only stocks with at least this many sheets on hand, by their records.")
    ] = None,
    sheet: Annotated[
        Path | None, Parameter(help="Write a contact sheet of the proofs: .html, .png or .tif.")
    ] = None,
    force: Force = False,
    spreading: Spreading = HERE,
) -> Outcome:
    """Say which card suits these pictures, with which profile and intent.

    Compares every card on the bench that was read, by its newest reading, and every profile named. Without
    readings the profiles are ranked for the papers they were made for. The comparison is media-relative: what the eye
    sees once it has adapted to the card's white.
    """
    spreading.refuse_nonsense()
    if sheet is not None and sheet.suffix.lower() not in SHEETS:
        raise BadRequest("choose.sheet-format", file=sheet.name, formats=SHEETS)
    paths = gather_pictures(picture)
    require_free(sheet, force=force, inputs=(*paths, *profiles))
    wanted = WantedCard(stocks, printer, size_mm, max_price, on_hand)
    chosen = choose_card(
        _bench(wanted, named_profiles=bool(profiles)),
        paths,
        wanted,
        printer_profiles(profiles),
        workers=spreading.workers,
        cluster=spreading.cluster,
        progress=on_stderr(),
    )
    if sheet is not None:
        write_contact_sheet(chosen, sheet)
    onward = () if chosen.best is None else steps_after("choice", trial=chosen.best.trial)
    return Outcome(document(chosen, sheet), text(chosen, sheet), _warnings(chosen), onward=commands(onward))


def _bench(wanted: WantedCard, *, named_profiles: bool) -> Bench | None:
    """None where there is none and the profiles named stand for themselves."""
    try:
        return Bench.open(bench_folder(), create=False)
    except NotFound:
        if named_profiles and not wanted.asks:
            return None
        raise


def _warnings(chosen: CardChoice) -> tuple[Message, ...]:
    said = [
        Message("choose.not-opened", file=each.path.name, fault=each.fault)
        for each in chosen.choice.pictures
        if each.fault is not None
    ]
    if not chosen.comparable:
        said.append(Message("choose.read-unlike"))
    elif chosen.by_scanner:
        said.append(Message("choose.scanned"))
    return tuple(said)


def document(chosen: CardChoice, sheet: Path | None) -> dict[str, Any]:
    """The choice as plain data, best first."""
    choice = chosen.choice
    by_name = {each.card.name: each for each in chosen.cards}
    return {
        "answer": str(chosen.answer),
        **chosen.answer.as_data(),
        "ranking": [_row(each, by_name.get(each.way.stock)) for each in choice.ranking],
        "pictures": [
            {
                "file": str(each.path),
                "stock": each.way.stock if each.way else None,
                "profile": each.way.profile if each.way else None,
                "intent": each.way.variant.intent if each.way else None,
                "score": round(each.score, 1) if each.score is not None else None,
                "fault": None if each.fault is None else str(each.fault),
                "code": None if each.fault is None else each.fault.code,
                "values": None if each.fault is None else each.fault.as_data()["values"],
            }
            for each in choice.pictures
        ],
        "left_out": [
            {"name": each.name, "why": TERMINAL.what(each.why), **each.why.as_data()}
            for each in chosen.left_out
        ],
        "comparable": chosen.comparable,
        "sheet": None if sheet is None else str(sheet),
    }


def _row(ranked: RankedWay, candidate: Candidate | None) -> dict[str, Any]:
    way = ranked.way
    price = price_a_sheet(candidate.stock.pack) if candidate else None
    return {
        "stock": way.stock,
        "profile": way.profile,
        "intent": way.variant.intent,
        "black_point_compensation": way.variant.bpc,
        "score": round(ranked.score, 2),
        "why": str(why(ranked)),
        **why(ranked).as_data(),
        "cost": round(ranked.cost, 3),
        "best_of": ranked.best_of,
        "trial": candidate.trial.id if candidate else None,
        "printer": candidate.trial.printer if candidate else None,
        "sheet_price": str(price.amount) if price is not None else None,
        "figures": {
            name: None if value is None else round(value, 4) for name, value in asdict(ranked.figures).items()
        },
    }


def text(chosen: CardChoice, sheet: Path | None) -> RenderableType:
    """The answer, then each stock by its best way, then each picture."""
    choice = chosen.choice
    best = best_of_each_stock(choice.ranking)
    rows = [
        (f"{number}", each.way.stock, f"{each.score:.0f}", f"{how(each.way)}: {why(each)}")
        for number, each in enumerate(best, start=1)
    ]
    parts: list[RenderableType] = [
        Text(str(chosen.answer), style="bold"),
        "",
        facts.listing(("", "card", "score", "why"), rows),
    ]
    sound = [each for each in choice.pictures if each.way is not None]
    if 1 < len(sound) <= SHOWN_PICTURES and len(best) > 1:
        each_best = [
            (each.path.name, each.way.stock, each.way.variant.intent, f"{each.score:.0f}")
            for each in sound
            if each.way is not None
        ]
        parts.append(facts.listing(("picture", "its best card", "intent", "score"), each_best))
    if chosen.left_out:
        parts += [
            facts.sentences(
                [f"{each.name}: {TERMINAL.what(each.why)}" for each in chosen.left_out], "left out", "dim"
            ),
            "",
        ]
    if sheet is not None:
        parts.append(facts.facts([("Contact sheet", str(sheet))]))
    count = len(chosen.cards)
    title = f"Which card, of {count} that were read" if count else "Which profile's paper"
    return facts.page(title, *parts)
