"""A question before something that cannot be undone, ink on card, or that may be a slip."""

from __future__ import annotations

import sys
from collections.abc import Sequence

from tackside.errors import BadRequest
from tackside.messages.message import Message

YES = ("yes", "y")


def confirm(
    question: str, *, yes: bool, cautions: Sequence[Message] = (), warnings: Sequence[Message] = ()
) -> None:
    """Go on where ``yes`` was given or a person says so; else raise BadRequest, and nothing has happened.

    The ``cautions``, and the ``warnings`` of this case, are read out first, on standard error, to whoever says yes now
    or said it beforehand.
    """
    if not yes and not sys.stdin.isatty():
        raise BadRequest(f"not sent: {question}", "say so with --yes, where nobody can be asked")
    for each in cautions:
        print(f"Mind: {each}", file=sys.stderr)
    for each in warnings:
        print(f"tackside: {each}", file=sys.stderr)
    if yes:
        return
    print(f"{question}\nType yes to send: ", end="", file=sys.stderr, flush=True)
    if sys.stdin.readline().strip().lower() not in YES:
        raise BadRequest("nothing was sent", "call it again when all is ready")


def agree(doubt: Message, *, yes: bool, asked: Message | None = None) -> None:
    """Go on with what is doubtful where ``yes`` was given or a person types it; else raise BadRequest that says it."""
    if yes:
        return
    refused = BadRequest.saying(doubt)
    if not sys.stdin.isatty():
        raise refused
    question = asked or Message("count.type-yes")
    print(f"{refused.what}\n{question} ", end="", file=sys.stderr, flush=True)
    if sys.stdin.readline().strip().lower() not in YES:
        raise refused
