"""The files that a person writes, as JSON Schema (draft 2020-12) and as tables, from the records that read them."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from pathlib import Path
from typing import Any

from tackside.bench.transfer.exchange import schema as archive_schema
from tackside.card.file.design import CardFile
from tackside.fit.mail.post_file import OwnLimits
from tackside.reading.eye import Answers
from tackside.records import Printer, Record, Stock
from tackside.run.plan.run_file import Run

DRAFT = "https://json-schema.org/draft/2020-12/schema"
# name of the file → the record that reads it, and what its schema is called.
FILES: Mapping[str, tuple[type[Record], str]] = {
    "stock": (Stock, "A card stock, for tackside stock add"),
    "printer": (Printer, "A printer, for tackside printer add"),
    "card": (CardFile, "A card, for tackside card make"),
    "run": (Run, "A run, for tackside run cost"),
    "post": (OwnLimits, "Limits of letters and envelopes: post.toml in the bench folder"),
    "answers": (Answers, "Answers by eye, for tackside answer"),
}
ARCHIVE = "stock-archive"
# Fields that the program fills in itself.
OWN = {"run": ("folder",)}
_LITERAL = re.compile(r"``(.+?)``")


def schema_of(name: str) -> dict[str, Any]:
    """The schema of one of ``FILES``, or of the archive of a stock's record."""
    if name == ARCHIVE:
        return dict(archive_schema())
    record, title = FILES[name]
    made: dict[str, Any] = _without_titles(record.model_json_schema())
    for own in OWN.get(name, ()):
        made["properties"].pop(own)
    return {"$schema": DRAFT, "title": title, **{key: value for key, value in made.items() if key != "title"}}


def written(name: str) -> str:
    return json.dumps(schema_of(name), indent=1, ensure_ascii=False) + "\n"


def file_of(folder: Path, name: str) -> Path:
    return folder / "schemas" / f"{name}.schema.json"


def _without_titles(part: Any) -> Any:
    """Pydantic calls each field by its name in capitals, which says nothing."""
    if isinstance(part, list):
        return [_without_titles(each) for each in part]
    if not isinstance(part, dict):
        return part
    return {
        key: _without_titles(value)
        for key, value in part.items()
        if not (key == "title" and isinstance(value, str))
    }


def tables(name: str) -> str:
    """The keys of a file as tables of Markdown: the file's own first, then those of each part."""
    schema = schema_of(name)
    parts = {"": schema} | {
        part: each for part, each in schema.get("$defs", {}).items() if each.get("type") == "object"
    }
    return "\n".join(line for part, each in parts.items() for line in _table(part, each, schema))


def _table(part: str, schema: Mapping[str, Any], whole: Mapping[str, Any]) -> Iterator[str]:
    if part:
        yield from (f"**{_spoken(part)}**", "")
    if said := schema.get("description"):
        yield from (_plain(said), "")
    yield from ("| key | takes | if left out |", "| --- | --- | --- |")
    needed = schema.get("required", ())
    for key, each in schema["properties"].items():
        yield f"| `{key}` | {_takes(each, whole)} | {'must be there' if key in needed else _default(each)} |"
    yield ""


def _spoken(part: str) -> str:
    return re.sub(r"(?<!^)(?=[A-Z])", " ", part).lower().capitalize()


def _plain(said: str) -> str:
    """A docstring as Markdown."""
    return _LITERAL.sub(r"`\1`", said)


def _default(each: Mapping[str, Any]) -> str:
    value = each.get("default")
    if value is None or value in ([], {}, ""):
        return "nothing"
    if isinstance(value, dict):
        return "as each says"
    return f"`{json.dumps(value)}`"


def _takes(each: Mapping[str, Any], whole: Mapping[str, Any]) -> str:
    """What a key takes, in words."""
    if "$ref" in each:
        part = each["$ref"].rsplit("/", 1)[-1]
        found = whole["$defs"][part]
        return f"a table: {_spoken(part).lower()}" if found.get("type") == "object" else _takes(found, whole)
    if "anyOf" in each or "oneOf" in each:
        ways = [way for way in each.get("anyOf", each.get("oneOf", ())) if way.get("type") != "null"]
        if {way.get("type") for way in ways} == {"number", "string"}:
            return 'money, as text: `"14.50"`'
        return " or ".join(dict.fromkeys(_takes(way, whole) for way in ways))
    if "enum" in each:
        return ", ".join(f"`{value}`" for value in each["enum"])
    if "const" in each:
        return f"`{each['const']}`"
    return _of_type(each, whole)


def _of_type(each: Mapping[str, Any], whole: Mapping[str, Any]) -> str:
    match each.get("type"):
        case "array":
            if "prefixItems" in each:
                items = list(dict.fromkeys(_takes(item, whole) for item in each["prefixItems"]))
                count = len(each["prefixItems"])
                return (
                    f"a list of {count}, each {items[0]}"
                    if len(items) == 1
                    else "a list: " + "; ".join(items)
                )
            return f"a list of: {_takes(each['items'], whole)}"
        case "object":
            inside = each.get("additionalProperties")
            return f"by name, {_takes(inside, whole)}" if isinstance(inside, dict) else "a table"
        case "number" | "integer" as kind:
            return ("a number" if kind == "number" else "a whole number") + _bounds(each)
        case "boolean":
            return "`true` or `false`"
        case "string":
            return _of_text(each)
    return "anything"


def _of_text(each: Mapping[str, Any]) -> str:
    kinds = {"date": "a date, as `2026-03-01`", "time": "a time, as `09:00:00`"}
    if each.get("format") in kinds:
        return kinds[each["format"]]
    known = {"^[A-Z]{3}$": "a currency, as `GBP` (ISO 4217)", "^#[0-9A-Fa-f]{6}$": "a colour, as `#1f4e5f`"}
    if each.get("pattern") in known:
        return known[each["pattern"]]
    most = each.get("maxLength")
    return f"text, up to {most:,} characters" if most else "text"


def _bounds(each: Mapping[str, Any]) -> str:
    least, above = each.get("minimum"), each.get("exclusiveMinimum")
    most, below = each.get("maximum"), each.get("exclusiveMaximum")
    start = (
        f"above {above:,.10g}" if above is not None else f"from {least:,.10g}" if least is not None else ""
    )
    end = f"below {below:,.10g}" if below is not None else f"to {most:,.10g}" if most is not None else ""
    return f", {start} {end}".rstrip() if start or end else ""
