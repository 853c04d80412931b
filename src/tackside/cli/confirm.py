"""A question before something that cannot be undone: ink on card."""

from __future__ import annotations

import sys

from tackside.errors import BadRequest

YES = ("yes", "y")


def confirm(question: str, *, yes: bool) -> None:
    """Go on where ``yes`` was given or a person says so; else raise BadRequest, and nothing has happened."""
    if yes:
        return
    if not sys.stdin.isatty():
        raise BadRequest(f"not sent: {question}", "say so with --yes, where nobody can be asked")
    print(f"{question}\nType yes to send: ", end="", file=sys.stderr, flush=True)
    if sys.stdin.readline().strip().lower() not in YES:
        raise BadRequest("nothing was sent", "call it again when all is ready")
