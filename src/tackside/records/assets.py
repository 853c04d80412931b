"""Profiles and pictures of a bench: what was told of a kept file when it came. The file itself is found by its hash."""

from __future__ import annotations

from pydantic import Field

from tackside.records.base import Record

SHA256 = r"^[0-9a-f]{64}$"


class ArtFile(Record):
    """A kept file. ``name`` is what it was called, ``title`` what it says of itself, or its name again."""

    sha256: str = Field(pattern=SHA256)
    name: str = Field(min_length=1, max_length=255)
    title: str = Field(min_length=1, max_length=255)
    size_bytes: int = Field(ge=0)


class ProfileFile(ArtFile):
    """A colour profile: ``kind`` and ``colour_space`` as its header has them, in our words."""

    kind: str = Field(max_length=40)
    colour_space: str = Field(max_length=20)


class PictureFile(ArtFile):
    """A picture: what kind of file, and its size in pixels, upright."""

    kind: str = Field(max_length=20)
    size_px: tuple[int, int]
