"""The licences of what the bundle holds: their texts carried along, and nothing in it that nobody has looked at."""

from __future__ import annotations

import re
import shutil
import sys
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from importlib import metadata
from pathlib import Path

from tools.licences import (
    ROOT,
    TABLE,
    TEXTS,
    Package,
    Part,
    as_package,
    declared,
    normalised,
    read_locks,
    read_table,
)

LOCKS = tuple(ROOT / "locks" / f"{kind}.txt" for kind in ("bundle", "build"))
# A library's own name, without what its packager or its version adds: libssl.so.3 and libssl-1a2b3c4d.so.3 are libssl.
STEM = re.compile(r"(-[0-9a-f]{8})?\.so.*$")
HEAD = """\
What the bundle holds beside Tackside and the packages that NOTICE names. The texts of all licences lie in this folder;
licences.md says what each asks. The libraries of others are files of their own in this bundle: whoever has it may put
another version of one in its place.

"""


@dataclass(frozen=True)
class Table:
    """What ``tools/licences.toml`` says: all packages, and the libraries of the machine that makes the bundle."""

    packages: Mapping[str, Package]
    frozen: tuple[Part, ...]
    debian: tuple[str, ...]


def bundle_table(text: str) -> Table:
    """The table from the text of ``licences.toml``. Raises TableError, KeyError."""
    raw, all_of_it = tomllib.loads(text), read_table(text)
    return Table(
        {
            **all_of_it.packages,
            **{name: as_package(said) for name, said in raw["bundle"].items()},
        },
        tuple(Part(each["name"], each["licence"], tuple(each["files"])) for each in raw["frozen"]),
        tuple(name for each in raw["frozen"] for name in each.get("debian", ())),
    )


def locked() -> dict[str, tuple[str, ...]]:
    """Name → versions of all that may be in the environment that makes the bundle."""
    found = read_locks([lock.read_text(encoding="utf-8") for lock in LOCKS])
    return {name: lock.versions for name, lock in found.items()}


def copy_texts(into: Path) -> None:
    """Copy the licence texts of every package of the lock, of Python and of Tackside into a folder."""
    into.mkdir(parents=True)
    for name in ("LICENSE", "NOTICE", "docs/licences.md"):
        shutil.copy(ROOT / name, into)
    shutil.copy(python_text(), into / "Python.txt")
    table = bundle_table(TABLE.read_text(encoding="utf-8"))
    (into / "BUNDLE.txt").write_text(beside_notice(table), encoding="utf-8")
    copy_debian(table, into / "debian")
    for package in locked():
        try:
            found = metadata.distribution(package)
        except metadata.PackageNotFoundError:  # of another system
            continue
        place = into / f"{package}-{found.version}"
        for file in found.files or []:
            if (TEXTS.search(file.name) or file.name == "METADATA") and file.suffix not in {".py", ".pyc"}:
                target = place / file.as_posix().replace("../", "")
                target.parent.mkdir(parents=True, exist_ok=True)
                shutil.copy(str(found.locate_file(file)), target)


def copy_debian(table: Table, into: Path, root: Path = Path("/usr/share")) -> None:
    """Copy what Debian says of the machine's libraries, and the long texts that it names; elsewhere is nothing."""
    papers = [(name, root / "doc" / name / "copyright") for name in table.debian]
    papers += [
        (name, root / "common-licenses" / name) for name in ("Apache-2.0", "GPL-3", "LGPL-2.1", "LGPL-3")
    ]
    for name, text in papers:
        if text.is_file():
            into.mkdir(parents=True, exist_ok=True)
            shutil.copy(text, into / f"{name}.txt")


def beside_notice(table: Table) -> str:
    """What NOTICE does not name, as it is installed with no package."""
    loader = table.packages["pyinstaller"]
    lines = [f"- {each.name}: {each.licence}" for each in table.frozen]
    lines.append(f"- the loader that starts the bundle, from PyInstaller: {loader.licence}; {loader.note}")
    lines.append(f"- platformdirs: {table.packages['platformdirs'].licence}")
    return HEAD + "\n".join(lines) + "\n"


def python_text() -> Path:
    """Python's own licence, which lies in its library or beside it."""
    base = Path(sys.base_prefix)
    version = f"python{sys.version_info.major}.{sys.version_info.minor}"
    places = (
        base / "lib" / version / "LICENSE.txt",
        base / "LICENSE.txt",
        Path("/usr/share/doc") / version / "copyright",
    )
    return next(place for place in places if place.exists())


def problems(installed: Iterable[metadata.Distribution]) -> list[str]:
    """What of this environment is not in its locks, or declares another licence than the table has for it."""
    table, pinned = bundle_table(TABLE.read_text(encoding="utf-8")), locked()
    told = []
    for each in installed:
        name = normalised(each.name)
        if name in {"pip", "tackside"}:
            continue
        if each.version not in pinned.get(name, ()):
            told.append(f"{name} {each.version} is not what the locks pin; make the environment again")
        elif name not in table.packages or declared(each.metadata) not in table.packages[name].declared:
            told.append(
                f"{name}: it declares {declared(each.metadata)!r}, which is not in tools/licences.toml; "
                "read its licence text"
            )
    return told


def strange_libraries(folder: Path) -> list[str]:
    """Libraries in an application folder that came from the machine itself, and that the table does not name.

    What a package brought lies in a folder of its own, or is linked to from here.
    """
    table = bundle_table(TABLE.read_text(encoding="utf-8"))
    known = {name for each in table.frozen for name in each.files}
    own = (file.name for file in (folder / "_internal").glob("lib*.so*") if not file.is_symlink())
    return [
        f"{name}: nobody has looked at the licence of this library; find it and name it under [[frozen]]"
        for name in sorted({STEM.sub("", name) for name in own} - known)
    ]
