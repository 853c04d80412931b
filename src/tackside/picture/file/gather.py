"""Which files a person means by a list of pictures and folders."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from tackside.errors import BadImage
from tackside.files.outside import PICTURE
from tackside.files.reasons import reason_of
from tackside.picture.file.open import kind_of

SUFFIXES = frozenset({".jpg", ".jpeg", ".png", ".tif", ".tiff", ".webp", ".gif", ".avif", ".heic", ".heif"})


def gather_pictures(named: Iterable[Path | str]) -> tuple[Path, ...]:
    """The files named, and of each folder its pictures by name (not those of folders in it), each file once.

    A folder's file counts as a picture by its suffix or its first bytes, so that a broken one is met and not passed
    over. Raises BadImage for a name that is no file and for a folder without pictures.
    """
    found: dict[Path, None] = {}
    for path in map(Path, named):
        if not path.is_dir():
            PICTURE.require(path)
            found[path] = None
            continue
        inside = _in_folder(path)
        if not inside:
            raise BadImage("picture.empty-folder", folder=str(path))
        found.update(dict.fromkeys(inside))
    return tuple(found)


def _in_folder(folder: Path) -> list[Path]:
    try:
        files = [each for each in folder.iterdir() if each.is_file() and not each.name.startswith(".")]
    except OSError as error:
        raise BadImage("file.cannot-read", file=str(folder), reason=reason_of(error)) from error
    return sorted(each for each in files if each.suffix.lower() in SUFFIXES or _is_picture(each))


def _is_picture(path: Path) -> bool:
    try:
        kind_of(path)
    except BadImage:
        return False
    return True
