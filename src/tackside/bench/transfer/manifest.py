"""What a backup says of itself: ``manifest.json`` at its end, with every count and hash, and what it lacks."""

from __future__ import annotations

from datetime import datetime
from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field

from tackside.errors import StorageTrouble
from tackside.records import Record

LAYOUT = 1
MANIFEST = "manifest.json"

Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class Counted(Record):
    rows: int
    digest: Sha256


class Small(Record):
    path: str
    sha256: Sha256


class Manifest(Record):
    """What a backup holds. ``form`` is the database's revision, ``digest`` as ``rows.RowTally`` makes it.

    ``lacks``: what was damaged on the bench, and so is not among the rows and files, each as a message's data.
    """

    kind: Literal["tackside-bench"] = "tackside-bench"
    layout: int = LAYOUT
    form: str
    version: str
    made_at: datetime
    tables: dict[str, Counted]
    files: tuple[Sha256, ...]
    beside: tuple[Small, ...]
    lacks: tuple[dict[str, Any], ...] = ()


def damaged(path: Path) -> StorageTrouble:
    return StorageTrouble("transfer.backup-damaged", file=str(path))
