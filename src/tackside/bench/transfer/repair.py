"""What can be saved of a damaged bench, brought into a new one. The damaged one is only read."""

from __future__ import annotations

import secrets
from pathlib import Path
from tempfile import TemporaryDirectory

from tackside.bench.location import BenchLocation
from tackside.bench.transfer.backup import Backed, Say, back_up
from tackside.bench.transfer.restore import restore
from tackside.errors import BadRequest
from tackside.files.atomic import TEMPORARY_PREFIX, explain


def repair(source: BenchLocation, target: BenchLocation, say: Say = lambda _: None) -> Backed:
    """Save every record and file that is as it was kept to a place that holds none yet; the rest is told.

    It goes by way of a backup beside the new bench, which is removed again. Raises BadRequest where both places are
    one, NotFound where there is no bench, StorageTrouble where its database cannot be opened at all.
    """
    if source.folder.resolve() == target.folder.resolve():
        raise BadRequest("transfer.same-place")
    parent = _standing(target.folder)
    try:
        with TemporaryDirectory(prefix=TEMPORARY_PREFIX, dir=parent) as folder:
            archive = Path(folder) / f"{secrets.token_hex(4)}.zip"
            saved = back_up(source, archive, say)
            restore(archive, target, say)
            return saved
    except OSError as error:
        raise explain(error, parent, "write") from error


def _standing(folder: Path) -> Path:
    """The nearest folder that is there already."""
    return next(each for each in (folder.absolute().parent, *folder.absolute().parents) if each.is_dir())
