"""Entries of archives dated by no clock: a zip knows only 1980 to 2107 (APPNOTE 6.3.10, 4.4.6), a computer any year."""

from __future__ import annotations

import zipfile


def undated(archive: zipfile.ZipFile, name: str) -> zipfile.ZipInfo:
    """A new entry, packed as the archive's others are, of 1 January 1980."""
    entry = zipfile.ZipInfo(name)
    entry.compress_type = archive.compression
    # Public from Python 3.13 on; without it every entry would be packed at zlib's own level.
    setattr(
        entry,
        "compress_level" if hasattr(entry, "compress_level") else "_compresslevel",
        archive.compresslevel,
    )
    return entry
