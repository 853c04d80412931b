"""The fonts of a run's papers: the shipped ones, then those that the run names, then this computer's."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from tackside.card.type.fonts import Fonts
from tackside.card.type.typeface import Typeface, typeface_from
from tackside.messages.message import Message

_MOST_NAMED = 6


@dataclass(frozen=True)
class PaperFonts:
    """``more`` are the fonts to set in beside the shipped ones; ``warnings`` what a person should know of them."""

    more: tuple[Typeface, ...] = ()
    warnings: tuple[Message, ...] = ()


def fonts_for(
    texts: Iterable[str], own: Sequence[Path] = (), folders: Sequence[Path] | None = None
) -> PaperFonts:
    """The fonts that ``texts`` take. ``own`` are font files to ask before this computer's, which lie in ``folders``.

    Raises BadRecord for a file of ``own`` that is no font, or may not be put into a file.
    """
    named = {path.name: typeface_from(path) for path in own}
    shelf = Fonts(named, None if folders is None else tuple(folders))
    used: dict[str, Typeface] = {face.key: face for face in named.values()}
    borrowed: dict[str, str] = {}
    lacking: dict[str, None] = {}
    for text in dict.fromkeys(texts):
        fonts, missing = shelf.fonts_for(text, "sans")
        lacking.update(dict.fromkeys(each.character for each in missing))
        for character, font in zip(text, fonts, strict=True):
            if not font.own and character not in lacking:
                used[font.key] = font
                borrowed.setdefault(font.family or font.name, character)
    return PaperFonts(tuple(used.values()), (*_on_borrowed(borrowed), *_on_lacking(list(lacking))))


def _on_borrowed(borrowed: dict[str, str]) -> list[Message]:
    return [
        Message("paper.borrowed", letter=_letter(character), family=family)
        for family, character in borrowed.items()
    ]


def _on_lacking(characters: list[str]) -> list[Message]:
    if not characters:
        return []
    letters, more = [_letter(each) for each in characters[:_MOST_NAMED]], len(characters) - _MOST_NAMED
    if more > 0:
        return [Message("paper.lacking-more", letters=letters, count=more)]
    return [Message("paper.lacking", letters=letters)]


def _letter(character: str) -> Message:
    name, number = unicodedata.name(character, ""), f"{ord(character):04X}"
    if not name:
        return Message("paper.nameless-letter", letter=character, number=number)
    return Message("paper.letter", letter=character, name=name, number=number)
