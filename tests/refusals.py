"""What is refused, recognised by its code and values."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator
from pathlib import Path

import pytest

from tackside.errors import TacksideError
from tackside.messages.message import Message


class PathNamed:
    """Equal to any path, as text, whose last part is this."""

    def __init__(self, name: str) -> None:
        self._name = name

    def __eq__(self, other: object) -> bool:
        return isinstance(other, str) and Path(other).name == self._name

    def __hash__(self) -> int:
        return hash(self._name)

    def __repr__(self) -> str:
        return f"PathNamed({self._name!r})"


@contextlib.contextmanager
def refused(
    kind: type[TacksideError], code: str, **values: object
) -> Iterator[pytest.ExceptionInfo[TacksideError]]:
    """The block must raise this kind of error, whose innermost fault has this code, and these values among others."""
    with pytest.raises(kind) as caught:
        yield caught
    told = innermost(caught.value.message)
    assert told.code == code, str(caught.value)
    assert {name: told.value(name) for name in values} == values


def innermost(message: Message) -> Message:
    """The fault itself, where others say which file, row or field it comes from."""
    inner = message.value("fault")
    return innermost(inner) if isinstance(inner, Message) else message
