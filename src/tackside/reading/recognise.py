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
    raise BadImage(
        f"{path.name} is {'empty' if not head else 'neither a scan nor an instrument file'}",
        "give a scan as TIFF, PNG or JPEG, or an instrument file as CGATS text or CxF",
    )


def _head(path: Path) -> bytes:
    if path.is_dir():
        raise BadImage(f"{path} is a folder", "name the file itself")
    if path.exists() and not path.is_file():  # a pipe or a device, which may have no end
        raise BadImage(f"{path} is no ordinary file", "save it to the disk first")
    try:
        with path.open("rb") as stream:
            return stream.read(HEAD_BYTES)
    except FileNotFoundError as error:
        raise BadImage(f"there is no file {path}", "check the name and the folder") from error
    except OSError as error:
        raise BadImage(
            f"{path} cannot be read: {error.strerror or error}", "check its permissions and the disk"
        ) from error
