"""An array of 32-bit numbers kept in a file, so that it is worked out once; a damaged file costs time alone."""

from __future__ import annotations

import contextlib
import hashlib
import io
from collections.abc import Callable
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tackside.errors import StorageTrouble
from tackside.files.atomic import write_atomically
from tackside.tasks.cache import note_use

Table = NDArray[np.float32]


def kept_array(path: Path, shape: tuple[int, ...], make: Callable[[], Table]) -> Table:
    """The array in a file, where it is whole and of this shape; else what ``make`` gives, kept for the next time.

    The file is an ``.npy`` with the SHA-256 of it behind. The errors of ``make`` come through.
    """
    found = _load(path, shape)
    if found is not None:
        return found
    made = make()
    buffer = io.BytesIO()
    np.save(buffer, made)
    data = buffer.getvalue()
    with contextlib.suppress(OSError, StorageTrouble):  # then it is worked out again
        path.parent.mkdir(parents=True, exist_ok=True)
        write_atomically(path, data + hashlib.sha256(data).digest())
    return made


def _load(path: Path, shape: tuple[int, ...]) -> Table | None:
    try:
        held = path.read_bytes()
        data = memoryview(held)[:-32]
        if hashlib.sha256(data).digest() != held[-32:]:
            return None
        found = np.load(io.BytesIO(data), allow_pickle=False)
    except (OSError, ValueError, EOFError):
        return None
    if found.shape != shape or found.dtype != np.float32 or not np.isfinite(found).all():
        return None
    note_use(path)
    return np.asarray(found, dtype=np.float32)
