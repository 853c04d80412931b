"""Which files count as pictures, told by their first bytes, before any decoder sees them."""

from __future__ import annotations

from pathlib import Path

from tackside.errors import BadImage

MEND = "export it anew as JPEG, PNG or TIFF"
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
        raise BadImage(f"{path} is a device or a pipe, not a file", "name a picture file")
    try:
        with path.open("rb") as stream:
            head = stream.read(SNIFFED_BYTES)
    except FileNotFoundError as error:
        raise BadImage(f"there is no picture {path}", "check the name and the folder") from error
    except IsADirectoryError as error:
        raise BadImage(f"{path} is a folder", "name a picture file in it") from error
    except OSError as error:
        reason = (error.strerror or "unknown reason").lower()
        raise BadImage(f"{path} cannot be read ({reason})", "check the file and its permissions") from error
    if not head:
        raise BadImage(f"{path} is empty", "copy the picture anew from where it came")
    for offset, signature, kind in SIGNATURES:
        if head[offset : offset + len(signature)] == signature:
            return kind
    raise BadImage(f"{path} is no picture that Tackside can open", MEND)
