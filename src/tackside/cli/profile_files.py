"""Profiles from the files and folders that a person names."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from tackside.errors import BadProfile, BadRequest, NotFound
from tackside.profile.icc.files import PROFILE_SUFFIXES, read_profile_file

MOST_PROFILES = 2000


def profile_files(named: Iterable[Path]) -> tuple[Path, ...]:
    """The files named, and all .icc and .icm files in the folders named and below, each once.

    Raises NotFound for what is not there or a folder without profiles, BadRequest for more than MOST_PROFILES.
    """
    found: dict[Path, None] = {}
    for path in named:
        if path.is_dir():
            inside = sorted(
                each for each in path.rglob("*") if each.suffix.lower() in PROFILE_SUFFIXES and each.is_file()
            )
            if not inside:
                raise NotFound(
                    f"there is no profile in the folder {path}", "name a folder with .icc or .icm files"
                )
            found |= dict.fromkeys(inside)
        elif path.is_file():
            found[path] = None
        else:
            raise NotFound(f"{path} is not there", "check the path of the profile")
    if not found:
        raise BadRequest("no profile was named", "name profiles, or a folder of them")
    if len(found) > MOST_PROFILES:
        raise BadRequest(
            f"{len(found)} profiles are more than {MOST_PROFILES}", "name a folder that holds fewer"
        )
    return tuple(found)


def read_profiles(paths: Iterable[Path]) -> tuple[list[tuple[str, bytes]], tuple[str, ...]]:
    """The bytes of each file that carries a profile's signature, and a notice about each that does not.

    Raises BadProfile where none does, StorageTrouble where one cannot be read.
    """
    found: list[tuple[str, bytes]] = []
    notices: list[str] = []
    first: BadProfile | None = None
    for path in paths:
        try:
            found.append((str(path), read_profile_file(path)))
        except BadProfile as error:
            first = first or error
            notices.append(f"{error.what}: left out")
    if not found and first is not None:
        raise first
    return found, tuple(notices)
