"""The fonts of a run's papers: the shipped ones, then those that the run names, then this computer's."""

from __future__ import annotations

import unicodedata
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from pathlib import Path

from tackside.card.type.fonts import FontShelf
from tackside.card.type.system_fonts import font_folders
from tackside.card.type.typeface import Typeface, typeface_from

_MOST_NAMED = 6


@dataclass(frozen=True)
class PaperFonts:
    """``more`` are the fonts to set in beside the shipped ones; ``warnings`` what a person should know of them."""

    more: tuple[Typeface, ...] = ()
    warnings: tuple[str, ...] = ()


def fonts_for(
    texts: Iterable[str], own: Sequence[Path] = (), folders: Sequence[Path] | None = None
) -> PaperFonts:
    """The fonts that ``texts`` take. ``own`` are font files to ask before this computer's, which lie in ``folders``.

    Raises BadRecord for a file of ``own`` that is no font, or may not be put into a file.
    """
    named = {path.name: typeface_from(path) for path in own}
    shelf = FontShelf(named, font_folders() if folders is None else tuple(folders))
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
    return PaperFonts(tuple(used.values()), (*_said_of_borrowed(borrowed), *_said_of_lacking(list(lacking))))


def _said_of_borrowed(borrowed: dict[str, str]) -> list[str]:
    return [
        f"{_called(character)} and its like are set in {family}, a font of this computer; "
        "another may set them otherwise"
        for family, character in borrowed.items()
    ]


def _said_of_lacking(characters: list[str]) -> list[str]:
    if not characters:
        return []
    more = f" and {len(characters) - _MOST_NAMED} more" if len(characters) > _MOST_NAMED else ""
    named = ", ".join(map(_called, characters[:_MOST_NAMED]))
    return [
        f"no font at hand has {named}{more}, so a mark stands in its place: name a font file that has it, "
        'fonts = ["FILE.ttf"] under [labels] in the run file'
    ]


def _called(character: str) -> str:
    return f"{character} ({unicodedata.name(character, 'a character')}, U+{ord(character):04X})"
