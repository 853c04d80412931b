"""Nothing searches, replaces or compares a sentence: what is decided is decided by codes, values and typed fields."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import tackside

SOURCE = Path(tackside.__file__).parent
# Two words or more, or a clause's end: what a person reads, and no name, key or format.
SENTENCE = re.compile(r"[A-Za-z’']{2,} [a-z’']{2,} [a-z’']{2,}|[a-z]{3,}[.;:] [A-Za-z]")
SEARCHING = {
    "startswith",
    "endswith",
    "find",
    "index",
    "count",
    "replace",
    "removesuffix",
    "removeprefix",
    "partition",
}
# What comes from outside: words of other programs and of standards, which have no codes.
FROM_OUTSIDE = {("files/toml_records.py", " (at end of document)")}  # tomllib says the line only so


def texts_in(node: ast.expr) -> Iterator[str]:
    if isinstance(node, ast.Constant) and isinstance(node.value, str):
        yield node.value
    elif isinstance(node, (ast.Tuple, ast.List, ast.Set)):
        for each in node.elts:
            yield from texts_in(each)


def searched(source: str) -> Iterator[str]:
    """Sentences that code looks for in, compares with, or replaces in a text."""
    for node in ast.walk(ast.parse(source)):
        found: list[ast.expr] = []
        if isinstance(node, ast.Compare):
            found = [node.left, *node.comparators]
        elif (
            isinstance(node, ast.Call)
            and isinstance(node.func, ast.Attribute)
            and node.func.attr in SEARCHING
        ) or (
            isinstance(node, ast.Call)
            and ast.unparse(node.func)
            in {
                "re.search",
                "re.match",
                "re.sub",
                "re.compile",
                "re.findall",
                "re.fullmatch",
            }
        ):
            found = list(node.args[:1])
        for each in found:
            yield from (text for text in texts_in(each) if SENTENCE.search(text))


def test_no_sentence_is_searched() -> None:
    found = {
        (file.relative_to(SOURCE).as_posix(), text)
        for file in SOURCE.rglob("*.py")
        for text in searched(file.read_text(encoding="utf-8"))
    }
    assert found - FROM_OUTSIDE == set()


def test_the_search_finds_what_it_is_for() -> None:
    assert list(searched('if "was saved as JPEG" in notice: pass')) == ["was saved as JPEG"]
    assert list(searched('said.startswith("a cardholder is asked to")')) == ["a cardholder is asked to"]
    assert list(searched('re.sub(r"in the stock file", "", text)')) == ["in the stock file"]
    assert list(searched('if kind == "too-much-ink": name.replace("_", "-")')) == []
