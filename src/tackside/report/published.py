"""How a published page words what other floors say: in English, and as a page does, since it names no commands."""

from __future__ import annotations

from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.messages.wording import Wording


def _label(place: Place) -> str:
    """A field without its place in a file: the last name of it, as words."""
    name = next((part for part in reversed(place.path) if isinstance(part, str)), place.kind)
    return name.removesuffix("_mm").replace("_", " ").replace("-", " ")


PUBLISHED = Wording(where="page", name_of=_label)


def published(said: Message | str) -> str:
    """A message as a published page has it; words that somebody typed stay as they are."""
    return PUBLISHED.text(said) if isinstance(said, Message) else said
