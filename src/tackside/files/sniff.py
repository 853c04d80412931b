"""What a file is, by its first bytes alone; what it was called tells nothing."""

from __future__ import annotations

from pathlib import Path

from tackside.files.outside import PICTURE

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

# First bytes of pictures, from each format's own specification: where they stand, the bytes, the format.
PICTURES: tuple[tuple[int, bytes, str], ...] = (
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
    *(
        (4, b"ftyp" + brand, "HEIF")
        for brand in (b"heic", b"heix", b"heim", b"heis", b"hevc", b"hevx", b"mif1")
    ),
)
# ISO/IEC 23008-12, annex B.4: brands of pictures packed as HEVC (H.265), by their first letters.
_SNIFFED_BYTES = 256
_HEVC_BRANDS = (b"hei", b"hev")


def picture_kind(head: bytes) -> str | None:
    """``JPEG``, ``PNG``, ``TIFF``, ``WebP``, ``GIF``, ``AVIF`` or ``HEIF``; None for what is none of these."""
    return next((kind for at, sign, kind in PICTURES if head[at : at + len(sign)] == sign), None)


def is_hevc(head: bytes) -> bool:
    """Whether a file that begins with ``head`` is a HEIF picture packed as HEVC, as telephones name ``.heic``.

    ISO/IEC 14496-12, 4.3: a box of its length, its type, the major brand, a version, and the brands it is compatible
    with.
    """
    if head[4:8] != b"ftyp":
        return False
    length = min(int.from_bytes(head[:4], "big"), len(head))
    brands = [head[8:12], *(head[at : at + 4] for at in range(16, length - 3, 4))]
    return any(brand.startswith(_HEVC_BRANDS) for brand in brands)


def is_heic(path: Path) -> bool:
    """``is_hevc`` of a file, by its first bytes. Raises BadImage."""
    return is_hevc(PICTURE.head(path, _SNIFFED_BYTES))


def suffix_of(path: Path) -> str:
    """``.tif``, ``.png``, ``.jpg``, ``.heic``, ``.pdf``, ``.zip``; ``.txt`` for all else. Raises BadImage."""
    head = PICTURE.head(path, _SNIFFED_BYTES)
    if is_hevc(head):
        return ".heic"
    return next((suffix for sign, suffix in _SIGNS if head.startswith(sign)), ".txt")
