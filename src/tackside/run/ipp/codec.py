"""IPP messages as bytes (RFC 8010 section 3). Whatever comes in, there comes a message, or PrinterTrouble."""

from __future__ import annotations

import struct

from tackside.errors import PrinterTrouble
from tackside.run.ipp.values import (
    LAST_DELIMITER,
    AttributeGroup,
    Collection,
    Held,
    IppAttribute,
    IppMessage,
    IppTag,
    IppValue,
    Range,
    Resolution,
    TextWithLanguage,
)

_NUMBERS = {IppTag.INTEGER, IppTag.ENUM}
_OUT_OF_BAND = {IppTag.UNSUPPORTED, IppTag.UNKNOWN, IppTag.NO_VALUE}
_STRINGS = {
    IppTag.TEXT,
    IppTag.NAME,
    IppTag.KEYWORD,
    IppTag.URI,
    IppTag.URI_SCHEME,
    IppTag.CHARSET,
    IppTag.NATURAL_LANGUAGE,
    IppTag.MIME_TYPE,
    IppTag.MEMBER_NAME,
}
_WORDED = {IppTag.TEXT_WITH_LANGUAGE, IppTag.NAME_WITH_LANGUAGE}
_DEEPEST = 16  # collections in collections; the standards go three deep
_LONGEST = 0x7FFF  # a length is a signed 16-bit number


def encode(message: IppMessage) -> bytes:
    """A message as bytes; a document may follow. Raises ValueError where a value does not fit its tag."""
    parts = [struct.pack(">BBHI", *message.version, message.code, message.request_id)]
    for group in message.groups:
        parts.append(bytes([group.tag]))
        for each in group.attributes:
            for number, value in enumerate(each.values):
                _put(parts, each.name if number == 0 else "", value)
    parts.append(bytes([IppTag.END]))
    return b"".join(parts)


def decode(data: bytes) -> tuple[IppMessage, bytes]:
    """The message at the start of ``data``, and what follows it. Raises PrinterTrouble."""
    reader = _Reader(data)
    major, minor, code, request_id = struct.unpack(">BBHI", reader.take(8))
    groups: list[AttributeGroup] = []
    tag = reader.byte()
    while tag != IppTag.END:
        if tag > LAST_DELIMITER or tag == 0:
            raise PrinterTrouble("ipp.attribute-outside-groups")
        found, next_tag = _attributes(reader)
        groups.append(AttributeGroup(tag, found))
        tag = next_tag
    return IppMessage(code, request_id, tuple(groups), (major, minor)), data[reader.at :]


class _Reader:
    def __init__(self, data: bytes) -> None:
        self._data = data
        self.at = 0

    def take(self, count: int) -> bytes:
        end = self.at + count
        if end > len(self._data):
            raise PrinterTrouble("ipp.breaks-off")
        taken = self._data[self.at : end]
        self.at = end
        return taken

    def byte(self) -> int:
        return self.take(1)[0]

    def sized(self) -> bytes:
        length = int(struct.unpack(">h", self.take(2))[0])
        if length < 0:
            raise PrinterTrouble("ipp.negative-length")
        return self.take(length)


def _attributes(reader: _Reader) -> tuple[tuple[IppAttribute, ...], int]:
    """The attributes up to the next delimiter, and that delimiter."""
    found: list[tuple[str, list[IppValue]]] = []
    while True:
        tag = reader.byte()
        if tag <= LAST_DELIMITER:
            return tuple(IppAttribute(name, tuple(values)) for name, values in found), tag
        name = _text(reader.sized())
        value = _value(reader, tag, 0)
        if name:
            found.append((name, [value]))
        elif found:
            found[-1][1].append(value)
        else:
            raise PrinterTrouble("ipp.value-without-attribute")


def _value(reader: _Reader, tag: int, depth: int) -> IppValue:
    body = reader.sized()
    if tag == IppTag.COLLECTION:
        return IppValue(tag, _members(reader, depth + 1))
    if tag in (IppTag.END_COLLECTION, IppTag.MEMBER_NAME):
        raise PrinterTrouble("ipp.collection-not-begun")
    return IppValue(tag, _held(tag, body))


def _members(reader: _Reader, depth: int) -> Collection:
    """Members up to the end of the collection: each a name in a value of its own, then its values."""
    if depth > _DEEPEST:
        raise PrinterTrouble("ipp.collections-too-deep")
    found: list[tuple[str, list[IppValue]]] = []
    while True:
        tag = reader.byte()
        if tag <= LAST_DELIMITER:
            raise PrinterTrouble("ipp.collection-not-ended")
        if reader.sized():
            raise PrinterTrouble("ipp.member-with-a-name")
        if tag == IppTag.END_COLLECTION:
            reader.sized()
            if any(not values for _, values in found):
                raise PrinterTrouble("ipp.member-without-value")
            return Collection(tuple((name, tuple(values)) for name, values in found))
        if tag == IppTag.MEMBER_NAME:
            found.append((_text(reader.sized()), []))
        elif found:
            found[-1][1].append(_value(reader, tag, depth))
        else:
            raise PrinterTrouble("ipp.value-without-name")


def _held(tag: int, body: bytes) -> Held:
    if tag in _NUMBERS:
        return int(struct.unpack(">i", _exactly(body, 4))[0])
    if tag == IppTag.BOOLEAN:
        return bool(_exactly(body, 1)[0])
    if tag == IppTag.RESOLUTION:
        return Resolution(*struct.unpack(">iib", _exactly(body, 9)))
    if tag == IppTag.RANGE:
        return Range(*struct.unpack(">ii", _exactly(body, 8)))
    if tag == IppTag.DATE_TIME:
        return _exactly(body, 11)
    if tag in _OUT_OF_BAND:
        return None
    if tag in _WORDED:
        inner = _Reader(body)
        language, text = _text(inner.sized()), _text(inner.sized())
        if inner.at != len(body):
            raise PrinterTrouble("ipp.text-longer-than-said")
        return TextWithLanguage(language, text)
    return _text(body) if tag in _STRINGS else body


def _put(parts: list[bytes], name: str, value: IppValue) -> None:
    encoded = name.encode()
    if isinstance(value.held, Collection):
        parts.append(bytes([value.tag]) + _sized(encoded) + _sized(b""))
        for member, values in value.held.members:
            parts.append(bytes([IppTag.MEMBER_NAME]) + _sized(b"") + _sized(member.encode()))
            for each in values:
                _put(parts, "", each)
        parts.append(bytes([IppTag.END_COLLECTION]) + _sized(b"") + _sized(b""))
        return
    parts.append(bytes([value.tag]) + _sized(encoded) + _sized(_body(value)))


def _body(value: IppValue) -> bytes:
    tag, held = value.tag, value.held
    if held is None:
        return b""
    if isinstance(held, bool):
        return bytes([held])
    if isinstance(held, int):
        try:
            return struct.pack(">i", held)
        except struct.error as error:
            raise ValueError(f"{held} does not fit in 32 bits") from error
    if isinstance(held, Resolution):
        return struct.pack(">iib", *held)
    if isinstance(held, Range):
        return struct.pack(">ii", *held)
    if isinstance(held, TextWithLanguage):
        return _sized(held.language.encode()) + _sized(held.text.encode())
    if isinstance(held, str):
        return held.encode()
    if isinstance(held, bytes):
        return held
    raise ValueError(f"a collection under the tag {tag:#x}")


def _sized(body: bytes) -> bytes:
    if len(body) > _LONGEST:
        raise ValueError("a value longer than 32,767 bytes")
    return struct.pack(">h", len(body)) + body


def _exactly(body: bytes, length: int) -> bytes:
    if len(body) != length:
        raise PrinterTrouble("ipp.wrong-length", found=len(body), wanted=length)
    return body


def _text(body: bytes) -> str:
    try:
        return body.decode("utf-8")
    except UnicodeDecodeError as error:
        raise PrinterTrouble("ipp.not-utf-8") from error
