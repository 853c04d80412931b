"""Bytes of an instrument file to text: byte order marks, UTF-16, Latin-1, and no binaries."""

from __future__ import annotations

from pathlib import Path

from tackside.errors import BadInstrumentFile
from tackside.files.outside import Intake

# Charts of a few thousand patches of 36 bands take 2 MB as text and 6 MB as XML; what is far larger is no
# chart, and would fill the memory.
LARGEST_BYTES = 16_000_000

_FILE = Intake(
    BadInstrumentFile,
    missing="instrument.file-missing",
    folder="instrument.folder",
    too_large="instrument.too-large",
    most_bytes=LARGEST_BYTES,
    bare=True,
)
_BYTE_ORDER_MARKS = (
    (b"\xff\xfe\x00\x00", "utf-32-le"),
    (b"\x00\x00\xfe\xff", "utf-32-be"),
    (b"\xef\xbb\xbf", "utf-8"),
    (b"\xff\xfe", "utf-16-le"),
    (b"\xfe\xff", "utf-16-be"),
)
_TEXT_CONTROLS = frozenset("\t\n\r\f\v\x1a\x85")  # \x1a: the end-of-file mark that some old programs leave


def looks_like_instrument_file(data: bytes) -> bool:
    """Whether the first kilobytes look like CGATS or CxF rather than an image; for a caller that has both."""
    head = data[:65536].replace(b"\0", b"").upper()
    return b"BEGIN_DATA" in head or b"NUMBER_OF_" in head or b"CXF" in head


def load_bytes(path: Path) -> bytes:
    """All bytes of ``path``; raises BadInstrumentFile where it is missing, unreadable, empty or too large."""
    name = path.name
    data = _FILE.read(path)
    if not data.strip(b"\0 \t\r\n"):
        raise BadInstrumentFile("instrument.empty", file=name)
    return data


def decode(data: bytes, name: str) -> str:
    """Text with ``\\n`` line ends; UTF by its mark or its look, else UTF-8, else Latin-1."""
    text = _decoded(data, name).replace("\r\n", "\n").replace("\r", "\n").replace("\u2028", "\n")
    controls = sum(1 for letter in text if letter < " " and letter not in _TEXT_CONTROLS)
    if controls:
        raise BadInstrumentFile("instrument.no-text", file=name, count=controls)
    return text


def _decoded(data: bytes, name: str) -> str:
    for mark, encoding in _BYTE_ORDER_MARKS:
        if data.startswith(mark):
            return _strictly(data[len(mark) :], encoding, name)
    if b"\0" in data[:4096]:  # UTF-16 of western text without its mark: every other byte is zero
        return _strictly(data, "utf-16-be" if data[:1] == b"\0" else "utf-16-le", name)
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        return data.decode("latin-1")


def _strictly(data: bytes, encoding: str, name: str) -> str:
    try:
        return data.decode(encoding)
    except UnicodeDecodeError as error:
        raise BadInstrumentFile(
            "instrument.bad-encoding", file=name, encoding=encoding.upper(), byte=error.start
        ) from error
