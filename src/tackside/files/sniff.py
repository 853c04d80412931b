"""What a file is, by its first bytes alone; what it was called tells nothing."""

from __future__ import annotations

from pathlib import Path

# First bytes from each format's own specification → suffix, media type.
_SIGNS: tuple[tuple[bytes, str, str], ...] = (
    (b"II*\0", ".tif", "image/tiff"),
    (b"MM\0*", ".tif", "image/tiff"),
    (b"II+\0", ".tif", "image/tiff"),
    (b"MM\0+", ".tif", "image/tiff"),
    (b"\x89PNG\r\n\x1a\n", ".png", "image/png"),
    (b"\xff\xd8\xff", ".jpg", "image/jpeg"),
    (b"%PDF-", ".pdf", "application/pdf"),
    (b"PK\x03\x04", ".zip", "application/zip"),
)


def suffix_of(path: Path) -> str:
    """``.tif``, ``.png``, ``.jpg``, ``.pdf``, ``.zip``; ``.txt`` for all else."""
    return _found(path)[0]


def media_type_of(path: Path) -> str:
    """The media type for a download; unknown bytes are never called text that a browser would show."""
    return _found(path)[1]


def _found(path: Path) -> tuple[str, str]:
    with path.open("rb") as stream:
        head = stream.read(16)
    for sign, suffix, media_type in _SIGNS:
        if head.startswith(sign):
            return suffix, media_type
    return ".txt", "application/octet-stream"
