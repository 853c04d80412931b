"""Profiles as files: read with a limit on size, told from other files by their signature."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

from tackside.errors import BadProfile
from tackside.files.outside import Intake
from tackside.profile.icc.inspect import HEADER_SIZE, LARGEST_BYTES

PROFILE_SUFFIXES = (".icc", ".icm")
SIGNATURE = slice(36, 40)  # ISO 15076-1:2010, 7.2.9
_ANY = Intake(BadProfile, missing="profile.file-missing", folder="profile.folder")
_PROFILE = replace(_ANY, too_large="profile.file-too-large", most_bytes=LARGEST_BYTES)


def is_profile_file(path: Path) -> bool:
    """Whether a plain file carries the signature of a profile. Raises BadProfile."""
    return _ANY.head(path, HEADER_SIZE)[SIGNATURE] == b"acsp"


def read_profile_file(path: Path) -> bytes:
    """The bytes of a profile's file; only its size and signature are checked. Raises BadProfile."""
    data = _PROFILE.read(path)
    if not data:
        raise BadProfile("profile.file-empty", file=str(path))
    if data[SIGNATURE] != b"acsp":
        raise BadProfile("profile.file-no-signature", file=str(path))
    return data
