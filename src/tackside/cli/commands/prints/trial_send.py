"""``tackside trial send``: the test sheet of a trial to a printer that speaks IPP, after a confirmation."""

from __future__ import annotations

from typing import Annotated, Literal

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cli.commands.runs.run_send import deliver, delivered
from tackside.cli.session import Outcome, bench_folder
from tackside.workflow.runs.send import SendWishes, make_trial_ready


def send(
    trial: Annotated[str, Parameter(help="Id of the trial, as printed on its sheet.")],
    *,
    to: Annotated[str, Parameter(help="The printer's address, as ipp://printer.local/ipp/print.")],
    media_type: Annotated[str | None, Parameter(help="The paper type, in the printer's own word.")] = None,
    quality: Annotated[Literal["draft", "normal", "high"], Parameter(help="Print quality.")] = "high",
    intent: Annotated[
        Literal["perceptual", "relative", "saturation", "absolute"], Parameter(help="Rendering intent.")
    ] = "relative",
    yes: Annotated[bool, Parameter(negative=(), help="Send without asking, for scripts.")] = False,
) -> Outcome:
    """Send a trial's test sheet to the printer, at true size and without scaling, and note how it was printed.

    A sheet of bare numbers is refused: no IPP printer can be asked to leave them as they are.
    """
    bench = Bench.open(bench_folder(), create=False)
    ready = make_trial_ready(bench, trial, to, wishes=SendWishes(0, media_type, quality, intent))
    jobs = deliver(bench, ready, yes=yes)
    return delivered(ready, jobs, {"trial": ready.consignment.trial or trial})
