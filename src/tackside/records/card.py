"""What a bench keeps of a card: its card file as the command line reads it, and the pictures that it names."""

from __future__ import annotations

from typing import Annotated, ClassVar

from pydantic import Field, StringConstraints

from tackside.messages.message import Message
from tackside.records.base import Record
from tackside.records.stock import Name

Sha256 = Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{64}$")]
Pixels = Annotated[int, Field(gt=0)]


class CardImage(Record):
    """A picture of a card. ``name`` is what the card file calls it, ``sha256`` the kept file itself.

    ``shown_sha256`` is a smaller JPEG of it in sRGB, upright, for the screen, ``small_sha256`` one for lists.
    ``size_px`` is that of the picture itself, upright; ``warnings`` are what opening it told.
    """

    name: Annotated[str, StringConstraints(min_length=1, max_length=200)]
    sha256: Sha256
    shown_sha256: Sha256
    small_sha256: Sha256
    size_px: tuple[Pixels, Pixels]
    warnings: tuple[Message, ...] = ()


class CardTypeface(Record):
    """A font of a card's own. ``name`` is what its texts call it by, ``file`` what the card file calls its file,
    ``sha256`` the kept file itself, ``number`` which font of a collection it is, counted from 1."""

    name: Name
    file: Annotated[str, StringConstraints(min_length=1, max_length=200)]
    sha256: Sha256
    number: Annotated[int, Field(ge=1)] = 1


class KeptCard(Record):
    """A card as it was kept. ``toml`` is its card file, which may hold nothing to print yet."""

    KIND: ClassVar[str] = "kept-card"

    name: Name
    stock: Name
    printer: Name
    toml: Annotated[str, StringConstraints(max_length=200_000)]
    images: tuple[CardImage, ...] = ()
    fonts: tuple[CardTypeface, ...] = ()
