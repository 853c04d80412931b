"""What is wrong with a record's data: a message for each fault, with the place of the field that it is about."""

from __future__ import annotations

import re
import typing
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from tackside.files.suggest import nearest
from tackside.messages.message import Message, Value
from tackside.messages.place import Place

Path = tuple[int | str, ...]

# pydantic's error types → the code of what belongs there instead.
_KINDS = {
    "float": "record.no-number",
    "int": "record.no-whole-number",
    "decimal": "record.no-amount",
    "string": "record.no-text",
    "bool": "record.no-true-or-false",
    "tuple": "record.no-list",
    "list": "record.no-list",
    "dict": "record.no-table",
    "model": "record.no-table",
    "date": "record.no-date",
    "time": "record.no-time",
}
# pydantic's error types → its name for the bound, and the code.
_BOUNDS = {
    "greater_than": ("gt", "not-above"),
    "greater_than_equal": ("ge", "below"),
    "less_than": ("lt", "not-under"),
    "less_than_equal": ("le", "above"),
}
# What a text must look like → the code that says it plainly.
_FORMS = {
    "^#[0-9A-Fa-f]{6}$": "record.no-colour",
    "^[A-Z]{3}$": "record.no-currency",
    "^([A-Za-z]{2,8}(-[A-Za-z0-9]{1,8})*)?$": "record.no-language",
}
_LONGEST_SHOWN = 40


@dataclass(frozen=True)
class FieldFault:
    """One fault: what is wrong and its fix as a message, and where. The message has the place as ``field`` too."""

    place: Place
    message: Message


class Inconsistent(ValueError):
    """What a record's own check refuses, raised in it: a code of the catalogue with its values.

    ``at`` is the field at fault, seen from the record that checks. The message has its whole place as ``field``.
    """

    def __init__(self, code: str, /, *, at: Path = (), **values: Any) -> None:
        super().__init__(code)
        self.message = Message(code, **values)
        self.at = at


def kind_of(record: type[BaseModel]) -> str:
    """What a place calls a kind of record: its own ``KIND``, which stays whatever its class is called."""
    return str(getattr(record, "KIND", "record"))


def fault_of(error: ValidationError, record: type[BaseModel]) -> FieldFault:
    """The fault to fix first, with the count of the others: an unknown field before all, as it is mostly a slip in a
    name."""
    found = _separate(error.errors(include_url=False))
    first = _fault(min(found, key=lambda each: each["type"] != "extra_forbidden"), record)
    more = len(found) - 1
    if not more:
        return first
    return FieldFault(first.place, Message("record.and-more", fault=first.message, count=more))


def field_faults(error: ValidationError, record: type[BaseModel]) -> tuple[FieldFault, ...]:
    """Every fault, for whoever shows each beside its own field."""
    return tuple(_fault(each, record) for each in _separate(error.errors(include_url=False)))


def fault_of_details(error: ErrorDetails, record: type[BaseModel]) -> FieldFault:
    """One fault as pydantic describes it."""
    return _fault(error, record)


def _separate(errors: list[ErrorDetails]) -> list[ErrorDetails]:
    """Without the list that is too short only because a faulty entry of it does not count."""
    inner = {
        each["loc"][: len(each["loc"]) - depth] for each in errors for depth in range(1, len(each["loc"]))
    }
    return [each for each in errors if each["type"] != "too_short" or each["loc"] not in inner]


def fault_of_kind(path: Path, given: Any, valid: Any, record: type[BaseModel]) -> FieldFault:
    """The fault of a value that was ``given`` as another kind than the ``valid`` one which it was read as."""
    belongs = "bool" if isinstance(valid, bool) else "int" if isinstance(valid, int) else "float"
    return _at(record, path, _KINDS[belongs], given=shown(given))


def _at(record: type[BaseModel], path: Path, code: str, **values: Any) -> FieldFault:
    place = Place(kind_of(record), path)
    return FieldFault(place, Message(code, field=place, **values))


def _fault(error: ErrorDetails, record: type[BaseModel]) -> FieldFault:
    path, sort = tuple(error["loc"]), error["type"]
    value, details = error["input"], error.get("ctx", {})
    if sort == "extra_forbidden":
        return _unknown_field(path, record)
    if sort == "missing" and path and isinstance(path[-1], int):
        return _at(record, path[:-1], "record.entries-missing", example=_example(path))
    if sort == "missing" or (value is None and sort != "value_error"):
        return _at(record, path, "record.missing", example=_example(path))
    if sort in _BOUNDS:
        return _out_of_bounds(path, value, sort, details, record)
    if sort == "literal_error":
        return _not_a_choice(path, value, str(details["expected"]), record)
    if sort == "value_error":
        return _own_fault(path, details["error"], record)
    if sort == "finite_number":
        return _at(record, path, "record.not-finite")
    return _shape_fault(path, value, sort, details, record)


def _out_of_bounds(
    path: Path, value: Any, sort: str, details: Mapping[str, Any], record: type[BaseModel]
) -> FieldFault:
    name, code = _BOUNDS[sort]
    if _is_huge(value):
        return _at(record, path, "record.huge")
    if any(isinstance(part, str) and part.endswith("_mm") for part in path):
        return _at(record, path, f"record.length-{code}", given_mm=value, limit_mm=details[name])
    return _at(record, path, f"record.{code}", given=shown(value), limit=details[name])


def _shape_fault(
    path: Path, value: Any, sort: str, details: Mapping[str, Any], record: type[BaseModel]
) -> FieldFault:
    if sort == "string_pattern_mismatch":
        code = _FORMS.get(str(details["pattern"]), "record.not-the-form")
        return _at(record, path, code, given=shown(value))
    if sort == "string_too_long":
        return _at(record, path, "record.too-long", most=details["max_length"])
    if sort == "string_too_short":
        return _at(record, path, "record.empty")
    if sort == "too_long":
        return _at(record, path, "record.too-many-entries", most=details["max_length"])
    if sort == "too_short":
        return _at(record, path, "record.too-few-entries", least=details["min_length"])
    if sort.startswith(("decimal_max", "decimal_whole")):
        return _at(record, path, "record.too-many-decimals", given=shown(value))
    if _is_huge(value):
        return _at(record, path, "record.huge")
    code = _KINDS.get(sort.split("_")[0], "record.does-not-hold")
    if code == "record.no-table":
        return _at(record, path, code, given=shown(value), **_table_at(record, path))
    if code != "record.no-list":
        return _at(record, path, code, given=shown(value))
    if _is_size(path):
        return _at(record, path, "record.no-size", given=shown(value))
    if path and str(path[-1]).endswith("_sizes_mm"):
        return _at(record, path, "record.no-sizes", given=shown(value))
    if _record_at(record, path) is not None:
        return _at(record, path, "record.no-list-of-tables", given=shown(value), **_table_at(record, path))
    return _at(record, path, code, given=shown(value))


def _table_at(record: type[BaseModel], path: Path) -> dict[str, Value]:
    """How the head of a table is written in a file (``head``), and what must stand below it (``names``)."""
    names = [part for part in path if isinstance(part, str)]
    inner, is_listed = _record_at(record, path), bool(path) and _lists_records(record, path)
    head = ".".join(names)
    own = {} if inner is None else inner.model_fields
    needed = [name for name, field in own.items() if field.is_required()] or list(own)[:3]
    return {"head": f"[[{head}]]" if is_listed else f"[{head}]", "names": tuple(needed)}


def _lists_records(record: type[BaseModel], path: Path) -> bool:
    """Whether the field at a place, or that which the place is an entry of, is a list of records."""
    *before, last = [part for part in path if isinstance(part, str)] or [""]
    holder = _record_at(record, tuple(before))
    field = None if holder is None else holder.model_fields.get(last)
    annotation = None if field is None else field.annotation
    return any(
        typing.get_origin(each) in (tuple, list) for each in (annotation, *typing.get_args(annotation))
    )


def _unknown_field(path: Path, record: type[BaseModel]) -> FieldFault:
    word = str(path[-1])
    here = _record_at(record, path[:-1])
    if len(path) > 1 and word in record.model_fields:
        return _at(record, path, "record.unknown-field-of-the-top", name=word)
    own = list(here.model_fields) if here else []
    near = nearest(word, own)
    if near:
        return _at(record, path, "record.unknown-field-near", near=near)
    for holder in own:
        inner = _record_in(here.model_fields[holder].annotation) if here else None
        near = nearest(word, inner.model_fields) if inner else None
        if near:
            return _at(record, path, "record.unknown-field-near-in", near=near, holder=holder)
    if own:
        return _at(record, path, "record.unknown-field", known=own)
    return _at(record, path, "record.unknown-field-of-none")


def _not_a_choice(path: Path, value: Any, expected: str, record: type[BaseModel]) -> FieldFault:
    found = re.findall(r"'([^']*)'|(\d+)", expected)  # as pydantic writes them: 'front', 'back' or 'both'
    choices: list[Value] = [shown(text) if text or not number else int(number) for text, number in found]
    near = nearest(value, [text for text, _number in found if text]) if isinstance(value, str) else None
    if near:
        return _at(
            record, path, "record.near-a-choice", given=shown(value), near=shown(near), choices=choices
        )
    return _at(record, path, "record.no-choice", given=shown(value), choices=choices)


def _own_fault(path: Path, error: Any, record: type[BaseModel]) -> FieldFault:
    """What a record's own check says."""
    if isinstance(error, Inconsistent):
        return _at(record, (*path, *error.at), error.message.code, **error.message.values)
    return _at(record, path, "record.check", said=str(error))


def _example(path: Path) -> Message:
    """How the field is written in a file."""
    name = next((str(part) for part in reversed(path) if isinstance(part, str)), "")
    if name == "feeds":
        return Message("record.example-feeds")
    if name.endswith("_size_mm"):
        return Message("record.example-size", name=name)
    if name.endswith(("_mm", "_ppi", "_gsm", "_pt")):
        return Message("record.example-number", name=name)
    is_text = name in ("name", "direction", "panel", "file", "text")
    return Message("record.example-text" if is_text else "record.example-any", name=name)


def shown(value: Any) -> Value:
    """A value that was given: a number or true/false as it is, a text in quotes and cut short, others by their kind."""
    if isinstance(value, (bool, float)):
        return value
    if isinstance(value, Mapping):
        return Message("record.given-table")
    if isinstance(value, (list, tuple)):
        return Message("record.given-list", count=len(value))
    if _is_huge(value):
        return Message("record.given-huge")
    if isinstance(value, int):
        return value
    text = str(value)
    cut = text if len(text) <= _LONGEST_SHOWN else f"{text[: _LONGEST_SHOWN - 1]}…"
    return Message("record.given-text" if isinstance(value, str) else "record.given", text=cut)


def _is_huge(value: Any) -> bool:
    return isinstance(value, int) and abs(value) >= 10**15


def _is_size(path: Path) -> bool:
    """Whether a width and a height stand there."""
    if path and isinstance(path[-1], int):
        return len(path) > 1 and str(path[-2]).endswith("_sizes_mm")
    return bool(path) and str(path[-1]).endswith("_size_mm")


def _record_at(record: type[BaseModel], path: Path) -> type[BaseModel] | None:
    """The kind of record that stands at a place of another."""
    here: type[BaseModel] | None = record
    for part in path:
        if isinstance(part, str) and here is not None:
            field = here.model_fields.get(part)
            here = _record_in(field.annotation) if field else None
    return here


def _record_in(annotation: Any) -> type[BaseModel] | None:
    """The record inside an annotation such as ``tuple[Feed, ...]`` or ``Pack | None``."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next(filter(None, (_record_in(inner) for inner in typing.get_args(annotation))), None)
