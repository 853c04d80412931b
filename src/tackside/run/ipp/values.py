"""What an IPP message holds: groups of attributes, attributes of values (RFC 8010, 3.5; RFC 8011, 5.1)."""

from __future__ import annotations

from dataclasses import dataclass
from enum import IntEnum
from typing import NamedTuple


class IppTag(IntEnum):
    """Delimiter and value tags, by their numbers in RFC 8010 sections 3.5.1 and 3.5.2."""

    OPERATION = 0x01
    JOB = 0x02
    END = 0x03
    PRINTER = 0x04
    UNSUPPORTED_GROUP = 0x05

    UNSUPPORTED = 0x10
    UNKNOWN = 0x12
    NO_VALUE = 0x13
    INTEGER = 0x21
    BOOLEAN = 0x22
    ENUM = 0x23
    OCTETS = 0x30
    DATE_TIME = 0x31
    RESOLUTION = 0x32
    RANGE = 0x33
    COLLECTION = 0x34
    TEXT_WITH_LANGUAGE = 0x35
    NAME_WITH_LANGUAGE = 0x36
    END_COLLECTION = 0x37
    TEXT = 0x41
    NAME = 0x42
    KEYWORD = 0x44
    URI = 0x45
    URI_SCHEME = 0x46
    CHARSET = 0x47
    NATURAL_LANGUAGE = 0x48
    MIME_TYPE = 0x49
    MEMBER_NAME = 0x4A


# The first sixteen tags begin or end a group, the rest begin a value.
LAST_DELIMITER = 0x0F


class Resolution(NamedTuple):
    """Across and along the feed; ``units`` 3 is dots an inch, 4 dots a centimetre."""

    across: int
    along: int
    units: int


class Range(NamedTuple):
    """From ``low`` to ``high``, both in it."""

    low: int
    high: int


class TextWithLanguage(NamedTuple):
    """A text or name with its language."""

    language: str
    text: str


@dataclass(frozen=True)
class Collection:
    """Named members, each with its values, in order (RFC 8010 section 3.1.6)."""

    members: tuple[tuple[str, tuple[IppValue, ...]], ...]

    def get(self, name: str) -> tuple[Held, ...]:
        """The values of a member; none where it is not there."""
        return next(
            (tuple(value.held for value in values) for each, values in self.members if each == name), ()
        )


Held = int | bool | str | bytes | Resolution | Range | TextWithLanguage | Collection | None


@dataclass(frozen=True)
class IppValue:
    """One value and its tag. Values of a tag not in ``IppTag`` are kept as bytes under its number."""

    tag: int
    held: Held


@dataclass(frozen=True)
class IppAttribute:
    """A name with one value or more."""

    name: str
    values: tuple[IppValue, ...]

    @property
    def plain(self) -> tuple[Held, ...]:
        return tuple(value.held for value in self.values)


@dataclass(frozen=True)
class AttributeGroup:
    """Attributes that belong together; ``tag`` is a delimiter."""

    tag: int
    attributes: tuple[IppAttribute, ...]

    def get(self, name: str) -> tuple[Held, ...]:
        """The values of an attribute; none where it is not there."""
        return next((each.plain for each in self.attributes if each.name == name), ())


@dataclass(frozen=True)
class IppMessage:
    """An IPP message: a request (``code`` is the operation) or a response (``code`` is the status)."""

    code: int
    request_id: int
    groups: tuple[AttributeGroup, ...]
    version: tuple[int, int] = (2, 0)

    def group(self, tag: int) -> AttributeGroup:
        """The first group of that tag; an empty one where there is none."""
        return next((each for each in self.groups if each.tag == tag), AttributeGroup(tag, ()))


def attribute(name: str, tag: IppTag, *held: Held) -> IppAttribute:
    return IppAttribute(name, tuple(IppValue(tag, each) for each in held))


def collection(*members: IppAttribute) -> Collection:
    """A collection from its member attributes."""
    return Collection(tuple((member.name, member.values) for member in members))
