"""Bring the languages' files up to the catalogue: ``python tools/catalogue.py [SUBJECT…]``.

Each text of ``tackside.messages.texts`` gets its entry in ``locale/LANGUAGE/SUBJECT.po``: new ones empty, to be
translated; those that nothing says any more are taken out. Prints how many are still empty.
"""

from __future__ import annotations

import sys
from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po, write_po

from tackside.messages import catalogue
from tackside.messages.catalogue import Plural, strings_in
from tackside.messages.languages import LANGUAGES

# The head of a .po file asks for a date.
DATED = datetime(2026, 1, 1, tzinfo=UTC)
LOCALE = Path(catalogue.__file__).parent / "locale"


def merged(subject: str, language: str, before: Catalog | None) -> Catalog:
    """The subject's texts with what was translated before."""
    made = Catalog(locale=language, header_comment=f"# {LANGUAGES[language]}: {subject}", fuzzy=False)
    made.creation_date = made.revision_date = DATED  # the same catalogue gives the same file
    for code, entry in catalogue.texts_of(subject).items():
        for text in strings_in(entry):
            key = (text.one, text.many) if isinstance(text, Plural) else text
            old = before.get(text.one if isinstance(text, Plural) else text, context=code) if before else None
            plural = isinstance(text, Plural)
            kept = old.string if old is not None and isinstance(old.string, tuple) == plural else None
            made.add(key, kept or (("", "") if plural else ""), context=code)
    return made


def missing(translated: Catalog) -> list[str]:
    """The codes of texts that have no translation."""
    return [
        str(each.context)
        for each in translated
        if each.id and not (all(each.string) if isinstance(each.string, tuple) else each.string)
    ]


def main(subjects: Sequence[str]) -> int:
    for language in (each for each in LANGUAGES if each != "en"):
        for subject in subjects or catalogue.subjects():
            file = LOCALE / language / f"{subject}.po"
            before = read_po(file.open("rb"), locale=language) if file.exists() else None
            made = merged(subject, language, before)
            file.parent.mkdir(parents=True, exist_ok=True)
            with file.open("wb") as out:
                write_po(out, made, width=110, omit_header=False, sort_output=False)
            print(f"{language} {subject}: {len(made)} texts, {len(missing(made))} to translate")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
