"""Profiles as files: read with a limit on size, told from other files by their signature."""

from __future__ import annotations

import stat
from pathlib import Path

from tackside.errors import BadProfile
from tackside.files.atomic import explain
from tackside.profile.icc.inspect import HEADER_SIZE, LARGEST_BYTES

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
        raise BadProfile("profile.file-empty", file=str(path))
    if size > LARGEST_BYTES:
        raise BadProfile("profile.file-too-large", file=str(path), limit_mb=LARGEST_BYTES // 1024**2)
    if not is_profile_file(path):
        raise BadProfile("profile.file-no-signature", file=str(path))
    try:
        return path.read_bytes()
    except OSError as error:
        raise explain(error, path, "read") from error


def _require_plain(path: Path) -> int:
    """The size of a plain file in bytes; pipes and devices could keep a reader waiting for ever."""
    try:
        found = path.stat()
    except FileNotFoundError as error:
        raise BadProfile("profile.file-missing", file=str(path)) from error
    except (OSError, ValueError) as error:  # ValueError: a NUL in the name
        if isinstance(error, OSError):
            raise explain(error, path, "read") from error
        raise BadProfile("profile.no-file-name") from error
    if not stat.S_ISREG(found.st_mode):
        folder = stat.S_ISDIR(found.st_mode)
        raise BadProfile("profile.folder" if folder else "profile.no-plain-file", file=str(path))
    return found.st_size
