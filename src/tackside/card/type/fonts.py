"""The fonts at hand for a card, and which of them sets which character."""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from tackside.card.file.design import Card, own_field, refuse_outside
from tackside.card.type.system_fonts import font_folders, system_face
from tackside.card.type.typeface import Typeface, typeface, typeface_from
from tackside.errors import BadRecord
from tackside.files.suggest import nearest
from tackside.messages.place import Place
from tackside.sheet.page.text import FACES

# Characters that HarfBuzz sets with another one where a font lacks them (hb-ot-shape-normalize).
_STAND_INS = {"\u00a0": " ", "\u2011": "\u2010"}


@dataclass(frozen=True)
class Missing:
    """A character that no font at hand has; ``place`` counts from 0. ``cluster`` is the whole letter, as it is seen,
    that it is part of, from ``start`` on."""

    character: str
    place: int
    cluster: str
    start: int


@dataclass(frozen=True)
class Fonts:
    """The shipped fonts, those that a card names, and those of this computer, in the order they are asked.

    ``named`` are the card's own by name; ``folders`` are where this computer's fonts lie: () to do without, None where
    they usually lie.
    """

    named: Mapping[str, Typeface] = field(default_factory=dict)
    folders: tuple[Path, ...] | None = None

    def face(self, name: str) -> Typeface:
        """A font by the name that a text gives. Raises BadRecord."""
        if name in self.named:
            return self.named[name]
        if name in FACES:
            return typeface(name)
        known = [*FACES, *self.named]
        near = nearest(name, known)
        if near is not None:
            raise BadRecord("type.unknown-face-near", place=own_field("face"), name=name, near=near)
        raise BadRecord("type.unknown-face", place=own_field("face"), name=name, faces=tuple(known))

    def fonts_for(self, text: str, face: str) -> tuple[tuple[Typeface, ...], tuple[Missing, ...]]:
        """A font for each character, the same for all that make one seen letter, and what none has."""
        first = self.face(face)
        if all(_covers(first, each) for each in set(text)):
            return (first,) * len(text), ()
        from uniseg.graphemecluster import (  # type: ignore[import-untyped]  # kept off the start-up path
            grapheme_clusters,
        )

        serif = face.startswith("serif")
        fonts: list[Typeface] = []
        missing: list[Missing] = []
        chosen: dict[str, Typeface | None] = {}
        for cluster in grapheme_clusters(text):
            if cluster not in chosen:
                chosen[cluster] = self._font_for(cluster, first, serif=serif)
            font = chosen[cluster]
            if font is None:
                lacked = next((each for each in cluster if not self._anyone_has(each, first)), cluster[-1])
                missing.append(Missing(lacked, len(fonts) + cluster.index(lacked), cluster, len(fonts)))
            fonts += [font or first] * len(cluster)
        return tuple(fonts), tuple(missing)

    def _font_for(self, cluster: str, first: Typeface, *, serif: bool) -> Typeface | None:
        for font in self._own(first, serif=serif):
            if all(_covers(font, each) for each in cluster):
                return font
        needed = next((each for each in cluster if not _covers(first, each)), cluster[0])
        found = self._system_face(needed, serif=serif)
        return found if found and all(_covers(found, each) for each in cluster) else None

    def _own(self, first: Typeface, *, serif: bool) -> list[Typeface]:
        shipped = ("serif", "sans") if serif else ("sans", "serif")
        return [first, *(typeface(each) for each in shipped), *self.named.values()]

    def _anyone_has(self, character: str, first: Typeface) -> bool:
        own = any(_covers(font, character) for font in self._own(first, serif=False))
        return own or self._system_face(character, serif=False) is not None

    def _system_face(self, character: str, *, serif: bool) -> Typeface | None:
        folders = font_folders() if self.folders is None else self.folders
        return system_face(character, folders, serif=serif)


def fonts_of(card: Card) -> Fonts:
    """The fonts at hand for a card. Raises BadRecord for a font file that cannot be used, naming it."""
    named: dict[str, Typeface] = {}
    for number, font in enumerate(card.fonts):
        try:
            refuse_outside(font.file, card.folder)
            named[font.name] = typeface_from(card.folder / font.file, number=font.number)
        except BadRecord as error:
            place = Place("card", ("fonts", number, "file"))
            raise BadRecord("card.in-field", place=place, field=place, fault=error.message) from error
    return Fonts(named)


def _covers(font: Typeface, character: str) -> bool:
    """Whether a font can set a character: it has it, or its parts, or it needs no shape."""
    if font.has(character) or is_silent(character):
        return True
    if character in _STAND_INS or unicodedata.category(character) == "Zs":
        return font.has(_STAND_INS.get(character, " "))
    parts = unicodedata.normalize("NFD", character)
    return len(parts) > 1 and all(font.has(part) for part in parts)


def is_silent(character: str) -> bool:
    """Whether a character steers the text without a shape of its own, so that no font needs it."""
    return unicodedata.category(character) == "Cf" or "\ufe00" <= character <= "\ufe0f"
