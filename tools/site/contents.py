"""The table of contents: docs/README.md is the first page, and its lists of links are the site's menu."""

from __future__ import annotations

import os
import re
from dataclasses import dataclass
from pathlib import Path

ROOT = Path(__file__).parents[2]
DOCS = ROOT / "docs"
FIRST = DOCS / "README.md"
_GROUP = re.compile(r"^## (?P<title>.+)$")
_ENTRY = re.compile(r"^- \[(?P<title>[^\]]+)\]\((?P<file>[^)#]+\.md)\)")


@dataclass(frozen=True)
class Entry:
    """A page: the words of its link, its file in the repository, and where it lies on the site."""

    title: str
    source: Path
    address: str


@dataclass(frozen=True)
class Group:
    title: str
    entries: tuple[Entry, ...]


def address_of(source: Path) -> str:
    """Where a page lies on the site: ``docs/verdict.md`` is ``verdict.html``; a README goes by its folder."""
    if source == FIRST:
        return "index.html"
    name = source.parent.name if source.name == "README.md" else source.stem
    return f"{name}.html"


def contents(first: Path = FIRST) -> tuple[Group, ...]:
    """The groups of pages in the order of the first page's lists."""
    groups: list[tuple[str, list[Entry]]] = []
    for line in first.read_text(encoding="utf-8").splitlines():
        if found := _GROUP.match(line):
            groups.append((found["title"], []))
        elif groups and (found := _ENTRY.match(line)):
            source = Path(os.path.normpath(first.parent / found["file"]))
            groups[-1][1].append(Entry(found["title"].replace("`", ""), source, address_of(source)))
    return tuple(Group(title, tuple(entries)) for title, entries in groups if entries)
