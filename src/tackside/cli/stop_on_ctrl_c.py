"""Ctrl-C while sheets are at a printer: the first asks whether to cancel there, a second leaves them to print."""

from __future__ import annotations

import signal
import sys
from types import FrameType, TracebackType
from typing import Self

from tackside.cli.confirm import YES
from tackside.errors import PrinterTrouble
from tackside.messages.message import Message
from tackside.run.ipp.job import JobNews


class StopOnCtrlC:
    """Ask it as ``run.ipp.job.Stop``: whether a person has pressed Ctrl-C and wants the job cancelled.

    Where nobody can be asked, Ctrl-C cancels. Leaving raises PrinterTrouble, which says how to look
    after the job later.
    """

    def __init__(self, run: str) -> None:
        self._run = run
        self._pressed = False
        self._news: JobNews | None = None

    def __enter__(self) -> Self:
        self._before = signal.signal(signal.SIGINT, self._note)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, where: TracebackType | None
    ) -> None:
        signal.signal(signal.SIGINT, self._before)
        if kind is KeyboardInterrupt and self._news is not None:
            left = "printing.left" if self._run else "printing.left-alone"
            raise PrinterTrouble(left, job=self._news.id, run=self._run) from error

    def __call__(self, news: JobNews | None) -> bool:
        self._news = news
        if not self._pressed or news is None or not sys.stdin.isatty():
            return self._pressed
        print(f"\n{Message('printing.ask-cancel', job=news.id)} ", end="", file=sys.stderr, flush=True)
        wants = sys.stdin.readline().strip().lower() in YES
        self._pressed = wants
        return wants

    def _note(self, number: int, frame: FrameType | None) -> None:
        if self._pressed:
            raise KeyboardInterrupt
        self._pressed = True
        print(f"\n{Message('printing.one-moment')}", file=sys.stderr, flush=True)
