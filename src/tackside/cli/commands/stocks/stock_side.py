"""``tackside stock side``: which side of a card takes ink, from its trials and a damp finger."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Any

from cyclopts import Parameter
from rich.console import RenderableType

from tackside.bench.store import Bench
from tackside.cautions import DAMP_FINGERTIP
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views import facts
from tackside.errors import BadRequest, NotFound
from tackside.records import Reading, Trial
from tackside.verdict.causes.weigh import comparable
from tackside.verdict.sides import Drag, SideFinding, drags_told, find_side

SIDES = ("front", "back")
NAMED = {
    "front": "The front", "back": "The back", "both": "Both sides", "neither": "Neither side",
}  # fmt: skip


@dataclass(frozen=True)
class Half:
    """What the bench holds of one side: its newest reading of colours, and the newest answers by eye."""

    trial: Trial | None = None
    reading: Reading | None = None
    answers: Reading | None = None


def side(
    name: Annotated[str, Parameter(help="Name of the stock.")],
    *,
    front: Annotated[
        str | None, Parameter(help="Trial of the front; by default the newest that was read.")
    ] = None,
    back: Annotated[str | None, Parameter(help="Trial of the back, likewise.")] = None,
    drag_front: Annotated[
        Drag | None, Parameter(help="Does a damp finger drag on a clear corner of the front?")
    ] = None,
    drag_back: Annotated[Drag | None, Parameter(help="And on the back?")] = None,
) -> Outcome:
    """Name the side of a card that takes ink, or say that both do, or neither.

    Weighs the newest reading of each side, answers by eye, and what a damp finger tells: it drags slightly on an inkjet
    coating and slides on bare card. Print half a sheet on each side and scan both at once to be sure.
    """
    bench = Bench.open(bench_folder(), create=False)
    stock = bench.stocks.get(name)
    halves = _halves(bench, stock.name, (front, back))
    told = drags_told(halves[0].answers, halves[1].answers)
    drags = (drag_front or told[0], drag_back or told[1])
    if all(half.reading is None for half in halves) and drags == (None, None):
        raise NotFound(
            f"nothing is known of the sides of {stock.name}",
            "lay a damp finger on each side and tell --drag-front and --drag-back, or print and read a sheet on each. "
            f"{DAMP_FINGERTIP}".rstrip("."),
        )
    found = find_side(halves[0].reading, halves[1].reading, drag_front=drags[0], drag_back=drags[1])
    document = {
        "name": stock.name,
        "printable": found.printable,
        "probabilities": found.probabilities,
        "sure": found.sure,
        "reasons": list(found.reasons),
        "recorded": stock.coated,
        **{side: _half(half, drag) for side, half, drag in zip(SIDES, halves, drags, strict=True)},
    }
    by_prints = any(half.reading is not None for half in halves)
    return Outcome(document, _text(stock.name, stock.coated, found, by_prints))


def _halves(bench: Bench, stock: str, named: tuple[str | None, str | None]) -> tuple[Half, Half]:
    """Each side's newest reading; where the two were not read alike, an older pair that was, if there is one."""
    read: dict[str, list[tuple[Trial, Reading]]] = {side: [] for side in SIDES}
    answers: dict[str, Reading] = {}
    for trial in _trials(bench, stock, named):
        for reading in bench.readings.list(trial.id):
            if reading.kind == "eye":
                answers[trial.side] = reading
            else:
                read[trial.side].append((trial, reading))
    newest = {side: sorted(each, key=lambda one: one[1].made_at, reverse=True) for side, each in read.items()}
    pairs = [
        (one, other)
        for one in newest["front"]
        for other in newest["back"]
        if comparable(one[1], other[1]) and one[0].printer == other[0].printer
    ]
    chosen: dict[str, tuple[Trial, Reading]] = {side: each[0] for side, each in newest.items() if each}
    if pairs:
        chosen = dict(zip(SIDES, pairs[0], strict=True))
    front, back = (_of(chosen.get(side), answers.get(side)) for side in SIDES)
    return front, back


def _of(chosen: tuple[Trial, Reading] | None, answers: Reading | None) -> Half:
    trial, reading = chosen if chosen is not None else (None, None)
    return Half(trial, reading, answers)


def _trials(bench: Bench, stock: str, named: tuple[str | None, str | None]) -> list[Trial]:
    trials = list(bench.trials.list(stock=stock))
    for side, name in zip(SIDES, named, strict=True):
        if name is None:
            continue
        trial = bench.trials.get(name)
        if (trial.stock, trial.side) != (stock, side):
            raise BadRequest(
                f"{trial.id} is {trial.stock}, {trial.side} side, not the {side} of {stock}",
                f"name a trial of the {side} of {stock}: tackside trial list",
            )
        bench.readings.latest(trial.id)  # says what to do where it was not read yet
        trials = [each for each in trials if each.side != side or each.id == trial.id]
    return trials


def _half(half: Half, drag: Drag | None) -> dict[str, Any]:
    return {
        "trial": half.trial.id if half.trial else None,
        "reading": half.reading.id if half.reading else None,
        "drag": drag,
    }


def _text(name: str, recorded: str, found: SideFinding, by_prints: bool) -> RenderableType:
    rows = facts.facts(
        (NAMED[printable], f"{100 * chance:.0f} %")
        for printable, chance in sorted(found.probabilities.items(), key=lambda one: -one[1])
    )
    said = list(found.reasons)
    meant = "none" if found.printable == "neither" else found.printable
    if found.sure and recorded != meant:
        found_by = "two-sided-trial" if by_prints else "damp-fingertip"
        said.append(
            f'The record says coated = "{recorded}": write coated = "{meant}" and coated_found_by = "{found_by}" into '
            "the stock's file and add it again."
        )
    return facts.page(f"Which side of {name} takes ink", facts.sentences(said, "•", "dim"), "", rows)
