"""What a job is given: the bench, what was asked for, a place to work in, and a way to tell how far it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tackside.bench.store import Bench
from tackside.messages.message import Message
from tackside.workflow.progress import Progress


@dataclass(frozen=True)
class Task:
    """One job at work. ``folder`` is empty, its own, and gone afterwards; ``tell`` reports how far it is.
    ``stopping``: whether a person wants it stopped; only kinds that are asked need to look."""

    bench: Bench
    asked: dict[str, Any]
    folder: Path
    tell: Progress
    stopping: Callable[[], bool] = lambda: False

    @property
    def cache(self) -> Path:
        made = self.bench.folder / "cache"
        made.mkdir(exist_ok=True)
        return made


def plain(said: Message | str) -> Any:
    """What is said, as the result of a job holds it; ``Message.of_data`` reads it back."""
    return said.as_data() if isinstance(said, Message) else said
