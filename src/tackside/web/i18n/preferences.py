"""Who looks: their language, their units, light or dark; and how figures are said to them."""

from __future__ import annotations

import gettext
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Literal

from tackside.messages.languages import MANNERS
from tackside.messages.message import Message
from tackside.messages.wording import Units, Wording
from tackside.units import MM_PER_INCH
from tackside.web.i18n.labels import names_in
from tackside.web.i18n.language import LANGUAGES, pointed, preferred, translations

Theme = Literal["auto", "light", "dark"]
UNITS: tuple[Units, ...] = ("mm", "in")
THEMES: tuple[Theme, ...] = ("auto", "light", "dark")
COOKIES = {"language": "tackside_language", "units": "tackside_units", "theme": "tackside_theme"}
# Countries that measure paper in inches; all others are taken to use millimetres.
_INCH_COUNTRIES = ("-us", "-ca")


@cache
def wording_for(language: str, units: Units) -> Wording:
    """How pages word messages in a language and units."""
    return Wording(language=language, units=units, where="page", name_of=names_in(language))


@dataclass(frozen=True)
class Person:
    """One person's wishes, as their browser keeps them."""

    language: str
    units: Units
    theme: Theme
    messages: gettext.NullTranslations

    def say(self, text: str, /, **values: object) -> str:
        """A text of the interface in the person's language, with ``%(name)s`` filled in."""
        told = self.messages.gettext(text)
        return told % values if values else told

    def tell(self, message: Message) -> str:
        """A message of the floors below in the person's language and units."""
        return self.wording.text(message)

    @property
    def wording(self) -> Wording:
        """How messages are put in words on this person's pages."""
        return wording_for(self.language, self.units)

    def count(self, one: str, many: str, number: int, /, **values: object) -> str:
        return self.messages.ngettext(one, many, number) % {"n": number, **values}

    def figure(self, value: float, digits: int = 4) -> str:
        """A plain number with at most so many significant digits."""
        return self.pointed(f"{value:.{digits}g}")

    def fixed(self, value: float, places: int) -> str:
        return self.pointed(f"{value:.{places}f}").replace("-", "−")

    def length(self, mm: float) -> str:
        """A length in the person's unit: 0.01 mm or a thousandth of an inch."""
        return self.wording.length(mm)

    def size(self, size_mm: tuple[float, float]) -> str:
        first, second = (self.length(each).rpartition(" ")[0] for each in size_mm)
        return f"{first} × {second} {self.units}"

    def format(self, name: str | None) -> str:
        """What a sheet or card of that name is called; "" where it has none."""
        return self.messages.gettext(name) if name else ""

    def typed(self, mm: float | None) -> str:
        """A length as it stands in a form, without its unit."""
        if mm is None:
            return ""
        shown = mm / MM_PER_INCH if self.units == "in" else mm
        return f"{shown:.5f}".rstrip("0").rstrip(".")

    def lines(self, told: Sequence[str]) -> str:
        """Several, with semicolons between them."""
        return self.wording.several(told, "lines")

    def inside(self, told: str) -> str:
        """A label as it stands inside a sentence: without its capital, unless the language's nouns keep theirs."""
        return told if MANNERS[self.language].is_noun_capital else told[:1].lower() + told[1:]

    def pointed(self, figure: str) -> str:
        """A figure in Python's form with the language's decimal sign."""
        return pointed(figure, self.language)

    def day(self, moment: datetime) -> str:
        from babel.dates import format_date

        return format_date(moment.astimezone(), "medium", locale=self._locale)

    def moment(self, moment: datetime) -> str:
        from babel.dates import format_datetime

        return format_datetime(moment.astimezone(), "medium", locale=self._locale)

    @property
    def _locale(self) -> str:
        return "en_GB" if self.language == "en" else self.language


def person_of(cookies: Mapping[str, str], accept_language: str) -> Person:
    """The wishes in a browser's cookies; what it asks for itself where there are none."""
    language = cookies.get(COOKIES["language"], "")
    if language not in LANGUAGES:
        language = preferred(accept_language)
    units, theme = cookies.get(COOKIES["units"]), cookies.get(COOKIES["theme"])
    first = accept_language.split(",")[0].lower()
    guess: Units = "in" if first.endswith(_INCH_COUNTRIES) else "mm"
    return Person(
        language=language,
        units=next((each for each in UNITS if each == units), guess),
        theme=next((each for each in THEMES if each == theme), "auto"),
        messages=translations(language),
    )
