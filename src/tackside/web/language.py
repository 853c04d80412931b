"""Languages of the interface, by gettext. Messages lie in ``locale/`` as .po files, compiled when first needed."""

from __future__ import annotations

import gettext
import io
from functools import lru_cache
from importlib import resources

from tackside.messages import Message

# Code → its name in itself. English is what the texts in the code are.
LANGUAGES = {"en": "English", "de": "Deutsch"}


@lru_cache
def translations(language: str) -> gettext.NullTranslations:
    """The messages of a language; English where there are none."""
    if language == "en" or language not in LANGUAGES:
        return gettext.NullTranslations()
    from babel.messages.mofile import write_mo  # only for languages other than English
    from babel.messages.pofile import read_po

    place = resources.files("tackside.web") / "locale" / language / "tackside.po"
    catalogue = read_po(io.BytesIO(place.read_bytes()), locale=language)
    compiled = io.BytesIO()
    write_mo(compiled, catalogue)
    compiled.seek(0)
    return gettext.GNUTranslations(compiled)


def pointed(number: str, language: str) -> str:
    """A figure with the language's decimal sign."""
    return number.replace(".", ",") if language == "de" else number


def worded(message: Message, language: str) -> str:
    """A message of the floors below in a language, its figures too."""
    return message.worded(translations(language).gettext, lambda number: pointed(f"{number:g}", language))


def preferred(accept_language: str) -> str:
    """The first language that a browser asks for and that there is; English else."""
    ranked: list[tuple[float, str]] = []
    for part in accept_language[:200].split(","):
        code, _, quality = part.partition(";q=")
        try:
            weight = float(quality) if quality else 1.0
        except ValueError:
            weight = 0.0
        ranked.append((-weight, code.strip().split("-")[0].lower()))
    for _, code in sorted(ranked, key=lambda pair: pair[0]):
        if code in LANGUAGES:
            return code
    return "en"
