"""``tackside practice``: the virtual press, to practise on without card, ink or scanner."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Any

from cyclopts import App, Parameter

from tackside.bench.store import Bench
from tackside.cli.commands.prints.trial import TrialId, list_
from tackside.cli.session import Force, Outcome, bench_folder, on_stderr
from tackside.cli.views import facts
from tackside.cli.views.onward import commands
from tackside.messages.message import Message
from tackside.records.standing.practice import InventedCard
from tackside.workflow.leading.next_steps import steps_after
from tackside.workflow.practice.practise import Practised, Revealed, practise, reveal

app = App(
    name="practice",
    help="Practise on a virtual press: print and scan the sheet of a trial, find the fault, see the truth. What it "
    "prints is marked as practice, and no list, report or choice of real cards holds it.",
    result_action="return_value",
)
FAULTS = (
    "none, stock, side, too-little-ink, too-much-ink, managed-twice, unmanaged, wide-read-as-narrow, "
    "narrow-read-as-wide, missing-ink, alignment, scaling"
)


@app.command(name="print")
def print_(
    trial: TrialId,
    *,
    out: Annotated[Path, Parameter(help="The scan to write, .tif; of several pages scan-1.tif and on.")],
    fault: Annotated[
        str | None, Parameter(help=f"The fault: {FAULTS}. By default one is drawn by lot and stays hidden.")
    ] = None,
    card: Annotated[
        InventedCard | None,
        Parameter(help="The invented card; by default the one that is nearest to the trial's stock."),
    ] = None,
    force: Force = False,
) -> Outcome:
    """Print and scan a trial's sheet on the virtual press, with a fault of your choice or a hidden one to guess.

    It becomes a practice trial of its own, whose id is on the sheet: read and judge it as you would a real one, then
    see the truth with tackside practice reveal.
    """
    bench = Bench.open(bench_folder(), create=False)
    made = practise(bench, trial, out, fault=fault, card=card, force=force, progress=on_stderr())
    document = {
        "trial": made.trial.id, "of": made.of, "practice": True, "files": [str(file) for file in made.files],
        "fault": made.fault, "hidden": made.fault is None, "card": made.card,
    }  # fmt: skip
    onward = commands(
        steps_after("practice-print", trial=made.trial, files=[str(each) for each in made.files])
    )
    return Outcome(document, "\n".join(_printed(made)), (Message("practice.marked"),), onward=onward)


@app.command(name="reveal")
def reveal_(
    trial: TrialId,
    *,
    guess: Annotated[str | None, Parameter(help="What you take the fault for, by its word.")] = None,
) -> Outcome:
    """Say what a practice print's fault was, beside your guess and the verdict. The first guess counts."""
    found = reveal(Bench.open(bench_folder(), create=False), trial, guess)
    return Outcome(
        reveal_document(found),
        facts.page(f"Practice {found.trial}", "\n".join(map(str, revealed_lines(found)))),
    )


@app.command(name="list")
def list_practice() -> Outcome:
    """List the trials of the practice press."""
    return list_(practice=True)


def _printed(made: Practised) -> list[str]:
    fault = (
        Message("practice.fault-hidden")
        if made.fault is None
        else Message("practice.fault-chosen", cause=Message(f"cause.{made.fault}"))
    )
    said = Message("practice.printed", of=made.of, trial=made.trial.id)
    return [str(said), str(fault), *(f"  {file}" for file in made.files)]


def reveal_document(found: Revealed) -> dict[str, Any]:
    return {
        "trial": found.trial, "of": found.of, "practice": True, "fault": found.fault, "hidden": found.hidden,
        "card": found.card, "guess": found.guess, "guessed_right": found.guessed_right,
        "verdict": found.verdict_cause, "verdict_chance": found.verdict_chance,
        "verdict_right": found.verdict_right, "first": found.first,
    }  # fmt: skip


def revealed_lines(found: Revealed) -> list[Message]:
    lines = [Message("practice.truth", cause=Message(f"cause.{found.fault}"))]
    if found.guess is None:
        lines.append(Message("practice.guess-none"))
    elif found.guessed_right:
        lines.append(Message("practice.guess-right"))
    else:
        lines.append(Message("practice.guess-wrong", cause=Message(f"cause.{found.guess}")))
    if found.verdict_cause is None:
        lines.append(Message("practice.verdict-none"))
    elif found.verdict_right:
        lines.append(Message("practice.verdict-right"))
    else:
        lines.append(Message("practice.verdict-wrong", cause=Message(f"cause.{found.verdict_cause}")))
    if not found.first:
        lines.append(Message("practice.revealed-before"))
    return lines
