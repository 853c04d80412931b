"""Pictures that a run shows on card after card: made ready once in a process, not once a card."""

from __future__ import annotations

import threading
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterable
from pathlib import Path
from typing import TypeVar

MOST_KEPT = 4  # a picture is at most a sheet's pixels: A4 at 600 ppi is 104 MB

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


def made_once(picture: Path, how: Hashable, make: Callable[[], Made]) -> Made:
    """What ``make`` gives of a file as it is now, kept by ``how`` where the file is shown again."""
    if picture not in _shown:
        return make()
    known = picture.stat()
    key = (picture, known.st_size, known.st_mtime_ns, how)
    with _lock:
        found = _kept.get(key)
    if found is None:
        found = make()
        with _lock:
            _kept[key] = found
            while len(_kept) > MOST_KEPT:
                _kept.popitem(last=False)
    return found  # type: ignore[return-value]  # the key leads to what its own ``make`` gave
