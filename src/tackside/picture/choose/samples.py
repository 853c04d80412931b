"""Samples of ways kept in a folder, so that a card is worked out once and not at each choice.

What is kept follows from the readings, the profiles and this version alone: the folder may be deleted at any time.
"""

from __future__ import annotations

import hashlib
from pathlib import Path

from tackside import __version__
from tackside.picture.choose.way_table import NODES, Table, sample_way
from tackside.picture.file.colours import Space
from tackside.picture.proof.ways import PrintWay
from tackside.tasks.kept_array import kept_array

FORM = 3  # to be raised where the sampling or what lies below it gives other numbers


def sampled(way: PrintWay, space: Space, folder: Path | None) -> Table:
    """The print by a way at the nodes of a space, from the folder where it was kept, else worked out and kept.

    A damaged or unwritable folder only costs time. Raises BadProfile, BadRequest.
    """
    if folder is None:
        return sample_way(way, space)
    name = hashlib.sha256(f"{FORM} {__version__} {way.key}".encode() + space.profile).hexdigest()[:32]
    return kept_array(folder / f"{name}.npy", (NODES**3, 3), lambda: sample_way(way, space))
