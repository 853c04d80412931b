"""A run as the text of a run file, with only what differs from what is taken anyway."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from datetime import date, time
from decimal import Decimal
from typing import Any

from tackside.run.plan.run_file import Run


def run_toml(run: Run) -> str:
    """The run file that ``load_run`` reads back as the same run; its card files and lists lie beside it."""
    data = run.model_dump(mode="python", exclude_defaults=True, exclude={"folder"})
    return "\n".join(_table(data, ())).strip() + "\n"


def _table(data: Mapping[str, Any], path: tuple[str, ...]) -> Iterator[str]:
    """Plain fields first, then what needs a head of its own."""
    given = {name: value for name, value in data.items() if value is not None}
    for name, value in given.items():
        if not _needs_head(value):
            yield f"{_key(name)} = {_value(value)}"
    for name, value in given.items():
        if not _needs_head(value):
            continue
        inner = (*path, name)
        head = ".".join(_key(each) for each in inner)
        for each in [value] if isinstance(value, Mapping) else value:
            if not isinstance(value, Mapping) or any(not _needs_head(part) for part in each.values()):
                yield ""
                yield f"[{head}]" if isinstance(value, Mapping) else f"[[{head}]]"
            yield from _table(each, inner)


def _needs_head(value: Any) -> bool:
    return isinstance(value, Mapping) or (
        isinstance(value, (list, tuple)) and bool(value) and isinstance(value[0], Mapping)
    )


def _key(name: str) -> str:
    return name if re.fullmatch(r"[A-Za-z0-9_-]+", name) else _text(name)


def _value(value: Any) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, Decimal):  # money stands in quotes, so that it stays exact
        return _text(f"{value:f}")
    if isinstance(value, (date, time)):
        return value.isoformat()
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, (list, tuple)):
        return f"[{', '.join(_value(each) for each in value)}]"
    return _text(str(value))


def _text(text: str) -> str:
    """A basic string: TOML's escapes hold all of JSON's."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007F")
