"""Parts of the pages that the code itself knows: filled in where a page asks for them, and held by a test.

A page asks by ``<!-- filled: NAME -->``; what stands from there to ``<!-- end -->`` is made again.
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from tools.site import interface, schemas
from tools.site.contents import DOCS

_PART = re.compile(r"(<!-- filled: ([a-z -]+) -->\n)(.*?)(<!-- end -->)", re.DOTALL)


def filling(name: str) -> str:
    """What stands in a part: ``interface``, or ``schema`` and the name of a file."""
    if name == "interface":
        return interface.described()
    kind, _, rest = name.partition(" ")
    if kind != "schema":
        raise SystemExit(f"docs: nothing is known to fill in {name}")
    return schemas.tables(rest)


def _wanted() -> Iterator[tuple[str, str, str]]:
    """Each page with parts to fill, by its path in docs/: as it is, and as it should be."""
    for page in sorted(DOCS.glob("*.md")):
        text = page.read_text(encoding="utf-8")
        if "<!-- filled:" in text:
            yield (
                page.name,
                text,
                _PART.sub(lambda part: f"{part[1]}\n{filling(part[2]).strip()}\n\n{part[4]}", text),
            )
    for name in (*schemas.FILES, schemas.ARCHIVE):
        file = schemas.file_of(DOCS, name)
        is_there = file.is_file()
        yield (
            f"schemas/{file.name}",
            file.read_text(encoding="utf-8") if is_there else "",
            schemas.written(name),
        )


def write_filled() -> None:
    (DOCS / "schemas").mkdir(exist_ok=True)
    for name, text, wanted in _wanted():
        if text != wanted:
            (DOCS / name).write_text(wanted, encoding="utf-8")


def outdated() -> list[str]:
    """One line for each page that says other than the code."""
    return [
        f"docs/{name} is not what the code says; run python3 do.py docs"
        for name, text, wanted in _wanted()
        if text != wanted
    ]
