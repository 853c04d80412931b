"""``tackside demo``."""

from __future__ import annotations

import shlex
from pathlib import Path
from typing import Annotated

from cyclopts import Parameter
from rich.console import Console, Group
from rich.progress import BarColumn, Progress, TextColumn, TimeElapsedColumn
from rich.table import Table

from tackside.cli.demo.scenario import NOTE
from tackside.cli.demo.studio import DemoOutcome, require_place, run_demo
from tackside.cli.session import Outcome

# What a grade means to a card maker, in three words.
MEANING = {
    "sell": "good enough to sell",
    "send": "good enough to send",
    "draft": "for drafts only",
    "reject": "not for print",
}


FOLDER = Path("tackside-demo")


def in_the_browser(folder: Path) -> str:
    """The command that opens the demo's bench in the browser."""
    if folder == FOLDER:
        return "tackside start --demo"
    return shlex.join(["tackside", "--bench", str(folder / "bench"), "start"])


def demo(
    *,
    out: Annotated[Path, Parameter(help="Folder for what the demo makes.")] = FOLDER,
) -> Outcome:
    """Run the whole job for an invented studio, on the virtual press.

    Four invented cards are printed, scanned, read and judged; a report compares them, and a card is laid
    out on the best. Nothing in it is real. To look at it in the browser: tackside start --demo.
    """
    made = run_shown(out)
    return Outcome(_document(made), _text(made))


def run_shown(out: Path) -> DemoOutcome:
    """Run the demo with a bar on standard error that tells how far it is."""
    require_place(out)
    columns = (TextColumn("{task.description:<52}"), BarColumn(24), TimeElapsedColumn())
    with Progress(*columns, console=Console(stderr=True)) as progress:
        task = progress.add_task("setting up", total=1.0)

        def tell(what: str, share: float) -> None:
            progress.update(task, description=what, advance=share)

        made = run_demo(out, tell)
        progress.update(task, description="done", completed=1.0)
    return made


def _document(made: DemoOutcome) -> dict[str, object]:
    return {
        "report": str(made.report),
        "bench": str(made.bench),
        "folder": str(made.folder),
        "cards": [str(file) for file in made.cards],
        "best": made.best,
        "note": NOTE,
        "trials": [
            {
                "trial": trial.id,
                "stock": trial.stock,
                "side": trial.side,
                "grade": verdict.grade,
                "cause": verdict.cause,
            }
            for trial, verdict in made.verdicts
        ],
    }


def _text(made: DemoOutcome) -> Group:
    table = Table(box=None, pad_edge=False, title=None, header_style="bold")
    for heading in ("Card", "Side", "Grade", "In words", "Because"):
        table.add_column(heading, overflow="fold")
    for trial, verdict in made.verdicts:
        because = next((str(rule.sentence) for rule in verdict.rules if rule.rule == "black"), "")
        table.add_row(trial.stock, trial.side, verdict.grade, MEANING[verdict.grade], because)
    return Group(
        "",
        table,
        "",
        f"Open the report   {made.report}",
        f"Card to print     {made.cards[0]}",
        f"Bench             {made.bench}",
        f"In the browser    {in_the_browser(made.folder)}",
        "",
        f"[dim]{NOTE}[/dim]",
    )
