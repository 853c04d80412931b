"""What is told to people, as data: a stable code, the English text once, and the values that fill it.

Whoever shows a message words it in the reader's language. Nothing looks into the words: code and values say it all.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

# A number is written the reader's way, a message in the reader's language; several messages are listed.
Value: TypeAlias = "str | float | Message | tuple[Message, ...]"


def _as_it_is(text: str) -> str:
    return text


def _plain(number: float) -> str:
    return f"{number:g}"


@dataclass(frozen=True)
class Message:
    """``code`` is for programs and stays; ``text`` is English, with ``%(name)s`` for each of ``values``.

    Equal by content. Where there are no values, a ``%`` in the text is only a per cent sign.
    """

    code: str
    text: str
    values: Mapping[str, Value] = field(default_factory=dict, hash=False)

    def worded(
        self,
        translate: Callable[[str], str] = _as_it_is,
        number: Callable[[float], str] = _plain,
    ) -> str:
        """The text, each text on the way through ``translate`` and each number through ``number``."""
        text = translate(self.text)
        if not self.values:
            return text
        return text % {name: _filled(value, translate, number) for name, value in self.values.items()}

    def __str__(self) -> str:
        return self.worded()


def _filled(value: Value, translate: Callable[[str], str], number: Callable[[float], str]) -> str:
    if isinstance(value, str):
        return value
    if isinstance(value, Message):
        return value.worded(translate, number)
    if isinstance(value, tuple):
        return "; ".join(each.worded(translate, number) for each in value)
    return number(value)
