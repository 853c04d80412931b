"""What is wrong with a record's data, in plain words: the field, the fault and the mend."""

from __future__ import annotations

import typing
from collections.abc import Mapping, Sequence
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from tackside.files.suggest import nearest

Place = tuple[int | str, ...]
# What is wrong, and the mend.
Fault = tuple[str, str]

# pydantic's error types → the kind of value that belongs there, with an example.
_KINDS = {
    "float": ("a number", "0.32"),
    "int": ("a whole number", "25"),
    "decimal": ("an amount", '"14.50"'),
    "string": ("text in quotes", '"photo"'),
    "bool": ("true or false", "true"),
    "tuple": ("a list", "[210, 297]"),
    "list": ("a list", "[210, 297]"),
    "dict": ("a table", "{ count = 25 }"),
    "model": ("a table", "{ count = 25 }"),
}
_BOUNDS = {
    "greater_than": ("gt", "more than"),
    "greater_than_equal": ("ge", "at least"),
    "less_than": ("lt", "less than"),
    "less_than_equal": ("le", "at most"),
}


def fault_of(error: ValidationError, kind: type[BaseModel]) -> Fault:
    """The fault to mend first: an unknown field before others, as it is mostly a slip in a name."""
    found = _separate(error.errors(include_url=False))
    first = min(found, key=lambda each: each["type"] != "extra_forbidden")
    what, mend = _fault(first, kind)
    more = len(found) - 1
    return (f"{what} (and {more} more fault{'s' if more > 1 else ''})" if more else what), mend


def faults_by_place(error: ValidationError, kind: type[BaseModel]) -> tuple[tuple[Place, Fault], ...]:
    """Every fault with the place of its field, for whoever shows each beside its own."""
    found = _separate(error.errors(include_url=False))
    return tuple((tuple(each["loc"]), _fault(each, kind)) for each in found)


def _separate(errors: list[ErrorDetails]) -> list[ErrorDetails]:
    """Without the list that is too short only because a faulty entry of it does not count."""
    inner = {
        each["loc"][: len(each["loc"]) - depth] for each in errors for depth in range(1, len(each["loc"]))
    }
    return [each for each in errors if each["type"] != "too_short" or each["loc"] not in inner]


def loosened(given: Any, valid: Any, place: Place = ()) -> Fault | None:
    """The first value that was read as another kind: text or true/false where a number belongs, and the like.

    ``given`` is the TOML data, ``valid`` the record made of it, as plain data.
    """
    if isinstance(given, Mapping) and isinstance(valid, Mapping):
        pairs: Sequence[tuple[int | str, Any, Any]] = [
            (key, given[key], valid[key]) for key in given if key in valid
        ]
    elif isinstance(given, list) and isinstance(valid, (list, tuple)):
        pairs = [(number, *pair) for number, pair in enumerate(zip(given, valid, strict=False))]
    else:
        return _other_kind(given, valid, place)
    return next(filter(None, (loosened(here, there, (*place, key)) for key, here, there in pairs)), None)


def named(place: Place) -> str:
    """A field as one reads it in the file: ``feeds no. 2: margins_mm.top``, ``open_size_mm (width)``."""
    words = ""
    for number, part in enumerate(place):
        if isinstance(part, int):
            holder = next((str(each) for each in reversed(place[:number]) if isinstance(each, str)), "")
            last = number == len(place) - 1
            edge = holder.endswith(("_size_mm", "_sizes_mm")) and last and part < 2
            words += f" ({('width', 'height')[part]})" if edge else f" no. {part + 1}"
        elif words:
            words += f": {part}" if isinstance(place[number - 1], int) else f".{part}"
        else:
            words = part
    return words or "the file"


def _fault(error: ErrorDetails, kind: type[BaseModel]) -> Fault:
    place, sort = tuple(error["loc"]), error["type"]
    field, value, details = named(place), error["input"], error.get("ctx", {})
    if sort == "extra_forbidden":
        return _unknown_field(place, kind)
    if sort == "missing":
        if place and isinstance(place[-1], int):
            return f"{named(place[:-1])} has too few entries", f"give it as {_example(place)}"
        return f"{field} is missing", f"add {_example(place)}"
    if sort in _BOUNDS:
        bound, words = _BOUNDS[sort]
        return f"{field} is {_shown(value)}", f"it must be {words} {details[bound]:g}"
    if sort == "literal_error":
        return _not_a_choice(field, value, str(details["expected"]))
    if sort == "value_error":
        return _own_fault(place, str(details["error"]))
    if sort == "finite_number":
        return f"{field} is not a finite number", "give a number, or leave the field out if it is unknown"
    return _shape_fault(field, value, sort, details)


def _shape_fault(field: str, value: Any, sort: str, details: Mapping[str, Any]) -> Fault:
    if sort == "string_pattern_mismatch":
        wanted = "three capital letters" if field.endswith("currency") else f"the form {details['pattern']}"
        return f"{field} is {_shown(value)}", f"give it as {wanted}"
    if sort == "string_too_long":
        return f"{field} is too long", f"shorten it to {details['max_length']} characters"
    if sort == "string_too_short":
        return f"{field} is empty", "give it a text"
    if sort == "too_long":
        return f"{field} has too many entries", f"give {details['max_length']} at most"
    if sort == "too_short":
        return f"{field} has too few entries", f"give {details['min_length']} at least"
    if sort.startswith(("decimal_max", "decimal_whole")):
        return f"{field} is {_shown(value)}", "give an amount with at most 4 decimals"
    wanted, example = _KINDS.get(sort.split("_")[0], ("", ""))
    if _is_huge(value):
        return f"{field} is a huge number", "check its digits"
    if wanted:
        return f"{field} is {_shown(value)}, not {wanted}", f"give it as {example}"
    return f"{field} is {_shown(value)}, which does not hold", "compare it with the example in the guide"


def _unknown_field(place: Place, kind: type[BaseModel]) -> Fault:
    word = str(place[-1])
    here = _record_at(kind, place[:-1])
    what = f"unknown field {named(place)}"
    if len(place) > 1 and word in kind.model_fields:
        return what, f"{word} belongs at the top of the file, before the first [table]"
    own = list(here.model_fields) if here else []
    near = nearest(word, own)
    if near:
        return what, f"did you mean {near}?"
    for holder in own:
        inner = _record_in(here.model_fields[holder].annotation) if here else None
        near = nearest(word, inner.model_fields) if inner else None
        if near:
            return what, f"did you mean {near}, which belongs in {holder}?"
    return what, f"the fields are {', '.join(own)}" if own else "take it out"


def _not_a_choice(field: str, value: Any, expected: str) -> Fault:
    choices = [part for part in expected.replace(" or ", ", ").split(", ") if part]
    near = nearest(value, [choice.strip("'") for choice in choices]) if isinstance(value, str) else None
    known = ", ".join(choice.replace("'", '"') for choice in choices)
    mend = f'did you mean "{near}"? It can be {known}' if near else f"it can be {known}"
    return f"{field} is {_shown(value)}", mend


def _own_fault(place: Place, message: str) -> Fault:
    """What a record's own check says; it names its fields itself and may bring its mend."""
    if message.startswith("give "):  # the check's message is the mend itself
        return f"{named(place)} does not hold together", message
    told = f"{named(place)}: {message}" if place else message
    if told.startswith("creases: "):
        return told, "measure at_mm from the top or left edge, and check open_size_mm"
    return told, "correct it in the file"


def _other_kind(given: Any, valid: Any, place: Place) -> Fault | None:
    """Text for a number, true for a number, a number for true: allowed by the validator, but a slip."""
    is_number = isinstance(valid, (int, float)) and not isinstance(valid, bool)
    if isinstance(given, (str, bool)) and is_number:
        wanted = _KINDS["int" if isinstance(valid, int) else "float"]
    elif isinstance(valid, bool) and not isinstance(given, bool):
        wanted = _KINDS["bool"]
    else:
        return None
    return f"{named(place)} is {_shown(given)}, not {wanted[0]}", f"give it as {wanted[1]}"


def _example(place: Place) -> str:
    field = next((str(part) for part in reversed(place) if isinstance(part, str)), "")
    if field == "feeds":
        return "a [[feeds]] table with name, min_size_mm and max_size_mm"
    if field.endswith("_size_mm"):
        return f"{field} = [210, 297]"
    if field.endswith(("_mm", "_ppi", "_gsm", "_pt")):
        return f"{field} = a number"
    return f'{field} = "…"' if field in ("name", "direction", "panel", "file", "text") else f"{field} = …"


def _shown(value: Any) -> str:
    """A value as it stands in TOML, cut short."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, float):
        return f"{value:g}"
    if isinstance(value, Mapping):
        return "a table"
    if isinstance(value, (list, tuple)):
        return f"a list of {len(value)}"
    if _is_huge(value):
        return "a huge number"
    text = f'"{value}"' if isinstance(value, str) else str(value)
    return text if len(text) <= 40 else f"{text[:39]}…"


def _is_huge(value: Any) -> bool:
    return isinstance(value, int) and abs(value) >= 10**15


def _record_at(kind: type[BaseModel], place: Place) -> type[BaseModel] | None:
    """The kind of record that stands at a place of another."""
    here: type[BaseModel] | None = kind
    for part in place:
        if isinstance(part, str) and here is not None:
            field = here.model_fields.get(part)
            here = _record_in(field.annotation) if field else None
    return here


def _record_in(annotation: Any) -> type[BaseModel] | None:
    """The record inside an annotation such as ``tuple[Feed, ...]`` or ``Pack | None``."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next(filter(None, (_record_in(inner) for inner in typing.get_args(annotation))), None)
