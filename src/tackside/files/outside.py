"""The one way in for files that others made: a plain file under a name that can be, no larger than its kind is taken.

A pipe, a device or a folder is refused before it is opened: a pipe may keep a reader waiting for ever, and a device
may have no end. What is read is the file that was looked at, even where another is put in its place meanwhile.

What a file is, its first bytes alone tell; what it was called tells nothing.
"""

from __future__ import annotations

import os
import stat
from dataclasses import dataclass
from io import BufferedReader
from pathlib import Path

from tackside.errors import BadImage, BadRequest, StorageTrouble, TacksideError
from tackside.files.reasons import reason_of
from tackside.messages.message import Message

# What the common file systems take: NAME_MAX and PATH_MAX of POSIX as Linux has them; bytes of UTF-8.
LONGEST_NAME_BYTES, LONGEST_PATH_BYTES = 255, 4095
_LONGEST_SHOWN = 300
# A pipe whose other end nobody holds is then opened at once, and closed again; no plain file heeds it.
_FLAGS = os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)


@dataclass(frozen=True)
class Intake:
    """How files of one kind are opened. What they are refused with is an ``error``, and of these codes where they are
    given: ``missing`` and ``folder`` (value ``file``), ``too_large`` (``file``, ``limit_mb``).

    ``most_bytes``: what a file of that kind may have; None for any size. ``bare``: say the file's name alone.
    """

    error: type[TacksideError] = StorageTrouble
    missing: str = ""
    folder: str = ""
    too_large: str = ""
    most_bytes: int | None = None
    bare: bool = False

    def require(self, path: Path) -> os.stat_result:
        """The state of a plain file. Raises ``error``."""
        fault = fault_of_name(path)
        if fault is not None:
            raise self._refused(path, fault)
        try:
            found = path.stat()
        except OSError as error:
            raise self._of(error, path) from error
        self._require_plain(found, path)
        return found

    def open(self, path: Path) -> BufferedReader:
        """A plain file's bytes, as a stream from their beginning. Raises ``error``."""
        self.require(path)
        try:
            descriptor = os.open(path, _FLAGS)
        except OSError as error:
            raise self._of(error, path) from error
        try:
            self._require_plain(os.fstat(descriptor), path)
            return os.fdopen(descriptor, "rb")
        except BaseException:
            os.close(descriptor)
            raise

    def head(self, path: Path, count: int) -> bytes:
        """The first ``count`` bytes, or what there is of them. Raises ``error``."""
        return self._read(path, count)

    def read(self, path: Path) -> bytes:
        """All bytes. Raises ``error``."""
        if self.most_bytes is None:
            return self._read(path, -1)
        data = self._read(path, self.most_bytes + 1)  # it may have grown since
        if len(data) > self.most_bytes:
            raise self._too_large(path, self.most_bytes)
        return data

    def _read(self, path: Path, count: int) -> bytes:
        with self.open(path) as stream:
            try:
                return stream.read(count)
            except OSError as error:
                raise self._of(error, path) from error

    def _require_plain(self, found: os.stat_result, path: Path) -> None:
        if stat.S_ISDIR(found.st_mode):
            if self.folder:
                raise self.error(self.folder, file=self._called(path))
            raise self._refused(path, Message("file.is-folder"))
        if not stat.S_ISREG(found.st_mode):
            raise self._refused(path, Message("file.is-pipe-or-device"))
        if self.most_bytes is not None and found.st_size > self.most_bytes:
            raise self._too_large(path, self.most_bytes)

    def _of(self, error: OSError, path: Path) -> TacksideError:
        if isinstance(error, FileNotFoundError) and self.missing:
            return self.error(self.missing, file=self._called(path))
        return self._refused(path, reason_of(error))

    def _too_large(self, path: Path, most_bytes: int) -> TacksideError:
        limit_mb = most_bytes // 1_000_000
        if self.too_large:
            return self.error(self.too_large, file=self._called(path), limit_mb=limit_mb)
        return self._refused(path, Message("file.larger-than-taken", limit_mb=limit_mb))

    def _refused(self, path: Path, reason: Message) -> TacksideError:
        return self.error("file.cannot-read", file=self._called(path), reason=reason)

    def _called(self, path: Path) -> str:
        return shown(path.name if self.bare else path)


PICTURE = Intake(BadImage, missing="picture.missing", folder="picture.folder")
SCAN = Intake(BadImage, missing="reading.file-missing", folder="reading.folder")


def fault_of_name(path: str | os.PathLike[str]) -> Message | None:
    """Why nothing can be called so: a name that is too long, or holds a NUL; None where it can be."""
    text = os.fspath(path)
    if "\0" in text:
        return Message("file.name-holds-nul")
    try:
        whole, parts = os.fsencode(text), map(os.fsencode, Path(text).parts)
    except UnicodeEncodeError:
        return Message("file.name-not-text")
    if len(whole) > LONGEST_PATH_BYTES or any(len(part) > LONGEST_NAME_BYTES for part in parts):
        return Message("file.name-too-long")
    return None


def require_name(path: str | os.PathLike[str]) -> None:
    """Raises BadRequest where no file, folder or output can be called so."""
    fault = fault_of_name(path)
    if fault is not None:
        raise BadRequest("file.cannot-use", file=shown(path), reason=fault)


def as_text(name: str) -> str:
    """A file's name as records keep it: bytes of it that are no text in this system's encoding are �."""
    return name.encode("utf-8", "surrogateescape").decode("utf-8", "replace")


def shown(path: str | os.PathLike[str]) -> str:
    """A path as it is said: of one that no screen holds, beginning and end."""
    text = os.fspath(path)
    return (
        text
        if len(text) <= _LONGEST_SHOWN
        else f"{text[: _LONGEST_SHOWN // 2]}…{text[-_LONGEST_SHOWN // 4 :]}"
    )


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
_SNIFFED_BYTES = 256
# ISO/IEC 23008-12, annex B.4: brands of pictures packed as HEVC (H.265), by their first letters.
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
