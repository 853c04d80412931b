"""A message in words: in the reader's language and units, for where it is read.

In a catalogue's text,

    {name}          a value by its kind: text as it is, numbers with up to six digits, messages in words, several of
                    them joined by commas; a value whose name ends in ``_mm`` is a length, or a size where it is two,
                    and comes with its unit
    {name:.1f}      a number by Python's format (``f``, ``g``, ``d``, with ``+`` or ``,``); of a length, how its mm are
    {name:%}        a share as a whole per cent, with its sign; ``{name:.1%}`` with one decimal
    {name:sentences}  several whole sentences, one after the other
    {name:lines}    several, joined by semicolons; ``{name:and}`` and ``{name:or}`` with commas, and the language's
                    "and" or "or" before the last
    {name:money}    an amount in the currency that the message's value ``currency`` names
    {name:fix}      what to do about a message that is itself a fault, as in ``Fault("{file}: {fault}", "{fault:fix}")``

``−`` stands for minus, and the decimal sign is the language's.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from string import Formatter
from typing import Any, Literal, Protocol, runtime_checkable

from tackside.messages.catalogue import Entry, Fault, Plural, Text, Unknown, Where, entry_of
from tackside.messages.languages import ENGLISH, MANNERS, decimal_sign, group_sign, translations
from tackside.messages.place import Place
from tackside.units import MM_PER_INCH

# Control characters but for line break and tab (ECMA-48, C0 and C1, and DEL); line and paragraph separators; what
# overrides or embeds a direction (Unicode Standard Annex 9, table 4), which can make a name read as another.
_STEERING = (
    *(code for code in range(0x20) if code not in (0x09, 0x0A)),
    *range(0x7F, 0xA0), 0x2028, 0x2029, *range(0x202A, 0x202F), *range(0x2066, 0x206A),
)  # fmt: skip
_AS_ESCAPES = {code: f"\\x{code:02x}" if code < 0x100 else f"\\u{code:04x}" for code in _STEERING}
_IN_JSON = {code: f"\\u{code:04x}" for code in _STEERING if code >= 0x7F}

Units = Literal["mm", "in"]
Surroundings = Literal["terminal", "page"]


@runtime_checkable
class Said(Protocol):
    """A message as those see it who word it; ``message.Message`` is one, and knows this module."""

    @property
    def code(self) -> str: ...

    @property
    def pairs(self) -> tuple[tuple[str, Any], ...]: ...

    @property
    def values(self) -> dict[str, Any]: ...

    def value(self, name: str) -> Any: ...

    def as_data(self) -> dict[str, Any]: ...


def key_of(place: Place) -> str:
    """A place as one reads it in a file: ``feeds no. 2: margins_mm.top``, ``open_size_mm (width)``."""
    words = ""
    for number, part in enumerate(place.path):
        if isinstance(part, int):
            holder = next((str(each) for each in reversed(place.path[:number]) if isinstance(each, str)), "")
            last = number == len(place.path) - 1
            of_a_size = "_sizes_mm" if isinstance(place.path[number - 1], int) else "_size_mm"
            edge = holder.endswith(of_a_size) and last and part < 2
            words += f" ({('width', 'height')[part]})" if edge else f" no. {part + 1}"
        elif words:
            words += f": {part}" if isinstance(place.path[number - 1], int) else f".{part}"
        else:
            words = part
    return words or "the file"


@dataclass(frozen=True)
class Wording:
    """How one reader is told: ``name_of`` says what a place in a record is called where they read."""

    language: str = ENGLISH
    units: Units = "mm"
    where: Surroundings = "terminal"
    name_of: Callable[[Place], str] = key_of

    def text(self, message: Said) -> str:
        """The message in words. A fault comes with its fix, after a semicolon."""
        entry = self._entry(message)
        if isinstance(entry, Fault):
            return self.several([self._say(message, entry.what), self._say(message, entry.fix)], "lines")
        return self._say(message, entry)

    def texts(self, messages: Sequence[Said]) -> list[str]:
        return [self.text(each) for each in messages]

    def what(self, message: Said) -> str:
        """What is wrong; of a message that is no fault, all that it says."""
        entry = self._entry(message)
        return self._say(message, entry.what if isinstance(entry, Fault) else entry)

    def fix(self, message: Said) -> str:
        """What to do about it; empty for a message that is no fault."""
        entry = self._entry(message)
        return self._say(message, entry.fix) if isinstance(entry, Fault) else ""

    def number(self, value: float | Decimal, spec: str = "") -> str:
        """A number the reader's way: Python's format, the language's decimal sign, a real minus."""
        text = (
            format(value, spec)
            if spec
            else (str(value) if isinstance(value, (int, Decimal)) else f"{value:.6g}")
        )
        if text.startswith(("-", "−")) and not text.strip("-−0.,"):
            text = text[1:]  # no minus before nothing
        if self.language != ENGLISH:
            text = text.translate(
                {ord("."): decimal_sign(self.language), ord(","): group_sign(self.language)}
            )
        return text.replace("-", "−") if text[:1] == "-" else text

    def money(self, amount: Decimal, currency: str) -> str:
        """An amount of money: with the currency's code in English, else as the locale data of Unicode CLDR have it."""
        if self.language == ENGLISH:
            return f"{self.number(amount)} {currency}"
        from babel.core import Locale
        from babel.numbers import format_currency

        # As many decimals as the amount has: the smallest unit is ISO 4217's, which locale data round.
        places = max(0, -int(amount.as_tuple().exponent))
        pattern = Locale.parse(self.language).currency_formats["standard"].pattern
        pattern = pattern.replace(".00", f".{'0' * places}" if places else "")
        told = format_currency(amount, currency, pattern, self.language, currency_digits=False)
        return told.replace("-", "−")

    def length(self, mm: float, spec: str = "", *, unit: bool = True) -> str:
        """A length in the reader's unit: to 0.01 mm or a thousandth of an inch unless ``spec`` has other digits."""
        if self.units == "in":
            shown = f"{mm / MM_PER_INCH:.3f}".rstrip("0").rstrip(".")
        else:
            shown = format(mm, spec) if spec else f"{mm:.2f}".rstrip("0").rstrip(".")
        told = self.number(Decimal(shown))
        return f"{told} {self.units}" if unit else told

    def _entry(self, message: Said) -> Entry:
        try:
            return entry_of(message.code)
        except Unknown:  # kept by a later version: its code and values are all that can be told
            values = ", ".join(f"{name} {_literal(value)}" for name, value in message.pairs)
            return f"{message.code} ({values})".translate({ord("{"): "{{", ord("}"): "}}"})

    def _say(self, message: Said, text: Text) -> str:
        if isinstance(text, Where):
            text = text.page if self.where == "page" else text.terminal
        told = self._translated(message, text)
        return _Filled(self, message).format(told)

    def _translated(self, message: Said, text: str | Plural) -> str:
        catalogue = None
        if self.language != ENGLISH:
            catalogue = translations(self.language, message.code.partition(".")[0])
        if isinstance(text, str):
            return text if catalogue is None else catalogue.pgettext(message.code, text)
        count = message.value(text.by)
        number = int(count) if isinstance(count, (int, float)) else 2
        if catalogue is None:
            return text.one if number == 1 else text.many
        return catalogue.npgettext(message.code, text.one, text.many, number)

    def several(self, told: Sequence[str], spec: str = "") -> str:
        """Several joined as a text's ``{name:spec}`` would join them."""
        manner = MANNERS.get(self.language, MANNERS[ENGLISH])
        if spec in ("and", "or") and len(told) > 1:
            return f"{', '.join(told[:-1])} {manner.and_ if spec == 'and' else manner.or_} {told[-1]}"
        return {"lines": f"{manner.before_semicolon}; ", "sentences": " "}.get(spec, ", ").join(told)

    def _value(self, name: str, value: Any, spec: str) -> str:
        if isinstance(value, Said):
            return self.fix(value) if spec == "fix" else self.what(value)
        if isinstance(value, Place):
            return self.name_of(value)
        if isinstance(value, tuple):
            if (
                name.endswith("_mm")
                and len(value) == 2
                and not any(isinstance(each, tuple) for each in value)
            ):
                first, second = (self.length(_number(each), spec, unit=False) for each in value)
                return f"{first} × {second} {self.units}"
            return self.several([self._value(name, each, "") for each in value], spec)
        if isinstance(value, bool) or value is None or isinstance(value, str):
            return _literal(value)
        if name.endswith("_mm"):
            return self.length(float(value), spec)
        if spec.endswith("%"):
            return f"{self.number(float(value) * 100, spec[:-1] + 'f' if spec[:-1] else '.0f')} %"
        return self.number(value, spec)


class _Filled(Formatter):
    """Fills a text with a message's values, each said for the reader."""

    def __init__(self, wording: Wording, message: Said) -> None:
        self._wording, self._values = wording, message.values

    def get_value(self, key: int | str, args: Any, kwargs: Any) -> Any:
        return str(key), self._values[str(key)]

    def format_field(self, value: Any, format_spec: str) -> str:
        name, held = value
        if format_spec == "money":
            return self._wording.money(Decimal(str(held)), str(self._values["currency"]))
        return self._wording._value(name, held, format_spec)


def _number(value: object) -> float:
    assert isinstance(value, (int, float, Decimal))
    return float(value)


def _literal(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    return "–" if value is None else visible(str(value))


def visible(text: str) -> str:
    """Text from files and from other people, shown: what steers a terminal, or turns the order of what follows, as
    ``\\x1b`` or ``\\u202e``; line breaks and tabs stay."""
    return text.translate(_AS_ESCAPES)


def visible_json(document: str) -> str:
    """A JSON document whose steering signs are written as JSON's own escapes: it says the same."""
    return document.translate(_IN_JSON)


# English, mm, commands and keys: what scripts and the terminal read.
TERMINAL = Wording()


def document(message: Said) -> dict[str, Any]:
    """The message as JSON has it: ``code``, ``values`` and English ``text``."""
    return {**message.as_data(), "text": TERMINAL.text(message)}


def documents(messages: Sequence[Said]) -> list[dict[str, Any]]:
    return [document(each) for each in messages]


def say_in_words(holder: dict[str, Any], key: str) -> None:
    """Where JSON has always had a sentence under ``key``: its English stays there, ``code`` and ``values`` join it.

    ``holder[key]`` is a message as ``WITH_WORDS`` gives it, or None, which becomes an empty text. Under another key
    than ``sentence`` they are called after it (``remark_code``, ``remark_values``).
    """
    said = holder[key]
    before = "" if key == "sentence" else f"{key}_"
    holder[key] = "" if said is None else said["text"]
    if said is not None:
        holder[f"{before}code"], holder[f"{before}values"] = said["code"], said["values"]


def as_sentence(text: str) -> str:
    """Words that stand within a sentence as one of their own; a file's name at their head keeps its small letters."""
    if not text:
        return ""
    first = text.split(" ", 1)[0]
    capital = text if "." in first or "_" in first else text[:1].upper() + text[1:]
    return capital if text[-1] in ".?!" else f"{capital}."
