"""What a worker prepared to be looked at: one folder in the cache for each thing, there whole or not at all."""

from __future__ import annotations

import contextlib
import json
import shutil
from collections.abc import Iterator
from dataclasses import fields
from pathlib import Path
from typing import Any

from tackside.files.atomic import explain, write_atomically
from tackside.messages.message import Message
from tackside.tasks.cache import note_use

ABOUT = "about.json"


def place_of(cache: Path, room: str, key: str) -> Path:
    """The folder of one thing; ``room`` and ``key`` are our own words (a hash, an id), never from a path."""
    return cache / room / key


def read_prepared(place: Path, form: int) -> dict[str, Any] | None:
    """What is told of it, messages as such; None where nothing is ready, or it is of another form. It counts as used
    now."""
    try:
        found = json.loads((place / ABOUT).read_bytes(), object_hook=_said)
    except (OSError, ValueError):
        return None
    if not isinstance(found, dict) or found.get("form") != form:
        return None
    note_use(place)
    return found


@contextlib.contextmanager
def preparing(place: Path) -> Iterator[Path]:
    """A folder to write into, which becomes the place at the end of the block, and goes where that fails."""
    making = place.with_name(f".{place.name}.part")
    shutil.rmtree(making, ignore_errors=True)
    try:
        making.mkdir(parents=True)
    except OSError as error:
        raise explain(error, making, "write") from error
    try:
        yield making
        shutil.rmtree(place, ignore_errors=True)
        making.rename(place)
    finally:
        shutil.rmtree(making, ignore_errors=True)


def tell(making: Path, form: int, about: dict[str, Any]) -> None:
    """Write what is told of it, last of all: plain values, messages, and data classes of them."""
    write_atomically(making / ABOUT, json.dumps({"form": form, **about}, default=_plain).encode())


def _plain(value: Any) -> Any:
    if isinstance(value, Message):
        return value.as_data()
    return {field.name: getattr(value, field.name) for field in fields(value)}


def _said(value: dict[str, Any]) -> Any:
    return Message.of_data(value) if set(value) == {"code", "values"} else value
