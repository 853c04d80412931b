"""The line that says how far a command is: on standard error, written over, and only where a person is looking."""

from __future__ import annotations

import sys

from tackside.messages.message import Message
from tackside.workflow.progress import Progress, unheard


def on_stderr() -> Progress:
    """What a job is to be given that is done for the command line."""
    return _line if sys.stderr.isatty() else unheard


def _line(share: float, doing: Message) -> None:
    told = "" if share >= 1.0 else f"{doing}…"
    print(f"\r\033[K{told}", end="", file=sys.stderr, flush=True)
