"""IPP messages as bytes: as RFC 8010 prints them, there and back, and whatever else may come."""

from __future__ import annotations

import contextlib
import struct
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tackside.errors import PrinterTrouble
from tackside.run.ipp.codec import decode, encode
from tackside.run.ipp.values import (
    AttributeGroup,
    Collection,
    IppAttribute,
    IppMessage,
    IppTag,
    IppValue,
    Range,
    Resolution,
    TextWithLanguage,
    attribute,
    collection,
)
from tests.refusals import refused


def field(tag: int, name: str, value: bytes) -> bytes:
    return struct.pack(">BH", tag, len(name)) + name.encode() + struct.pack(">H", len(value)) + value


def test_the_print_job_request_of_the_standard() -> None:
    # RFC 8010 appendix A.1, "Print-Job Request" (docs/sources.md, S90).
    message = IppMessage(
        0x0002,
        1,
        (
            AttributeGroup(
                IppTag.OPERATION,
                (
                    attribute("attributes-charset", IppTag.CHARSET, "utf-8"),
                    attribute("attributes-natural-language", IppTag.NATURAL_LANGUAGE, "en-us"),
                    attribute("printer-uri", IppTag.URI, "ipp://printer.example.com/ipp/print/pinetree"),
                    attribute("job-name", IppTag.NAME, "foobar"),
                    attribute("ipp-attribute-fidelity", IppTag.BOOLEAN, True),
                ),
            ),
            AttributeGroup(
                IppTag.JOB,
                (
                    attribute("copies", IppTag.INTEGER, 20),
                    attribute("sides", IppTag.KEYWORD, "two-sided-long-edge"),
                ),
            ),
        ),
        (1, 1),
    )
    printed = (
        b"\x01\x01\x00\x02\x00\x00\x00\x01\x01"
        b"\x47\x00\x12attributes-charset\x00\x05utf-8"
        b"\x48\x00\x1battributes-natural-language\x00\x05en-us"
        b"\x45\x00\x0bprinter-uri\x00\x2cipp://printer.example.com/ipp/print/pinetree"
        b"\x42\x00\x08job-name\x00\x06foobar"
        b"\x22\x00\x16ipp-attribute-fidelity\x00\x01\x01"
        b"\x02"
        b"\x21\x00\x06copies\x00\x04\x00\x00\x00\x14"
        b"\x44\x00\x05sides\x00\x13two-sided-long-edge"
        b"\x03"
    )
    assert encode(message) == printed
    assert decode(printed + b"%!PDF...") == (message, b"%!PDF...")


def test_a_collection_is_coded_as_the_standard_says() -> None:
    # RFC 8010 section 3.1.6 and appendix A.4: begin, then memberAttrName and value in turn, end (docs/sources.md, S90).
    size = collection(
        attribute("x-dimension", IppTag.INTEGER, 6), attribute("y-dimension", IppTag.INTEGER, 4)
    )
    media = collection(
        attribute("media-color", IppTag.KEYWORD, "blue"), attribute("media-size", IppTag.COLLECTION, size)
    )
    coded = encode(
        IppMessage(2, 1, (AttributeGroup(IppTag.JOB, (attribute("media-col", IppTag.COLLECTION, media),)),))
    )
    assert coded[8:] == (
        b"\x02"
        + field(0x34, "media-col", b"")
        + field(0x4A, "", b"media-color")
        + field(0x44, "", b"blue")
        + field(0x4A, "", b"media-size")
        + field(0x34, "", b"")
        + field(0x4A, "", b"x-dimension")
        + field(0x21, "", b"\x00\x00\x00\x06")
        + field(0x4A, "", b"y-dimension")
        + field(0x21, "", b"\x00\x00\x00\x04")
        + field(0x37, "", b"")
        + field(0x37, "", b"")
        + b"\x03"
    )


words = st.text(max_size=40)
names = st.from_regex(r"[a-z][a-z0-9-]{0,30}", fullmatch=True)
numbers = st.integers(-(2**31), 2**31 - 1)
simple = st.one_of(
    st.builds(IppValue, st.sampled_from([IppTag.INTEGER, IppTag.ENUM]), numbers),
    st.builds(IppValue, st.just(IppTag.BOOLEAN), st.booleans()),
    st.builds(
        IppValue, st.just(IppTag.RESOLUTION), st.builds(Resolution, numbers, numbers, st.integers(-128, 127))
    ),
    st.builds(IppValue, st.just(IppTag.RANGE), st.builds(Range, numbers, numbers)),
    st.builds(
        IppValue,
        st.sampled_from([IppTag.TEXT_WITH_LANGUAGE, IppTag.NAME_WITH_LANGUAGE]),
        st.builds(TextWithLanguage, words, words),
    ),
    st.builds(
        IppValue,
        st.sampled_from(
            [IppTag.TEXT, IppTag.NAME, IppTag.KEYWORD, IppTag.URI, IppTag.MIME_TYPE, IppTag.CHARSET]
        ),
        words,
    ),
    st.builds(IppValue, st.just(IppTag.OCTETS), st.binary(max_size=40)),
    st.builds(IppValue, st.just(IppTag.DATE_TIME), st.binary(min_size=11, max_size=11)),
    st.builds(IppValue, st.sampled_from([IppTag.UNSUPPORTED, IppTag.UNKNOWN, IppTag.NO_VALUE]), st.none()),
    st.builds(IppValue, st.integers(0x50, 0x7E), st.binary(max_size=40)),  # tags of times to come
)


def grown(inner: st.SearchStrategy[IppValue]) -> st.SearchStrategy[IppValue]:
    member = st.tuples(names, st.lists(inner, min_size=1, max_size=3).map(tuple))
    held = st.lists(member, max_size=4).map(lambda members: Collection(tuple(members)))
    return st.builds(IppValue, st.just(IppTag.COLLECTION), held)


values: st.SearchStrategy[IppValue] = st.recursive(simple, grown, max_leaves=5)
attributes = st.builds(IppAttribute, names, st.lists(values, min_size=1, max_size=4).map(tuple))
groups = st.builds(
    AttributeGroup,
    st.sampled_from([IppTag.OPERATION, IppTag.JOB, IppTag.PRINTER, IppTag.UNSUPPORTED_GROUP]),
    st.lists(attributes, max_size=4).map(tuple),
)
messages = st.builds(
    IppMessage,
    st.integers(0, 0xFFFF),
    st.integers(0, 2**32 - 1),
    st.lists(groups, max_size=4).map(tuple),
    st.tuples(st.integers(0, 255), st.integers(0, 255)),
)


@settings(max_examples=50)
@given(messages, st.binary(max_size=30))
def test_every_message_comes_back_as_it_went(message: IppMessage, document: bytes) -> None:
    assert decode(encode(message) + document) == (message, document)


@given(st.binary(max_size=300))
def test_any_bytes_give_a_message_or_printer_trouble(data: bytes) -> None:
    with contextlib.suppress(PrinterTrouble):
        decode(data)


@settings(max_examples=50)
@given(messages, st.data())
def test_a_message_cut_short_is_told(message: IppMessage, data: st.DataObject) -> None:
    whole = encode(message)
    cut = data.draw(st.integers(0, len(whole) - 1))
    with refused(PrinterTrouble, "ipp.breaks-off"):
        decode(whole[:cut])


@settings(max_examples=50)
@given(messages, st.data())
def test_a_bent_message_gives_a_message_or_printer_trouble(message: IppMessage, data: st.DataObject) -> None:
    bent = bytearray(encode(message))
    for _ in range(data.draw(st.integers(1, 4))):
        bent[data.draw(st.integers(0, len(bent) - 1))] = data.draw(st.integers(0, 255))
    with contextlib.suppress(PrinterTrouble):
        decode(bytes(bent))


HEAD = b"\x02\x00\x00\x00\x00\x00\x00\x01"


@pytest.mark.parametrize(
    ("body", "said"),
    [
        (b"", "breaks off"),
        (b"\x01", "breaks off"),
        (field(0x44, "sides", b"one-sided") + b"\x03", "outside any group"),
        (b"\x01" + field(0x44, "", b"one-sided") + b"\x03", "no attribute before it"),
        (b"\x01" + field(0x21, "copies", b"\x00\x01") + b"\x03", "2 bytes where 4 belong"),
        (b"\x01" + field(0x33, "copies", b"\x00" * 7) + b"\x03", "7 bytes where 8 belong"),
        (b"\x01" + field(0x44, "sides", b"\xff\xfe") + b"\x03", "not UTF-8"),
        (b"\x01\x44\xff\xff", "below nothing"),
        (b"\x01\x44\x00\x05sides\x7f\xff" + b"x", "breaks off"),
        (b"\x01" + field(0x34, "media-col", b"") + b"\x03", "does not end"),
        (b"\x01" + field(0x37, "media-col", b"") + b"\x03", "before it begins"),
        (b"\x01" + field(0x34, "media-col", b"") + field(0x44, "", b"x") + b"\x03", "without a name"),
        (
            b"\x01" + field(0x34, "media-col", b"") + field(0x4A, "", b"x") + field(0x37, "", b"") + b"\x03",
            "without a value",
        ),
        (
            b"\x01" + field(0x34, "a", b"") + (field(0x4A, "", b"a") + field(0x34, "", b"")) * 50 + b"\x03",
            "without end",
        ),
        (b"\x01" + field(0x35, "a", b"\x00\x02en\x00\x01xy") + b"\x03", "longer than it says"),
    ],
)
def test_lies_are_told_for_what_they_are(body: bytes, said: str) -> None:
    with pytest.raises(PrinterTrouble, match=said):
        decode(HEAD + body)


@pytest.mark.parametrize("held", [2**31, -(2**31) - 1])
def test_a_number_too_large_is_never_sent(held: int) -> None:
    with pytest.raises(ValueError, match="32 bits"):
        encode(IppMessage(2, 1, (AttributeGroup(IppTag.JOB, (attribute("copies", IppTag.INTEGER, held),)),)))


def test_a_text_too_long_is_never_sent() -> None:
    long: Any = "x" * 40_000
    with pytest.raises(ValueError, match="32,767"):
        encode(IppMessage(2, 1, (AttributeGroup(IppTag.JOB, (attribute("job-name", IppTag.NAME, long),)),)))
