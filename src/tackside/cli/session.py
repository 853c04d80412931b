"""What one call of the command line knows: where its bench lies, who waits for it, and what a command hands back."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

from cyclopts import Parameter

from tackside.errors import TacksideError
from tackside.messages.message import Message
from tackside.messages.wording import document
from tackside.workflow.progress import Progress, unheard

if TYPE_CHECKING:
    from rich.console import RenderableType

    from tackside.bench.store import Bench

# What a command that writes files is asked.
Force = Annotated[bool, Parameter(negative=(), help="Replace what is there already.")]

_bench_folder = Path.home() / "Tackside"


def choose_bench(folder: str | Path | None) -> None:
    """Set the bench for the commands that follow: a folder, or the URL of a database whose files lie in a folder.

    None keeps the default, ``~/Tackside``.
    """
    global _bench_folder  # one process serves one call of the command line
    if isinstance(folder, str) and "://" in folder:
        from tackside.bench.location import place_of, remember  # kept off the start-up path

        _bench_folder = remember(place_of(folder))
    elif folder is not None:
        _bench_folder = Path(folder)


def bench_folder() -> Path:
    return _bench_folder


def bench_if_there() -> Bench | None:
    """The bench, None where nobody has begun one."""
    from tackside.bench.store import Bench  # kept off the start-up path
    from tackside.errors import NotFound

    try:
        return Bench.open(_bench_folder, create=False)
    except NotFound:
        return None


def on_stderr() -> Progress:
    """What a job is given to say how far it is: a line on standard error, written over, only where a person looks."""
    return _line if sys.stderr.isatty() else unheard


def _line(share: float, doing: Message) -> None:
    told = "" if share >= 1.0 else f"{doing}…"
    print(f"\r\033[K{told}", end="", file=sys.stderr, flush=True)


@dataclass(frozen=True)
class Outcome:
    """What a command hands back: ``document`` is printed with ``--json``, ``text`` without.

    ``document`` holds only what ``json.dumps`` takes; ``text`` is a string or anything rich can print.
    ``warnings`` go to standard error in both cases. ``cautions`` end the text, and are the document's ``cautions``.
    ``onward``: what may be done next and the command that does it, the usual first; the document's ``next``.
    ``faults``: what of several things asked for could not be done. Each is a line on standard error, and the exit code
    says that there was one.
    """

    document: Mapping[str, Any]
    text: RenderableType = ""
    warnings: tuple[str | Message, ...] = field(default=())
    cautions: tuple[Message, ...] = field(default=())
    onward: tuple[tuple[str, str], ...] = field(default=())
    faults: tuple[TacksideError, ...] = field(default=())


def faults_document(faults: Iterable[tuple[str, TacksideError]], key: str = "file") -> list[dict[str, Any]]:
    """What of several things could not be done, as plain data: its name under ``key``, code, values and text."""
    return [{key: name, **document(error.message)} for name, error in faults]
