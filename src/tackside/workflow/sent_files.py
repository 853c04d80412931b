"""Files that came in under one name and lie under another: whatever is said of them says the name they came by."""

from __future__ import annotations

import contextlib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from tackside.errors import TacksideError
from tackside.files.outside import SCAN, as_text
from tackside.messages.message import KEPT, Message, Value
from tackside.records import Reading

_PDF = b"%PDF-"
# Messages whose values are whole sentences; in all others a file's name is a value of its own.
_SENTENCES = (KEPT, "said.fault")


@dataclass(frozen=True)
class SentFile:
    """A file where it lies, and what the person who sent it calls it. ``is_kept``: the bench has it already."""

    path: Path
    name: str
    is_kept: bool = False

    @property
    def is_document(self) -> bool:
        """Whether it is a PDF, by its first bytes. What cannot be read is for its reader to say."""
        try:
            return SCAN.head(self.path, len(_PDF)) == _PDF
        except TacksideError:
            return False

    @classmethod
    def at(cls, path: Path) -> SentFile:
        """A file that lies where the person has it, under the name that they gave it."""
        return cls(path, as_text(path.name))


def names_of(files: Sequence[SentFile]) -> dict[str, str]:
    """Where each file lies, and its name there → what the person calls it. Empty where they are the same."""
    return {
        there: file.name
        for file in files
        if file.path.name != file.name
        for there in (str(file.path), file.path.name)
    }


@contextlib.contextmanager
def under_their_names(files: Sequence[SentFile]) -> Iterator[None]:
    """Errors that name one of the files name it as the person does."""
    names = names_of(files)
    try:
        yield
    except TacksideError as error:
        if not names:
            raise
        raise type(error).saying(renamed(error.message, names), error.place) from error


def renamed(message: Message, names: Mapping[str, str]) -> Message:
    """The message with the person's names of files in its values."""
    is_sentence = message.code in _SENTENCES
    return Message(
        message.code, **{key: _renamed(value, names, is_sentence) for key, value in message.values.items()}
    )


def reading_renamed(reading: Reading, files: Sequence[SentFile]) -> Reading:
    """The reading with its sources and notices under the names that the person gave the files."""
    names = names_of(files)
    if not names:
        return reading
    return reading.model_copy(
        update={
            "source_name": names.get(reading.source_name, reading.source_name),
            "further_sources": tuple(
                source.model_copy(update={"name": names.get(source.name, source.name)})
                for source in reading.further_sources
            ),
            "notices": tuple(renamed(notice, names) for notice in reading.notices),
        }
    )


def _renamed(value: Value, names: Mapping[str, str], is_sentence: bool) -> Value:
    if isinstance(value, Message):
        return renamed(value, names)
    if isinstance(value, tuple):
        return tuple(_renamed(each, names, is_sentence) for each in value)
    if not isinstance(value, str):
        return value
    if is_sentence:
        for there, name in names.items():
            value = value.replace(there, name)
        return value
    return names.get(value, value)
