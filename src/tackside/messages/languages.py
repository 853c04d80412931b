"""Languages by gettext: a .po file for each subject of the catalogue, compiled when first needed.

Gettext, because the pages' own words are kept so already, English stands in the code that says it, and translators'
programs know the form. A text's context is its code, so two codes may share an English text and differ elsewhere.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:  # what only other languages need stays off the way of a command that starts
    import gettext
    from importlib.resources.abc import Traversable

# What the catalogue itself is written in: in English nothing here is asked.
ENGLISH = "en"


@dataclass(frozen=True)
class Manner:
    """What a language calls itself, and how it joins the parts of a sentence, which locale data do not tell.

    ``and_`` and ``or_`` stand before the last of several. ``before_semicolon`` and ``before_colon`` are the spaces that
    its printers set before these signs. ``is_noun_capital``: nouns keep their capital inside a sentence.
    """

    name: str
    and_: str
    or_: str
    before_semicolon: str = ""
    before_colon: str = ""
    is_noun_capital: bool = False


# Code → how it speaks. One line makes a language known; its texts are files (docs/languages.md).
MANNERS = {
    ENGLISH: Manner("English", "and", "or"),
    "de": Manner("Deutsch", "und", "oder", is_noun_capital=True),
    # A narrow and a wide no-break space, as French printers set them.
    "fr": Manner("Français", "et", "ou", before_semicolon="\u202f", before_colon="\u00a0"),
}
# Code → its name in itself.
LANGUAGES = {code: manner.name for code, manner in MANNERS.items()}


def locale_file(language: str, subject: str) -> Traversable:
    from importlib import resources

    return resources.files("tackside.messages") / "locale" / language / f"{subject}.po"


@lru_cache
def translations(language: str, subject: str) -> gettext.NullTranslations | None:
    """A subject's texts in a language; None where there are none."""
    if language not in LANGUAGES:
        return None
    file = locale_file(language, subject)
    return compiled(file.read_bytes(), language) if file.is_file() else None


def compiled(po: bytes, language: str) -> gettext.GNUTranslations:
    """A .po file's bytes as a catalogue that answers."""
    import gettext
    import io

    from babel.messages.mofile import write_mo
    from babel.messages.pofile import read_po

    binary = io.BytesIO()
    write_mo(binary, read_po(io.BytesIO(po), locale=language))
    binary.seek(0)
    return gettext.GNUTranslations(binary)


@lru_cache
def decimal_sign(language: str) -> str:
    from babel.numbers import get_decimal_symbol

    return get_decimal_symbol(language)


@lru_cache
def group_sign(language: str) -> str:
    """What stands between thousands."""
    from babel.numbers import get_group_symbol

    return get_group_symbol(language)
