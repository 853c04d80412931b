"""Pictures that a run shows on card after card, and the ground that they make: once in a process, not once a card."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Collection, Hashable, Iterable
from pathlib import Path
from typing import TypeVar

MOST_KEPT = 4  # a picture, or a ground, is at most a sheet's pixels: A4 at 600 ppi is 104 MB

Made = TypeVar("Made")
_lock = threading.Lock()
_shown: frozenset[Path] = frozenset()
_kept: OrderedDict[Hashable, object] = OrderedDict()


def expect(pictures: Iterable[Path]) -> None:
    """From now on these files are shown again and again; none: what was kept is let go."""
    global _shown
    with _lock:
        _shown = frozenset(list(pictures)[:MOST_KEPT])
        if not _shown:
            _kept.clear()


def are_expected(pictures: Collection[Path]) -> bool:
    """Whether there are any, and all of them are shown again and again."""
    return bool(pictures) and _shown.issuperset(pictures)


def made_once(pictures: Collection[Path], how: Hashable, make: Callable[[], Made]) -> Made:
    """What ``make`` gives of files as they are now, kept by ``how`` where they are shown again."""
    if not are_expected(pictures):
        return make()
    states = [path.stat() for path in pictures]
    known = tuple((path, now.st_size, now.st_mtime_ns) for path, now in zip(pictures, states, strict=True))
    key = (known, how)
    with _lock:
        found = _kept.get(key)
    if found is None:
        found = make()
        with _lock:
            _kept[key] = found
            while len(_kept) > MOST_KEPT:
                _kept.popitem(last=False)
    return found  # type: ignore[return-value]  # the key leads to what its own ``make`` gave
