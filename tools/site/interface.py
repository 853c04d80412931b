"""The Python interface: the functions of the workflow floor that a script may call, from their own docstrings."""

from __future__ import annotations

import importlib
import inspect
import re
import textwrap
from collections.abc import Iterator, Mapping
from dataclasses import fields, is_dataclass
from typing import Any, get_args

# What a script calls, in the order of the job; the rest of the package may change with any version.
FUNCTIONS: Mapping[str, tuple[str, ...]] = {
    "Stocks and printers": (
        "tackside.workflow.stocks.records:add_stock",
        "tackside.workflow.stocks.records:add_printer",
        "tackside.workflow.stocks.fit:fit",
    ),
    "Test prints": (
        "tackside.workflow.trials:make_trial",
        "tackside.workflow.trials:note_settings",
        "tackside.workflow.read:read_print",
        "tackside.workflow.judge:judge_print",
        "tackside.workflow.judge:judge_file",
        "tackside.workflow.judge_together:judge_prints",
        "tackside.workflow.sides:printable_side",
        "tackside.workflow.placement:placement_of",
    ),
    "Pictures and profiles": (
        "tackside.workflow.pictures.check:check_pictures",
        "tackside.workflow.pictures.choose:choose",
        "tackside.workflow.pictures.proof_card:proof_card",
        "tackside.workflow.pictures.proof:proof",
        "tackside.workflow.pictures.proof:write_proof",
        "tackside.workflow.profiles.build:build_own_profile",
    ),
    "Cards, runs and reports": (
        "tackside.workflow.cards.make:make_card",
        "tackside.workflow.cards.make:make_series",
        "tackside.workflow.runs.keep:plan_file",
        "tackside.workflow.runs.keep:keep_file",
        "tackside.workflow.report:report_on",
    ),
}
WIDE = 92  # characters of a signature on one line


def function(named: str) -> Any:
    module, _, name = named.partition(":")
    return getattr(importlib.import_module(module), name)


def described() -> str:
    """All of it as Markdown: a heading a group, then each function."""
    return "\n".join(
        line for group, named in FUNCTIONS.items() for line in (f"## {group}", "", *_functions(named))
    )


def _functions(named: tuple[str, ...]) -> Iterator[str]:
    for each in named:
        module, _, name = each.partition(":")
        found = function(each)
        yield from (f"### `{name}`", "", "```python", f"from {module} import {name}", "")
        yield from (_signature(name, found), "```", "", _markdown(inspect.getdoc(found) or ""), "")
        yield from _given(found)


def _signature(name: str, found: Any) -> str:
    """Names as its own module writes them, as a person would type them."""
    signature = inspect.signature(found)
    parts = [_part(each) for each in signature.parameters.values()]
    kinds = [each.kind for each in signature.parameters.values()]
    if inspect.Parameter.KEYWORD_ONLY in kinds:
        parts.insert(kinds.index(inspect.Parameter.KEYWORD_ONLY), "*")
    given = str(signature.return_annotation)
    flat = f"{name}({', '.join(parts)}) -> {given}"
    if len(flat) <= WIDE:
        return flat
    inner = "".join(f"    {part},\n" for part in parts)
    return f"{name}(\n{inner}) -> {given}"


def _part(given: inspect.Parameter) -> str:
    """One parameter; of its default functions and empty records by their names."""
    if given.default is given.empty:
        return f"{given.name}: {given.annotation}"
    default = repr(given.default)
    if callable(given.default):
        default = given.default.__name__
    elif is_dataclass(given.default):
        default = f"{type(given.default).__name__}()"
    return f"{given.name}: {given.annotation} = {default}"


def _markdown(said: str) -> str:
    """A docstring as Markdown, its examples as code."""
    said = re.sub(r"``(.+?)``", r"`\1`", said)
    return re.sub(
        r"(?m)^( *>>> (?:.+\n?)+)",
        lambda found: f"```pycon\n{textwrap.dedent(found[1]).rstrip()}\n```\n",
        said,
    ).rstrip()


def _given(found: Any) -> Iterator[str]:
    """What a function of our own classes hands back: the fields of its dataclass."""
    kind = _returned(found)
    if kind is None:
        return
    yield from (f"`{kind.__name__}`: {_first_of(kind)}", "")
    for each in fields(kind):
        if not each.name.startswith("_"):
            yield f"- `{each.name}`: `{each.type}`"
    yield ""


def _first_of(kind: type) -> str:
    said = inspect.getdoc(kind) or ""
    return "" if said.startswith(f"{kind.__name__}(") else _markdown(" ".join(said.split()))


def _returned(found: Any) -> type | None:
    named = str(inspect.signature(found).return_annotation)
    kind = getattr(inspect.getmodule(found), named, None)
    if kind is None or not isinstance(kind, type) or not is_dataclass(kind) or get_args(kind):
        return None
    return kind
