"""A card design as the text of a card file, with only what differs from what is taken anyway."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from typing import Any

from tackside.card.file.design import CardParts

# Long texts read better on lines of their own.
_LONG = "\n"


def card_toml(card: CardParts) -> str:
    """The card file that ``load_card`` reads back as the same design."""
    data = card.model_dump(mode="json", exclude_defaults=True, exclude={"folder"})
    plain = {name: value for name, value in data.items() if not _is_table(value)}
    tables = {name: value for name, value in data.items() if _is_table(value)}
    lines = [*_fields(plain)]
    for name, value in tables.items():
        for each in [value] if isinstance(value, Mapping) else value:
            lines += ["", f"[{name}]" if isinstance(value, Mapping) else f"[[{name}]]", *_fields(each)]
    return "\n".join(lines) + "\n"


def _is_table(value: Any) -> bool:
    return isinstance(value, Mapping) or (
        isinstance(value, list) and bool(value) and isinstance(value[0], Mapping)
    )


def _fields(data: Mapping[str, Any]) -> Iterator[str]:
    for name, value in data.items():
        if value is not None:
            yield f"{name} = {_value(value)}"


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, Sequence) and not isinstance(value, str):
        return f"[{', '.join(_value(each) for each in value)}]"
    return _text(str(value))


def _text(text: str) -> str:
    """A basic string; of several lines where it has them. TOML's escapes hold all of JSON's."""
    quoted = json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")
    if _LONG not in text:
        return quoted
    return '"""\n' + quoted[1:-1].replace("\\n", "\n") + '"""'
