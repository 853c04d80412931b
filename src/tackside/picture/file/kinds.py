"""Which files count as pictures, told by their first bytes, before any decoder sees them."""

from __future__ import annotations

from pathlib import Path

from tackside.errors import BadImage

SNIFFED_BYTES = 32

# First bytes, from each format's own specification. Vector and document files are not pictures here.
SIGNATURES: tuple[tuple[int, bytes, str], ...] = (
    (0, b"\xff\xd8\xff", "JPEG"),
    (0, b"\x89PNG\r\n\x1a\n", "PNG"),
    (0, b"II*\0", "TIFF"),
    (0, b"MM\0*", "TIFF"),
    (0, b"II+\0", "TIFF"),
    (0, b"MM\0+", "TIFF"),
    (8, b"WEBP", "WebP"),
    (0, b"GIF87a", "GIF"),
    (0, b"GIF89a", "GIF"),
    (4, b"ftypavif", "AVIF"),
    (4, b"ftypheic", "HEIF"),
    (4, b"ftypheix", "HEIF"),
    (4, b"ftypmif1", "HEIF"),
)


def kind_of(path: Path) -> str:
    """``JPEG``, ``PNG``, ``TIFF``, ``WebP``, ``GIF``, ``AVIF`` or ``HEIF``. Raises BadImage for anything
    else.
    """
    if path.exists() and not path.is_file() and not path.is_dir():
        raise BadImage("picture.no-plain-file", file=str(path))
    try:
        with path.open("rb") as stream:
            head = stream.read(SNIFFED_BYTES)
    except FileNotFoundError as error:
        raise BadImage("picture.missing", file=str(path)) from error
    except IsADirectoryError as error:
        raise BadImage("picture.folder", file=str(path)) from error
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise BadImage("picture.closed", file=str(path), reason=reason) from error
    if not head:
        raise BadImage("picture.empty", file=str(path))
    for offset, signature, kind in SIGNATURES:
        if head[offset : offset + len(signature)] == signature:
            return kind
    raise BadImage("picture.unknown-kind", file=str(path))
