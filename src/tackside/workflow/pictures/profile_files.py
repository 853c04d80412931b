"""Profiles from the files and folders that a person names."""

from __future__ import annotations

import os
from collections.abc import Iterable, Iterator
from pathlib import Path

from tackside.errors import BadProfile, BadRequest, NotFound
from tackside.messages.message import Message
from tackside.profile.icc.files import PROFILE_SUFFIXES, read_profile_file

MOST_PROFILES = 2000
MOST_LOOKED_AT = 20_000


def profile_files(named: Iterable[Path]) -> tuple[Path, ...]:
    """The files named, and all .icc and .icm files in the folders named and below, each once.

    Raises NotFound for what is not there or a folder without profiles, BadRequest for more than MOST_PROFILES.
    """
    found: dict[Path, None] = {}
    for path in named:
        if path.is_dir():
            inside = sorted(_profiles_below(path))
            if not inside:
                raise NotFound("profile.none-in-folder", folder=str(path))
            found |= dict.fromkeys(inside)
        elif path.is_file():
            found[path] = None
        else:
            raise NotFound("profile.path-missing", file=str(path))
    if not found:
        raise BadRequest("profile.none-named")
    if len(found) > MOST_PROFILES:
        raise BadRequest("profile.too-many", count=len(found), limit=MOST_PROFILES)
    return tuple(found)


def _profiles_below(folder: Path) -> Iterator[Path]:
    """Raises BadRequest for a folder that is no folder of profiles, but half a disk."""
    looked_at = 0
    for place, inner, names in os.walk(folder):
        looked_at += len(inner) + len(names)
        if looked_at > MOST_LOOKED_AT:
            raise BadRequest("profile.folder-too-large", folder=str(folder), limit=MOST_LOOKED_AT)
        found = (Path(place, name) for name in names if name.lower().endswith(PROFILE_SUFFIXES))
        yield from (each for each in found if each.is_file())


def read_profiles(paths: Iterable[Path]) -> tuple[list[tuple[str, bytes]], tuple[Message, ...]]:
    """The bytes of each file that carries a profile's signature, and a notice about each that does not.

    Raises BadProfile where none does, StorageTrouble where one cannot be read.
    """
    found: list[tuple[str, bytes]] = []
    notices: list[Message] = []
    first: BadProfile | None = None
    for path in paths:
        try:
            found.append((str(path), read_profile_file(path)))
        except BadProfile as error:
            first = first or error
            notices.append(Message("profile.left-out", reason=error.message))
    if not found and first is not None:
        raise first
    return found, tuple(notices)
