"""Builds the documentation as a site from docs/: plain files, that load nothing from outside and need no script.

python3 do.py docs [--out FOLDER]    build it, by default in build/site; open index.html there
python3 do.py docs --pictures        first take the pictures in docs/ again, of the program at work (minutes)
python3 do.py docs --check           only tell what is lost or out of date
"""

from __future__ import annotations

import argparse
import shutil
import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from jinja2 import Environment, FileSystemLoader, StrictUndefined

from tackside import __version__
from tools.site.contents import DOCS, FIRST, ROOT, Entry, Group, address_of, contents
from tools.site.filled import outdated, write_filled
from tools.site.page import LostLink, Page, render

HERE = Path(__file__).parent
ASSETS = ROOT / "src/tackside/web/assets"
# The workbench's own colours, letters and sign.
COPIED = (
    ASSETS / "mark.svg",
    ASSETS / "fonts/Cabin-Regular.woff2",
    ASSETS / "fonts/Cabin-Italic.woff2",
    ASSETS / "fonts/Cabin-Bold.woff2",
    ASSETS / "fonts/Vollkorn-Regular.woff2",
    ASSETS / "fonts/OFL.txt",
)
OUT = ROOT / "build" / "site"
# A page of fewer sections is seen at a glance.
SECTIONS_LISTED = 4


@dataclass(frozen=True)
class Built:
    folder: Path
    pages: tuple[str, ...]


def unlisted(groups: Sequence[Group]) -> list[str]:
    """Pages in docs/ that the first page does not name."""
    named = {entry.source for group in groups for entry in group.entries} | {FIRST}
    return sorted(file.name for file in DOCS.glob("*.md") if file not in named)


def build(out: Path = OUT) -> Built:
    """Write the site into ``out``, which is cleared first. Raises LostLink."""
    groups = contents()
    entries = (
        Entry("Start here", FIRST, address_of(FIRST)),
        *(each for group in groups for each in group.entries),
    )
    addresses = {entry.source: entry.address for entry in entries}
    pages = [render(entry.source, addresses) for entry in entries]
    shutil.rmtree(out, ignore_errors=True)
    for folder in ("pictures", "schemas", "fonts"):
        (out / folder).mkdir(parents=True, exist_ok=True)
    loader = FileSystemLoader(HERE / "templates")
    template = Environment(
        loader=loader, autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
    ).get_template("page.html")
    for number, (entry, page) in enumerate(zip(entries, pages, strict=True)):
        html = template.render(
            page=page, here=entry, groups=groups, first=entries[0], version=__version__,
            sections=_sections(page),
            before=entries[number - 1] if number else None,
            after=entries[number + 1] if number + 1 < len(entries) else None,
        )  # fmt: skip
        (out / entry.address).write_text(html, encoding="utf-8")
    _copy(pages, out)
    return Built(out, tuple(entry.address for entry in entries))


def _sections(page: Page) -> list[tuple[str, str]]:
    found = [(each.anchor, each.words) for each in page.headings if each.level == 2]
    return found if len(found) >= SECTIONS_LISTED else []


def _copy(pages: Sequence[Page], out: Path) -> None:
    for file in sorted({file for page in pages for file in page.files}):
        shutil.copyfile(file, out / ("schemas" if file.suffix == ".json" else "pictures") / file.name)
    for file in COPIED:
        shutil.copyfile(file, out / "fonts" / file.name if file.parent.name == "fonts" else out / file.name)
    shutil.copyfile(HERE / "templates" / "site.css", out / "site.css")


def main(arguments: Sequence[str] | None = None) -> int:
    parser = argparse.ArgumentParser(prog="do.py docs", description="Build the documentation as a site.")
    parser.add_argument("--out", type=Path, default=OUT, help="folder, cleared first; by default build/site")
    parser.add_argument(
        "--pictures",
        nargs="*",
        metavar="NAME",
        help="take the pictures again first (minutes): all, or those named",
    )
    parser.add_argument("--demo", type=Path, help="for --pictures: a demo's folder, else one is made")
    parser.add_argument("--check", action="store_true", help="only tell what is lost or out of date")
    asked = parser.parse_args(arguments)
    if asked.check:
        faults = [*(f"docs/README.md does not name {name}" for name in unlisted(contents())), *outdated()]
        for fault in faults:
            print(f"docs: {fault}")
        return 1 if faults else 0
    if asked.out.exists() and any(asked.out.iterdir()) and not (asked.out / "site.css").exists():
        print(f"docs: {asked.out} holds files that are no site; name a new folder with --out")
        return 2
    if asked.pictures is not None:
        from tools.site.pictures import take_pictures

        take_pictures(DOCS, asked.demo, asked.pictures)
    write_filled()
    try:
        built = build(asked.out)
    except LostLink as fault:
        print(f"docs: {fault}")
        return 1
    print(f"{len(built.pages)} pages; open {built.folder / 'index.html'}")
    return 0


if __name__ == "__main__":
    sys.exit(main())
