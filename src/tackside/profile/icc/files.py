"""Profiles as files: read with a limit on size, told from other files by their signature."""

from __future__ import annotations

import stat
from pathlib import Path

from tackside.errors import BadProfile
from tackside.files.atomic import explain
from tackside.profile.icc.inspect import HEADER_SIZE, LARGEST_BYTES, MEND

PROFILE_SUFFIXES = (".icc", ".icm")
SIGNATURE = slice(36, 40)  # ISO 15076-1:2010, 7.2.9


def is_profile_file(path: Path) -> bool:
    """Whether a plain file carries the signature of a profile. Raises BadProfile, StorageTrouble."""
    _require_plain(path)
    try:
        with path.open("rb") as stream:
            return stream.read(HEADER_SIZE)[SIGNATURE] == b"acsp"
    except OSError as error:
        raise explain(error, path, "read") from error


def read_profile_file(path: Path) -> bytes:
    """The bytes of a profile's file; only its size and signature are checked. Raises BadProfile, StorageTrouble."""
    size = _require_plain(path)
    if size == 0:
        raise BadProfile(f"{path} is empty", "copy the profile anew from where it came")
    if size > LARGEST_BYTES:
        raise BadProfile(f"{path} is larger than {LARGEST_BYTES // 1024**2} MB, which no profile is", MEND)
    if not is_profile_file(path):
        raise BadProfile(f"{path} is not an ICC colour profile (its signature is missing)", MEND)
    try:
        return path.read_bytes()
    except OSError as error:
        raise explain(error, path, "read") from error


def _require_plain(path: Path) -> int:
    """The size of a plain file in bytes; pipes and devices could keep a reader waiting for ever."""
    try:
        found = path.stat()
    except FileNotFoundError as error:
        raise BadProfile(
            f"cannot read {path}: there is no file of that name", "check the name and the folder"
        ) from error
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        if isinstance(error, OSError):
            raise explain(error, path, "read") from error
        raise BadProfile("the name of the profile is no file name", "check the name") from error
    if not stat.S_ISREG(found.st_mode):
        what = "a folder" if stat.S_ISDIR(found.st_mode) else "a device or a pipe, not a file"
        raise BadProfile(f"{path} is {what}", "name a profile's file")
    return found.st_size
