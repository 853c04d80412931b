"""How far a job is: what it hears who waits for it, at the terminal or on a page."""

from __future__ import annotations

from collections.abc import Callable

from tackside.messages.message import Message

Progress = Callable[[float, Message], None]
"""Told how much of the job is done, 0 to 1, and what is being done now (``progress.…`` in the catalogue)."""


def unheard(share: float, doing: Message) -> None:
    """Nobody waits."""


def part(progress: Progress, start: float, end: float) -> Progress:
    """What a step tells as its own 0 to 1, as the part of the whole job from ``start`` to ``end``."""
    return lambda share, doing: progress(start + (end - start) * share, doing)


def counted(progress: Progress, code: str) -> Callable[[int, int], None]:
    """For work that counts its pieces: ``code`` says how many (``done``) of all (``of``) there are."""
    return lambda done, of: progress(done / of if of else 1.0, Message(code, done=done, of=of))
