"""Makes NOTICE and docs/licences.md from tools/licences.toml and the locks, the same on every platform.

python3 do.py notice            make both anew
python3 do.py notice --check    only tell: what nobody has looked at, and whether both are up to date
"""

from __future__ import annotations

import re
import sys
import textwrap
import tomllib
from collections.abc import Mapping, Sequence
from pathlib import Path

from tools.licences import (
    ROOT,
    TABLE,
    Included,
    Locked,
    Table,
    TableError,
    identifiers,
    look,
    needed_by,
    normalised,
    problems,
    read_locks,
    read_table,
)

NOTICE = ROOT / "NOTICE"
PAGE = ROOT / "docs" / "licences.md"
LOCKS = ("run", "dev", "build")

# Why a package is there, and the words for it in the page.
RUN, TOOLS = "run", "tests and tools only"
HEAD = """\
Tackside
Copyright 2026 the Tackside founders

Licensed under the Apache License, Version 2.0; see LICENSE.

This file is made by `python3 do.py notice` from tools/licences.toml and the locks: change those.
"""
PASSING_ON = """\
Tackside itself is under the Apache License 2.0. Its wheel contains the parts of others listed first, with their texts,
and nothing of the packages below: those are installed beside it, each with the licence text that it brings along, in
the folder `<package>-<version>.dist-info` of the environment (`licenses/` in most, and the places named below). Whoever
passes on the wheel alone passes on LICENSE and NOTICE, which lie in it. Whoever passes on a ready environment, a disk
image or an installer passes on all of it, and then each of these licences speaks to them:

- Keep every `.dist-info` folder, and NOTICE. What a package leaves out is said below: its text has to be found.
- **LGPL**, for all or a part of each of these:
  {lgpl}.
  They are files of their own in the environment, and Tackside calls them through Python: whoever has your copy may put
  another version in their place, and must be able to; `pip install` of another version of the package does it. To run
  with a libvips of one's own, install it and take `pyvips-binary` out: `pyvips` then looks for the other one. The LGPL
  parts of libvips are linked into that one file, so that another build of it replaces them together. FFmpeg and
  libquadmath are shared libraries beside their package. In lxml iconv is linked statically, as the package says;
  `pip install --no-binary lxml lxml` links another. Tackside's own licence forbids nobody to take these apart.
  Pass on the LGPL's text too: zeroconf and the OpenCV package bring version 2.1 along, python-bidi and psycopg
  version 3, pyvips-binary, pi-heif-decoder and lxml none. Be ready to give the source of these libraries
  as you got them.
- **GPL with the GCC exception** is the compiler's own runtime: the exception lets any program be built with it.
- **GPL**: x265, in pillow-heif, packs pictures for the tests. Nothing that a user runs loads it: leave that package,
  and the others of the tests, out of what you pass on.
- **MPL**: changed files of the package stay under it; unchanged, say where the source is: on the package index.
- **Not open source** are three parts that came to our notice. IPP ICV, in the OpenCV package for x86, may be passed on
  unchanged with its notice, and its terms (in LICENSE-3RD-PARTY.txt) forbid reverse engineering; an OpenCV built with
  `WITH_IPP=OFF` does without. Two CUDA headers in numba may be passed on as a part of a program; Tackside never uses
  them. The C++ runtime in pikepdf for Windows may be passed on unchanged, on its maker's conditions, which
  third-party-licenses in that package tells; other packages for Windows may carry it too.
- **OpenSSL 1.1.1** in the OpenCV package is under the older OpenSSL licence, whose text asks that the OpenSSL Project
  be named where its features are advertised. Tackside uses no part of OpenCV that opens a connection.

This is what the packages say and what we read in them, no advice by a lawyer."""
LIMITS = """\
`python3 do.py lint` fails when a package declares a licence that nobody has looked at, when it changes what it
declares, when a lock names a package that the table lacks (or the other way round), when a package for Linux brings a
library in its `.libs` folder that is not named here, when a crate of Rust in it has a licence that is not explained
here, and when this page or NOTICE is not what the table and the locks make. It cannot see what is linked into a
library: those parts are as the packages name them, at the versions that we read (Linux, x86). For macOS and Windows
the parts may differ; the packages' own lists lie beside them."""


def by_number(versions: Sequence[str]) -> list[str]:
    """Versions from the oldest to the newest."""
    return sorted(versions, key=lambda version: [int(each) for each in re.findall(r"\d+", version)])


def reasons(
    project: Mapping[str, object], run: Mapping[str, Locked], locked: Mapping[str, Locked]
) -> dict[str, str]:
    """Why each package is there: to run, for an extra, to build, or for tests and tools alone.

    ``project`` is the table of that name in pyproject.toml; all extras but ``dev`` are for users.
    """
    why = dict.fromkeys(locked, TOOLS)
    extras = project["optional-dependencies"]
    assert isinstance(extras, dict)
    for extra in sorted(extras.keys() - {"dev"}, reverse=True):
        direct = [normalised(re.split(r"[\[<>=!~; ]", each)[0]) for each in extras[extra]]
        why |= dict.fromkeys(needed_by(direct, locked), f"extra {extra}")
    return why | dict.fromkeys(run, RUN)


def wrapped(text: str) -> str:
    """An entry of a list, over as many lines as it needs."""
    lines = textwrap.wrap(text, 118, break_long_words=False, break_on_hyphens=False)
    return "- " + "\n  ".join(lines)


def made(each: Included) -> str:
    """One line on a part of others in this project."""
    note = f" ({each.note})" if each.note else ""
    places = f"Files: {', '.join(each.where)}; text: {', '.join(each.text)}"
    return f"{each.what}. {each.copyright}. Licence: {each.licence}{note}. {places}"


def notice(table: Table, locked: Mapping[str, Locked], why: Mapping[str, str]) -> str:
    """The text of NOTICE."""

    def line(name: str) -> str:
        package = table.packages[name]
        note = f"; {package.note}" if package.note else ""
        return wrapped(f"{name} {' / '.join(by_number(locked[name].versions))}: {package.licence}{note}")

    for_users = [name for name in sorted(locked) if why[name] != TOOLS]
    extras = sorted({why[name] for name in for_users} - {RUN})
    blocks = [HEAD, "It contains, made by others:\n"]
    blocks += [wrapped(made(each)) for each in table.included if each.shipped]
    blocks.append("\nIts source contains besides, for the tests, and not in what is installed:\n")
    blocks += [wrapped(made(each)) for each in table.included if not each.shipped]
    blocks.append("\nIt is installed together with, and does not contain, these packages:\n")
    blocks += [line(name) for name in for_users if why[name] == RUN]
    for extra in extras:
        blocks.append(f"\nand with the {extra}:\n")
        blocks += [line(name) for name in for_users if why[name] == extra]
    blocks.append("\nThose packages carry libraries and data of others:\n")
    blocks += [
        wrapped(
            f"in {name}: " + "; ".join(f"{part.name}: {part.licence}" for part in table.bundled[name].parts)
        )
        for name in for_users
        if name in table.bundled
    ]
    blocks.append("\nWhat each licence asks of whoever passes a copy on: docs/licences.md in the source.")
    return "\n".join(blocks) + "\n"


def page(table: Table, locked: Mapping[str, Locked], why: Mapping[str, str]) -> str:
    """The text of docs/licences.md."""
    lesser = [name for name in sorted(locked) if why[name] != TOOLS and has_lesser(table, name)]
    rows = ["| package | version | declares | licence | why |", "| --- | --- | --- | --- | --- |"]
    order = {RUN: 0, TOOLS: 2}
    for name in sorted(locked, key=lambda name: (order.get(why[name], 1), why[name], name)):
        package = table.packages[name]
        said = " or ".join(package.declared)
        licence = package.licence + (f"; {package.note}" if package.note else "")
        licence += "" if package.text else "; brings no text along"
        versions = ", ".join(by_number(locked[name].versions))
        rows.append(f"| {name} | {versions} | {said} | {licence} | {why[name]} |")
    parts = ["| in | part | licence |", "| --- | --- | --- |"]
    sources = []
    for name in sorted(table.bundled):
        parts += [f"| {name} | {part.name} | {part.licence} |" for part in table.bundled[name].parts]
        sources.append(f"- {name}: {table.bundled[name].source}.")
    asked = ["| licence | asks of whoever passes a copy on |", "| --- | --- |"]
    asked += [
        f"| {name} | {text} |"
        for name, text in sorted(table.licences.items(), key=lambda pair: pair[0].lower())
    ]
    blocks = [
        "# Licences",
        "This page is made by `python3 do.py notice` from `tools/licences.toml` and the locks: change those.",
        "## Passing Tackside on",
        PASSING_ON.format(lgpl="\n  ".join(textwrap.wrap(", ".join(lesser), 116, break_on_hyphens=False))),
        "## Made by others, in this project",
        "\n".join("- " + made(each) + "." for each in table.included),
        "## Installed with it",
        "Two versions: the older one for Python 3.11. “Declares” is what the package's own metadata say.",
        "\n".join(rows),
        "## Inside those packages",
        "\n".join(parts),
        "How we know:",
        "\n".join(sources),
        "## What each licence asks",
        "\n".join(asked),
        "## What is checked, and what is not",
        LIMITS,
    ]
    return "\n\n".join(blocks) + "\n"


def has_lesser(table: Table, name: str) -> bool:
    """Whether a package, or a part in it, is under the LGPL."""
    bundle = table.bundled.get(name)
    licences = [table.packages[name].licence, *(part.licence for part in (bundle.parts if bundle else ()))]
    return any(each.startswith("LGPL") for licence in licences for each in identifiers(licence))


def main(arguments: Sequence[str]) -> int:
    if list(arguments) not in ([], ["--check"]):
        print(__doc__)
        return 0 if list(arguments) in (["--help"], ["-h"]) else 2
    try:
        table = read_table(TABLE.read_text(encoding="utf-8"))
    except TableError as error:
        print(f"notice: {error}")
        return 2
    texts = {kind: (ROOT / "locks" / f"{kind}.txt").read_text(encoding="utf-8") for kind in LOCKS}
    locked = read_locks(texts.values())
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    told = problems(table, locked, {name: look(name) for name in locked})
    if told:
        print("\n".join(f"notice: {each}" for each in told))
        print("notice: the table is tools/licences.toml; then `python3 do.py notice` makes NOTICE anew")
        return 1
    why = reasons(project, read_locks([texts["run"]]), locked)
    papers: dict[Path, str] = {NOTICE: notice(table, locked, why), PAGE: page(table, locked, why)}
    stale = [
        file for file, text in papers.items() if not file.exists() or file.read_text(encoding="utf-8") != text
    ]
    for file in stale:
        name = file.relative_to(ROOT).as_posix()
        if arguments:
            print(f"notice: {name} is not what the table and the locks make; run `python3 do.py notice`")
        else:
            file.write_text(papers[file], encoding="utf-8", newline="\n")
            print(f"notice: {name} is made anew")
    return 1 if stale and arguments else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
