"""Pieces of work for the tests of spreading; workers import this module."""

from __future__ import annotations

import os
import time
from pathlib import Path
from typing import Any

from tackside.errors import BadRequest


def square(item: dict[str, Any]) -> dict[str, Any]:
    """The square, and a mark for each time that it was worked out."""
    if "marks" in item:
        with (Path(item["marks"]) / f"{item['n']}").open("a") as marks:
            marks.write("x")
    return {"n": item["n"] ** 2}


def die_once(item: dict[str, Any]) -> dict[str, Any]:
    """Takes its worker down the first time, as a machine that loses power does."""
    mark = Path(item["marks"]) / f"died-{item['n']}"
    if item["n"] == 3 and not mark.exists():
        mark.touch()
        os._exit(1)
    return square(item)


def die_always(item: dict[str, Any]) -> dict[str, Any]:
    if item["n"] == 3:
        os._exit(1)
    return square(item)


def refuse(item: dict[str, Any]) -> dict[str, Any]:
    if item["n"] == 2:
        raise BadRequest("two is one too many", "leave it out")
    return square(item)


def times(item: dict[str, Any], common: dict[str, Any]) -> dict[str, Any]:
    return {"n": item["n"] * len(common["by"])}


def slow_square(item: dict[str, Any]) -> dict[str, Any]:
    """The square, after a while, with the process that worked it out written down each time."""
    with (Path(item["marks"]) / f"{item['n']}").open("a") as marks:
        marks.write(f"{os.getpid()}\n")
    time.sleep(0.15)
    return {"n": item["n"] ** 2}
