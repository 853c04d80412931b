"""What holds for every test."""

from __future__ import annotations

import gc
import sqlite3
from collections.abc import Iterator
from dataclasses import replace
from functools import cache, lru_cache

import pytest
from hypothesis import settings

from tackside.bench.database import storage
from tackside.sheet.blocks import scene
from tackside.sheet.scenery.noise import Plane
from tackside.sheet.scenery.subjects import Draw, Subject

# The same examples in every run, so that a red run tells of the change and not of luck. To look for new ones:
# pytest --hypothesis-profile=explore
settings.register_profile("explore", deadline=None, max_examples=1000)
settings.register_profile("repeatable", deadline=None, derandomize=True)
settings.load_profile("repeatable")


def pytest_make_parametrize_id(val: object, argname: str) -> str | None:
    """A test is never named by the bytes it gets: these may be made anew by every worker (a packed file carries the
    second it was packed in), and workers that name one test differently can't share the work."""
    return argname if isinstance(val, bytes) else None


# A worker holds what thousands of tests have loaded, and looking through all of it for what is left over, as often as
# Python does by itself, takes a twentieth of its time.
gc.set_threshold(10_000, 20, 50)


@pytest.fixture(autouse=True, scope="session")
def _no_waiting_for_the_disk() -> Iterator[None]:
    """A test's own benches need not survive a power cut: of what a killed process leaves, processes of their own tell
    (tests/bench/test_kills.py), as does what is asked of the durable setting itself."""
    prepare = storage._prepare_sqlite

    def prepared(connection: sqlite3.Connection, record: object) -> None:
        prepare(connection, record)
        connection.execute("PRAGMA synchronous = OFF")

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(storage, "_prepare_sqlite", prepared)
        yield


@pytest.fixture(autouse=True, scope="session")
def _paint_once() -> Iterator[None]:
    """The pictures on a test sheet are the same wherever it has the same size, and take four fifths of its making: each
    worker paints them once. How they are painted is asked of the painters themselves (tests/sheet/test_pictures.py)."""
    found = scene.subject

    @cache
    def subject(name: str) -> Subject | None:
        there = found(name)
        return replace(there, draw=_once(there.draw, 4)) if there else None

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(scene, "paint", _once(scene.paint, 8))
        patch.setattr(scene, "subject", subject)
        yield


def _once(draw: Draw, most: int) -> Draw:
    """What it drew last at some sizes, as a copy, for sheets in another space are worked out in place."""
    kept = lru_cache(maxsize=most)(draw)

    def drawn(width: int, height: int) -> Plane:
        return kept(width, height).copy()

    return drawn
