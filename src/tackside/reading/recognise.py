"""Which kind of file came back from a trial, told by its first bytes and never by its suffix."""

from __future__ import annotations

from pathlib import Path
from typing import Literal

from tackside.errors import BadImage
from tackside.reading.instrument.file import looks_like_instrument_file
from tackside.reading.scan.image_file import is_image

FileKind = Literal["scan", "instrument"]
HEAD_BYTES = 65536


def kind_of(path: Path) -> FileKind:
    """Whether a file is a scan or an instrument file. Raises BadImage for neither, and where it can't be read."""
    head = _head(path)
    if is_image(head):
        return "scan"
    if looks_like_instrument_file(head) or head.lstrip(b"\xef\xbb\xbf\xff\xfe\0 \t\r\n").startswith(b"<"):
        return "instrument"
    raise BadImage("reading.unknown-file" if head else "reading.empty-file", file=path.name)


def _head(path: Path) -> bytes:
    if path.is_dir():
        raise BadImage("reading.folder", file=str(path))
    if path.exists() and not path.is_file():  # a pipe or a device, which may have no end
        raise BadImage("reading.no-ordinary-file", file=str(path))
    try:
        with path.open("rb") as stream:
            return stream.read(HEAD_BYTES)
    except FileNotFoundError as error:
        raise BadImage("reading.file-missing", file=str(path)) from error
    except OSError as error:
        raise BadImage(
            "reading.cannot-be-read", file=str(path), reason=error.strerror or str(error)
        ) from error
