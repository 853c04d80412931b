"""Samples of ways kept in a folder, so that a card is worked out once and not at each choice.

What is kept follows from the readings, the profiles and this version alone: the folder may be deleted at any time.
"""

from __future__ import annotations

import hashlib
import io
from pathlib import Path

import numpy as np

from tackside import __version__
from tackside.errors import StorageTrouble
from tackside.files.atomic import write_atomically
from tackside.picture.choose.way_table import NODES, Table, sample_way
from tackside.picture.file.colours import Space
from tackside.picture.proof.ways import PrintWay
from tackside.tasks.cache import note_use

FORM = 3  # to be raised where the sampling or what lies below it gives other numbers


def sampled(way: PrintWay, space: Space, folder: Path | None) -> Table:
    """The print by a way at the nodes of a space, from the folder where it was kept, else worked out and kept.

    A damaged or unwritable folder only costs time. Raises BadProfile, BadRequest.
    """
    if folder is None:
        return sample_way(way, space)
    name = hashlib.sha256(f"{FORM} {__version__} {way.key}".encode() + space.profile).hexdigest()[:32]
    path = folder / f"{name}.npy"
    kept = _load(path)
    if kept is not None:
        return kept
    made = sample_way(way, space)
    buffer = io.BytesIO()
    np.save(buffer, made)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        write_atomically(path, buffer.getvalue())
    except (OSError, StorageTrouble):
        return made
    return made


def _load(path: Path) -> Table | None:
    try:
        found = np.load(io.BytesIO(path.read_bytes()), allow_pickle=False)
    except (OSError, ValueError, EOFError):
        return None
    if found.shape != (NODES**3, 3) or found.dtype != np.float32 or not np.isfinite(found).all():
        return None
    note_use(path)
    return np.asarray(found, dtype=np.float32)
