"""Licences: the table that a person keeps, the locks, and what the installed packages say of themselves.

Standard library only. Nothing here writes; ``problems`` says in plain words where the three do not agree.
"""

from __future__ import annotations

import json
import re
import sys
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parent.parent
TABLE = ROOT / "tools" / "licences.toml"
# What licence files are called, and what in the source must be somebody else's unless the table says whose.
TEXTS = re.compile(r"LICEN[CS]E|COPYING|NOTICE", re.IGNORECASE)
OTHERS = ("*.otf", "*.ttf", "*.woff2", "*.min.js", "*.icc", "LICEN[CS]E*", "OFL*")


class TableError(Exception):
    """The table cannot be read; the message says what to mend."""


@dataclass(frozen=True)
class Package:
    """What a person has read of one package: what it declares, and what that means."""

    declared: tuple[str, ...]
    licence: str
    text: bool = True
    note: str = ""


@dataclass(frozen=True)
class Part:
    """A library or data of others inside an installed package; ``files`` name it in its folder of libraries."""

    name: str
    licence: str
    files: tuple[str, ...] = ()


@dataclass(frozen=True)
class Bundle:
    parts: tuple[Part, ...]
    source: str


@dataclass(frozen=True)
class Included:
    """What this project contains that others made: globs of the files, and of the licence texts beside them."""

    what: str
    copyright: str
    licence: str
    where: tuple[str, ...]
    text: tuple[str, ...]
    note: str = ""
    shipped: bool = True


@dataclass(frozen=True)
class Table:
    licences: Mapping[str, str]
    packages: Mapping[str, Package]
    bundled: Mapping[str, Bundle]
    included: tuple[Included, ...]


@dataclass(frozen=True)
class Locked:
    """A package of the locks; ``everywhere`` is false where only some platforms or Pythons need it."""

    versions: tuple[str, ...]
    parents: frozenset[str]
    everywhere: bool


@dataclass(frozen=True)
class Installed:
    """What one installed package says: ``crates`` are the licences of the Rust code in it, by its own list."""

    version: str
    declared: str
    has_text: bool
    libraries: tuple[str, ...] = ()
    crates: tuple[str, ...] = ()


def normalised(name: str) -> str:
    """A package's name as the locks write it (the form of PyPA's specification of names)."""
    return re.sub(r"[-_.]+", "-", name).lower()


def identifiers(expression: str) -> set[str]:
    """The licences of an SPDX expression; one with an exception stays one, for the exception is the point."""
    parts = re.split(r"\s+(?:AND|OR)\s+", expression.replace("(", " ").replace(")", " "))
    return {" ".join(part.split()) for part in parts}


def read_table(text: str) -> Table:
    """The table from the text of ``licences.toml``.

    Raises:
        TableError: when it is not TOML, or an entry lacks a key or has one that is not known.
    """
    try:
        raw = tomllib.loads(text)
        packages = {name: as_package(said) for name, said in raw["packages"].items()}
        bundled = {
            each["package"]: Bundle(tuple(Part(**_tuples(part)) for part in each["parts"]), each["source"])
            for each in raw["bundled"]
        }
        included = tuple(Included(**_tuples(each)) for each in raw["included"])
        return Table(raw["licences"], packages, bundled, included)
    except tomllib.TOMLDecodeError as error:
        raise TableError(f"tools/licences.toml is not TOML ({error}); mend that place") from error
    except KeyError as error:
        raise TableError(f"tools/licences.toml lacks {error}; add it as the other entries have it") from error
    except TypeError as error:
        raise TableError(f"tools/licences.toml has an entry with a wrong or missing key: {error}") from error


def as_package(said: str | dict[str, Any]) -> Package:
    """A package from its line in the table: what it declares, or more than that."""
    if isinstance(said, str):
        return Package((said,), said)
    declares = said["declared"]
    several = tuple(declares) if isinstance(declares, list) else (declares,)
    return Package(**{**said, "declared": several})


def _tuples(entry: dict[str, Any]) -> dict[str, Any]:
    """An entry with its lists as tuples, as the frozen classes want them."""
    return {key: tuple(value) if isinstance(value, list) else value for key, value in entry.items()}


def read_locks(texts: Iterable[str]) -> dict[str, Locked]:
    """Name → what the lock files say of it together."""
    found: dict[str, Locked] = {}
    for text in texts:
        for block in re.split(r"\n(?=[a-z0-9])", text.strip()):
            pin = re.match(r"([a-z0-9._-]+)==([^ \\;]+)( ;)?", block)
            if not pin:
                continue
            # "via" names who asks for it, on the same line when it is one, a line for each when there are more
            parents = frozenset(
                re.findall(r"^ +# +(?:via )?([a-z0-9._-]+)(?: \(.*\))?$", block, re.MULTILINE)
            )
            before = found.get(pin[1], Locked((), frozenset(), False))
            found[pin[1]] = Locked(
                tuple(sorted({*before.versions, pin[2]})),
                before.parents | parents - {"via"},
                before.everywhere or not pin[3],
            )
    return found


def needed_by(names: Iterable[str], locked: Mapping[str, Locked]) -> set[str]:
    """These packages of the locks and all that they bring in."""
    reached = set(names)
    while more := {name for name, lock in locked.items() if lock.parents & reached} - reached:
        reached |= more
    return reached


def look(name: str) -> Installed | None:
    """What the package of this name says of itself in this environment; None where it is not installed."""
    try:
        found = metadata.distribution(name)
    except metadata.PackageNotFoundError:
        return None
    files = [Path(str(file)) for file in found.files or []]
    libraries = {
        re.sub(r"((-[0-9a-f]{8})+)?\..*$", "", file.name) for file in files if file.parts[0].endswith(".libs")
    }
    crates: set[str] = set()
    for file in files:
        if file.parent.name == "sboms" and file.name.endswith(".cyclonedx.json"):
            crates |= crate_licences(Path(str(found.locate_file(file))).read_text(encoding="utf-8"))
    return Installed(
        found.version,
        declared(found.metadata),
        any(TEXTS.search(str(file)) and file.suffix not in {".py", ".pyc"} for file in files),
        # What the folder holds differs by platform; the table was written from the packages for Linux.
        tuple(sorted(libraries)) if sys.platform == "linux" else (),
        tuple(sorted(crates)),
    )


def declared(said: metadata.PackageMetadata) -> str:
    """What a package declares: its expression; else its License in one line; else its classifiers; else nothing."""
    for key in ("License-Expression", "License"):
        for value in said.get_all(key) or []:
            if value.strip() and "\n" not in value.strip():
                return str(value).strip()
    classes = [each.split(" :: ") for each in said.get_all("Classifier") or []]
    licences = {each[-1] for each in classes if each[0] == "License" and each[-1] != "OSI Approved"}
    return "; ".join(sorted(licences)) or "nothing"


def crate_licences(sbom: str) -> set[str]:
    """The licence expressions in a CycloneDX list of parts."""
    parts = json.loads(sbom).get("components", [])
    said = [each for part in parts for each in part.get("licenses", [])]
    return {each.get("expression") or each["license"].get("id") or each["license"]["name"] for each in said}


def problems(
    table: Table, locked: Mapping[str, Locked], installed: Mapping[str, Installed | None], root: Path = ROOT
) -> list[str]:
    """All that does not agree, each in plain words with the fix; empty when everything has been looked at."""
    told: list[str] = []
    for name, lock in sorted(locked.items()):
        known, here = table.packages.get(name), installed.get(name)
        if known is None:
            says = f"it declares {here.declared!r}" if here else "it is not installed here"
            told.append(
                f"{name}: nobody has looked at its licence ({says}); read its licence text and add it to [packages]"
            )
        elif here is None:
            if lock.everywhere:
                told.append(
                    f"{name}: it is not installed, so that its licence cannot be checked; install the locks"
                )
        else:
            told += _differences(name, known, lock, here, table)
    told += [
        f"{name}: no lock names it any more; take it out of [packages] and [[bundled]]"
        for name in sorted(({*table.packages} | {*table.bundled}) - {*locked})
    ]
    stated = [(name, package.licence) for name, package in table.packages.items()]
    stated += [
        (f"{name}, {part.name}", part.licence) for name, each in table.bundled.items() for part in each.parts
    ]
    stated += [(each.what, each.licence) for each in table.included]
    for who, licence in stated:
        told += _unknown(who, licence, table)
    return told + _astray(table, root)


def _differences(name: str, known: Package, lock: Locked, here: Installed, table: Table) -> list[str]:
    """Where an installed package says what does not stand in the table."""
    told = []
    if here.version not in lock.versions:
        told.append(
            f"{name}: {here.version} is installed, the locks want {' or '.join(lock.versions)}; install the locks"
        )
    if here.declared not in known.declared:
        told.append(
            f"{name}: it declares {here.declared!r}, where the table has {' or '.join(map(repr, known.declared))}; "
            "read its licence text again and bring its line in [packages] up to it"
        )
    if here.has_text != known.text:
        has, put = ("a", "take out") if here.has_text else ("no", "find the text elsewhere and put")
        told.append(f"{name}: it brings {has} licence text along; {put} `text = false` in [packages]")
    bundle = table.bundled.get(name)
    files = {file for part in bundle.parts for file in part.files} if bundle else set()
    told += [
        f"{name}: nobody has looked at the library {library} in it; find its licence and name it under [[bundled]]"
        for library in here.libraries
        if library not in files
    ]
    for crates in here.crates:
        told += _unknown(f"{name}, a part in its list of Rust crates", crates, table)
    return told


def _unknown(who: str, licence: str, table: Table) -> list[str]:
    return [
        f"{who}: nobody has looked at the licence {each!r}; read it and say in [licences] what it asks"
        for each in sorted(identifiers(licence) - {*table.licences})
    ]


def _astray(table: Table, root: Path) -> list[str]:
    """Files the table names that are not there, and files of others in the source that it does not name."""
    told, named = [], set()
    for each in table.included:
        for pattern in (*each.where, *each.text):
            found = set(root.glob(pattern))
            named |= found
            if not found:
                told.append(f"{each.what}: there is no file {pattern}; mend its place under [[included]]")
    others = {file for folder in ("src", "tests") for like in OTHERS for file in (root / folder).rglob(like)}
    return told + [
        f"{file.relative_to(root).as_posix()}: nobody has said whose it is; name it under [[included]]"
        for file in sorted(others - named)
    ]
