"""What a job is given: the bench, what was asked for, a place to work in, and a way to tell how far it is."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tackside.bench.store import Bench


@dataclass(frozen=True)
class Task:
    """One job at work. ``folder`` is empty, its own, and gone afterwards; ``tell(share, said)`` reports, 0 to 1."""

    bench: Bench
    asked: dict[str, Any]
    folder: Path
    tell: Callable[[float, str], None]

    @property
    def cache(self) -> Path:
        made = self.bench.folder / "cache"
        made.mkdir(exist_ok=True)
        return made
