"""``tackside stock side``: which side of a card takes ink, from its trials and a damp finger."""

from __future__ import annotations

from typing import Annotated, Any

from cyclopts import Parameter
from rich.console import RenderableType

from tackside.bench.store import Bench
from tackside.cli.session import Outcome, bench_folder
from tackside.cli.views import facts
from tackside.messages.wording import documents
from tackside.verdict.sides import Drag
from tackside.workflow.sides import FoundSide, KnownSide, printable_side

NAMED = {"front": "The front", "back": "The back", "both": "Both sides", "neither": "Neither side"}


def side(
    name: Annotated[str, Parameter(help="Name of the stock.")],
    *,
    front: Annotated[
        str | None, Parameter(help="Trial of the front; by default the newest that was read.")
    ] = None,
    back: Annotated[
        str | None, Parameter(help="Trial of the back; by default the newest that was read.")
    ] = None,
    drag_front: Annotated[
        Drag | None, Parameter(help="Does a damp finger drag on a clear corner of the front?")
    ] = None,
    drag_back: Annotated[Drag | None, Parameter(help="And on the back?")] = None,
) -> Outcome:
    """Name the side of a card that takes ink, or say that both do, or neither.

    Weighs the newest reading of each side, answers by eye, and the damp-finger check: it drags slightly on an inkjet
    coating and slides on bare card. Print half a sheet on each side and scan both at once to be sure.
    """
    bench = Bench.open(bench_folder(), create=False)
    found = printable_side(bench, name, trials=(front, back), drags=(drag_front, drag_back))
    return Outcome(document(found), _text(found))


def document(found: FoundSide) -> dict[str, Any]:
    """The finding as plain data, under the names that scripts rely on."""
    return {
        "name": found.stock.name,
        "printable": found.finding.printable,
        "probabilities": found.finding.probabilities,
        "sure": found.finding.sure,
        "reasons": documents(found.finding.reasons),
        "recorded": found.stock.coated,
        "front": _half(found.front),
        "back": _half(found.back),
    }


def _half(known: KnownSide) -> dict[str, Any]:
    return {
        "trial": known.trial.id if known.trial else None,
        "reading": known.reading.id if known.reading else None,
        "drag": known.drag,
    }


def _text(side: FoundSide) -> RenderableType:
    found, name, recorded = side.finding, side.stock.name, side.stock.coated
    rows = facts.facts(
        (NAMED[printable], f"{100 * chance:.0f} %")
        for printable, chance in sorted(found.probabilities.items(), key=lambda one: -one[1])
    )
    said = [str(each) for each in found.reasons]
    meant = "none" if found.printable == "neither" else found.printable
    if found.sure and recorded != meant:
        found_by = "two-sided-trial" if side.by_prints else "damp-fingertip"
        said.append(
            f'The record says coated = "{recorded}": write coated = "{meant}" and coated_found_by = "{found_by}" into '
            "the stock's file and add it again."
        )
    return facts.page(f"Which side of {name} takes ink", facts.sentences(said, "•", "dim"), "", rows)
