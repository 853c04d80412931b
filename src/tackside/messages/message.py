"""A message: a stable code and the values that belong to it. What it says in words stands in the catalogue."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, Any, TypeAlias

from tackside.messages.place import Place

if TYPE_CHECKING:
    from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler, SerializationInfo
    from pydantic_core import CoreSchema

# A number, a length (its name ends in ``_mm``), a name that somebody typed, a place in a record, another message, or
# several of them.
Value: TypeAlias = "str | int | float | Decimal | bool | Message | Place | tuple[Value, ...] | None"

CODE = re.compile(r"[a-z0-9]+(?:-[a-z0-9]+)*(?:\.[a-z0-9]+(?:-[a-z0-9]+)*)+")
# What records kept before messages were data: a sentence and nothing else.
KEPT = "kept.sentence"
# ``record.model_dump(mode="json", context=WITH_WORDS)`` adds the English ``text`` to each message of a record.
WITH_WORDS = {"words": True}


@dataclass(frozen=True, init=False)
class Message:
    """``Message("black.missed", value=28.2, limit=20)``: equal by content, hashable, free of any language.

    The part of ``code`` before the first point names the subject, and so the catalogue's module. Lists become tuples;
    numbers of NumPy become Python's own.
    """

    code: str
    pairs: tuple[tuple[str, Value], ...]

    def __init__(self, code: str, /, **values: Any) -> None:
        if not CODE.fullmatch(code):
            raise ValueError(
                f"{code!r} is no code of a message: small letters and hyphens, parts joined by points"
            )
        object.__setattr__(self, "code", code)
        object.__setattr__(self, "pairs", tuple((name, plain(value)) for name, value in values.items()))

    def __eq__(self, other: object) -> bool:
        if not isinstance(other, Message):
            return NotImplemented
        return self.code == other.code and self.values == other.values

    def __hash__(self) -> int:
        return hash((self.code, frozenset(self.pairs)))

    def __str__(self) -> str:
        """Its English words, as a terminal reads them."""
        from tackside.messages.wording import TERMINAL  # which words messages, and so knows them

        return TERMINAL.text(self)

    @property
    def values(self) -> dict[str, Value]:
        return dict(self.pairs)

    def value(self, name: str) -> Value:
        """The value of that name; None where there is none."""
        return self.values.get(name)

    def with_values(self, **values: Any) -> Message:
        """The same message with more values, or others."""
        return Message(self.code, **{**self.values, **values})

    def as_data(self) -> dict[str, Any]:
        """As plain JSON values, without any words; ``of_data`` reads it back."""
        return {"code": self.code, "values": {name: plain_data(value) for name, value in self.pairs}}

    @classmethod
    def of_data(cls, data: Any) -> Message:
        """What ``as_data`` wrote; a bare sentence, as earlier versions kept, becomes a message that says it."""
        if isinstance(data, Message):
            return data
        if isinstance(data, str):
            return cls(KEPT, text=data)
        if isinstance(data, Mapping) and isinstance(data.get("code"), str):
            values = data.get("values", {})
            if isinstance(values, Mapping) and all(isinstance(name, str) for name in values):
                return cls(data["code"], **{name: _value_of(value) for name, value in values.items()})
        raise ValueError("a message is a code with its values")

    @classmethod
    def __get_pydantic_core_schema__(cls, _source: Any, _handler: GetCoreSchemaHandler) -> CoreSchema:
        from pydantic_core import core_schema

        return core_schema.no_info_plain_validator_function(
            cls.of_data,
            serialization=core_schema.plain_serializer_function_ser_schema(_serialised, info_arg=True),
        )

    @classmethod
    def __get_pydantic_json_schema__(
        cls, _schema: CoreSchema, _handler: GetJsonSchemaHandler
    ) -> dict[str, Any]:
        return {
            "title": "Message",
            "description": "A code with its values; in English where there is a text.",
            "type": "object",
            "properties": {
                "code": {"type": "string"},
                "values": {"type": "object"},
                "text": {"type": "string"},
            },
            "required": ["code", "values"],
        }


def plain(value: Any) -> Value:
    """A value in the kinds that messages hold."""
    if value is None or isinstance(value, (str, bool, int, Decimal, Message, Place)):
        return value
    if isinstance(value, float):
        return float(value)
    if isinstance(value, Sequence):
        return tuple(plain(each) for each in value)
    if hasattr(value, "tolist"):  # a number or an array of NumPy's, which this floor does not import
        return plain(value.tolist())
    raise TypeError(f"{type(value).__name__} is no kind of value that a message holds")


def _serialised(message: Message, info: SerializationInfo) -> dict[str, Any]:
    context = info.context
    return (
        {**message.as_data(), "text": str(message)} if context and context.get("words") else message.as_data()
    )


def plain_data(value: Value) -> Any:
    """A value as plain JSON data."""
    if isinstance(value, Message):
        return value.as_data()
    if isinstance(value, Place):
        return {"record": value.kind, "path": list(value.path)}
    if isinstance(value, tuple):
        return [plain_data(each) for each in value]
    return str(value) if isinstance(value, Decimal) else value


def _value_of(data: Any) -> Any:
    if isinstance(data, Mapping):
        if "record" in data:
            return Place(str(data["record"]), tuple(data.get("path", ())))
        return Message.of_data(data)
    return tuple(_value_of(each) for each in data) if isinstance(data, list) else data


def place_of_data(data: Any) -> Place | None:
    """The place that ``plain_data`` made this of; None where there was none."""
    return Place(str(data["record"]), tuple(data.get("path", ()))) if data else None
