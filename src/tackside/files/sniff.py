"""What a file is, by its first bytes alone; what it was called tells nothing."""

from __future__ import annotations

from pathlib import Path

# First bytes from each format's own specification → suffix.
_SIGNS: tuple[tuple[bytes, str], ...] = (
    (b"II*\0", ".tif"),
    (b"MM\0*", ".tif"),
    (b"II+\0", ".tif"),
    (b"MM\0+", ".tif"),
    (b"\x89PNG\r\n\x1a\n", ".png"),
    (b"\xff\xd8\xff", ".jpg"),
    (b"%PDF-", ".pdf"),
    (b"PK\x03\x04", ".zip"),
)


def suffix_of(path: Path) -> str:
    """``.tif``, ``.png``, ``.jpg``, ``.pdf``, ``.zip``; ``.txt`` for all else."""
    with path.open("rb") as stream:
        head = stream.read(16)
    return next((suffix for sign, suffix in _SIGNS if head.startswith(sign)), ".txt")
