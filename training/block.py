"""A block of the study of causes as a piece of work: plain data in and out, for any process, here or elsewhere."""

from __future__ import annotations

import hashlib
from collections.abc import Callable
from dataclasses import asdict
from pathlib import Path
from typing import Any

import tackside
from tackside.tasks.parallel import spread
from training import table
from training.stocks import held_out, training

BLOCK = 100
# A print as an image takes so many times as long.
_SLOWER: dict[table.Way, int] = {"figures": 1, "eye": 1, "image": 25}


def judge_block(asked: dict[str, Any]) -> dict[str, Any]:
    """``count`` prints from ``seed`` on; ``way``, ``tuned``: as ``study``. ``code`` only tells blocks apart."""
    families = training() if asked["tuned"] else held_out()
    judged = table.run(families, asked["count"], asked["seed"], way=asked["way"])
    return {"judged": [asdict(one) for one in judged]}


def study(
    count: int,
    seed: int,
    *,
    way: table.Way = "figures",
    tuned: bool = False,
    workers: int | None = None,
    cluster: str | None = None,
    finished: Path | None = None,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> list[table.Judged]:
    """``count`` prints judged in blocks: on all cores, on so many ``workers``, or on a ``cluster``.

    A block that is kept in ``finished`` is not done again, unless the program or the study has changed.
    """
    code, size = code_now(), max(BLOCK // _SLOWER[way], 1)
    items = [
        {
            "count": min(size, count - at),
            "seed": seed + at,
            "way": way,
            "tuned": tuned,
            "code": code,
        }
        for at in range(0, count, size)
    ]
    blocks = spread(judge_block, items, workers=workers, cluster=cluster, finished=finished, tell=tell)
    return [_judged(one) for block in blocks for one in block["judged"]]


def code_now() -> str:
    """One name for the program and the study as they stand."""
    digest = hashlib.sha256()
    for folder in (Path(tackside.__file__).parent, Path(__file__).parent):
        for file in sorted((*folder.rglob("*.py"), *folder.rglob("*.npz"))):
            digest.update(f"{file.relative_to(folder)}\n".encode() + file.read_bytes())
    return digest.hexdigest()


def _judged(plain: dict[str, Any]) -> table.Judged:
    return table.Judged(
        **{name: tuple(value) if isinstance(value, list) else value for name, value in plain.items()}
    )
