"""Languages of the interface, by gettext. Messages lie in ``locale/`` as .po files, compiled when first needed."""

from __future__ import annotations

import gettext
from functools import lru_cache
from importlib import resources

from tackside.messages.languages import LANGUAGES, compiled, decimal_sign

__all__ = ["LANGUAGES", "pointed", "preferred", "translations"]


@lru_cache
def translations(language: str) -> gettext.NullTranslations:
    """The messages of a language; English where there are none."""
    if language == "en" or language not in LANGUAGES:
        return gettext.NullTranslations()
    place = resources.files("tackside.web.i18n") / "locale" / language / "tackside.po"
    return compiled(place.read_bytes(), language)


def pointed(number: str, language: str) -> str:
    """A figure with the language's decimal sign."""
    return number.replace(".", decimal_sign(language))


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
