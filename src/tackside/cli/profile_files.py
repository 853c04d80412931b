"""Profiles from the files and folders that a person names."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from tackside.errors import BadRequest, NotFound, StorageTrouble
from tackside.profile.inspect import LARGEST_BYTES

ENDINGS = (".icc", ".icm")
MOST_PROFILES = 2000


def profile_files(named: Iterable[Path]) -> tuple[Path, ...]:
    """The files named, and all .icc and .icm files in the folders named and below, each once.

    Raises NotFound for what is not there or a folder without profiles, BadRequest for more than MOST_PROFILES.
    """
    found: dict[Path, None] = {}
    for path in named:
        if path.is_dir():
            inside = sorted(
                each for each in path.rglob("*") if each.suffix.lower() in ENDINGS and each.is_file()
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


def profile_bytes(path: Path) -> bytes:
    """The file's bytes, at most a little more than a profile may have. Raises StorageTrouble."""
    try:
        with path.open("rb") as file:
            return file.read(LARGEST_BYTES + 1)
    except OSError as error:
        raise StorageTrouble(f"{path} cannot be read", "check the file and its permissions") from error
