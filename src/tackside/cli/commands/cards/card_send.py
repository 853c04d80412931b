"""``tackside card send``: sheets of a single card to a printer that speaks IPP, after a confirmation."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal

from cyclopts import Parameter

from tackside.bench.store import Bench
from tackside.cli.commands.runs.run_send import deliver, delivered
from tackside.cli.session import Outcome, bench_folder
from tackside.workflow.runs.send import SendWishes, make_file_ready


def send(
    file: Annotated[Path, Parameter(help="The card file (TOML).")],
    *,
    to: Annotated[str, Parameter(help="The printer's address, as ipp://printer.local/ipp/print.")],
    sheets: Annotated[int, Parameter(help="How many sheets.")] = 1,
    face: Annotated[int, Parameter(help="Which face: 1 the outside, 2 the other once the first is dry.")] = 1,
    media_type: Annotated[str | None, Parameter(help="The paper type, in the printer's own word.")] = None,
    quality: Annotated[Literal["draft", "normal", "high"], Parameter(help="Print quality.")] = "high",
    intent: Annotated[
        Literal["perceptual", "relative", "saturation", "absolute"], Parameter(help="Rendering intent.")
    ] = "relative",
    yes: Annotated[bool, Parameter(negative=(), help="Send without asking, for scripts.")] = False,
) -> Outcome:
    """Send sheets of one card to the printer, at true size and without scaling, and follow them to the end."""
    bench = Bench.open(bench_folder(), create=False)
    wishes = SendWishes(face - 1, media_type, quality, intent)
    ready = make_file_ready(bench, file, to, sheets=sheets, wishes=wishes)
    return delivered(ready, deliver(bench, ready, yes=yes), {"card": str(file)})
