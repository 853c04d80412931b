"""Where a bench lies: a folder, and for a bench of several stations a PostgreSQL database beside it.

Files always lie in the folder. The records lie in ``bench.sqlite`` there, or in the database that ``bench.toml``
there names, or in the database whose URL was given. No file ever keeps a password. The folder is its owner's: what lies
in it is readable by no other account of the machine.
"""

from __future__ import annotations

import contextlib
import os
import stat
import tomllib
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL, make_url
from sqlalchemy.exc import ArgumentError

from tackside.errors import BadRequest, StorageTrouble
from tackside.files.atomic import TEMPORARY_PREFIX, explain, write_atomically
from tackside.files.outside import Intake, require_name

DATABASE = "bench.sqlite"
POINTER = "bench.toml"
PAGE_SECRET = "pages.secret"  # what the workbench's form tokens are made with; never leaves the folder
PAGE_SESSIONS = "pages.sessions"  # which browsers have been let in; never leaves the folder either
# Begins the name of a page that leads a browser in; it holds a key and is gone soon.
PAGE_OPENING = "opening-"
FILES = "files"
ASIDE = "restoring"
# What can be made again, is only passing through, or is kept by its hash.
PASSING = frozenset({FILES, ASIDE, "cache", "incoming"})
# What else the program keeps in the folder, and what a person may lay there for it.
SCANNERS, SECOND_SIDES, POST = "scanners", "second-sides.json", "post.toml"
_DATABASES = (DATABASE, f"{DATABASE}-wal", f"{DATABASE}-shm", f"{DATABASE}-journal", POINTER)
# Its own of each bench: one that came in an archive could be known to whoever packed it.
_PRIVATE = (PAGE_SECRET, PAGE_SESSIONS)
FILES_VARIABLE = "TACKSIDE_FILES"
DRIVER = "postgresql+psycopg"
_POINTER = Intake(most_bytes=100_000)
_DRIVERS = ("postgres", "postgresql", DRIVER)

_OTHERS = stat.S_IRWXO
_GROUP = stat.S_IRWXG
_SHARED = stat.S_IWGRP | stat.S_ISGID

# URLs that this process was given, with their passwords, by the folder of their files.
_given: dict[Path, URL] = {}


@dataclass(frozen=True)
class BenchLocation:
    """The folder of a bench, and the URL of its database where that is no file in the folder."""

    folder: Path
    url: URL | None = None

    @property
    def database(self) -> Path | str:
        """The database as a message names it: a file, or a URL without password and options."""
        return self.folder / DATABASE if self.url is None else shown(self.url)


def is_url(where: str | os.PathLike[str]) -> bool:
    return isinstance(where, str) and where.partition(":")[0] in _DRIVERS and "://" in where


def place_of(where: str | os.PathLike[str]) -> BenchLocation:
    """The place that a folder or a URL names. Raises BadRequest and StorageTrouble."""
    if is_url(where):
        return _from_url(str(where))
    require_name(where)
    try:
        folder = Path(where).expanduser()
        given = _given.get(folder.resolve())
    except RuntimeError as error:  # ~ of a user that is not there, or links in a circle
        raise explain(OSError(2, str(error)), Path(where), "write") from error
    except OSError as error:
        raise explain(error, Path(where), "write") from error
    return BenchLocation(folder, given or _pointed_at(folder))


def remember(place: BenchLocation) -> Path:
    """Let this process find a database by its folder alone; the programs it starts learn the password.

    Returns the folder. Commands know only that.
    """
    if place.url is not None:
        _given[place.folder.resolve()] = place.url
        if place.url.password:
            os.environ["PGPASSWORD"] = str(place.url.password)
    return place.folder


def point_to(place: BenchLocation) -> None:
    """Write ``bench.toml``, so that the folder alone leads to the database. Raises StorageTrouble."""
    assert place.url is not None
    plain = place.url.set(password=None).render_as_string()
    plain = plain.replace("\\", "\\\\").replace('"', '\\"')
    text = f'# The records of this bench lie in a database; only its files lie here.\ndatabase = "{plain}"\n'
    write_atomically(place.folder / POINTER, text.encode("utf-8"))


def shown(url: URL) -> str:
    """A URL as one may read it out: no password, no options."""
    return url.set(drivername="postgresql", password=None, query={}).render_as_string()


def _from_url(text: str) -> BenchLocation:
    try:
        url = make_url(text)
    except (ArgumentError, ValueError) as error:
        raise BadRequest("database.no-url") from error
    if not url.database:
        raise BadRequest("database.url-without-name", url=shown(url))
    files = url.query.get("files") or os.environ.get(FILES_VARIABLE)
    if not files or not isinstance(files, str):
        raise BadRequest("database.url-without-files", url=shown(url), variable=FILES_VARIABLE)
    return BenchLocation(
        Path(files).expanduser(), url.set(drivername=DRIVER).difference_update_query(["files"])
    )


def _pointed_at(folder: Path) -> URL | None:
    pointer = folder / POINTER
    try:
        if not pointer.is_file():
            return None
        data = tomllib.loads(_POINTER.read(pointer).decode("utf-8"))
        url = make_url(str(data["database"]))
    except OSError as error:
        raise explain(error, pointer, "read") from error
    except (ValueError, KeyError, ArgumentError) as error:
        raise StorageTrouble("database.pointer-without-name", file=str(pointer)) from error
    if url.drivername not in _DRIVERS or not url.database:
        raise StorageTrouble("database.pointer-elsewhere", file=str(pointer))
    return url.set(drivername=DRIVER)


def is_own(name: str) -> bool:
    """Whether a file at the top of the folder is this bench's alone, which no archive takes along or brings."""
    return name in (*_DATABASES, *_PRIVATE) or name.startswith(PAGE_OPENING)


def keep_private(folder: Path) -> None:
    """Shut a bench's folder, and its database, to whoever it is not for, where there are modes; earlier ones lay open.

    A folder that holds anything else, as a person's home or the root of a disk would, is not the bench's to shut: its
    database and the folders in it that are the bench's are. One that a group may write to, or whose files go to its
    group (set-group-ID), was given to that group by hand and stays the group's. One whose records lie in a database
    elsewhere is shared by its nature, and stays as it is. Where it is another's, nothing is changed.
    """
    if os.name != "posix" or (folder / POINTER).exists():
        return
    with contextlib.suppress(OSError):
        if folder.stat().st_uid != os.geteuid():
            return
        mode = stat.S_IMODE(folder.stat().st_mode)
        taken = _OTHERS if mode & _SHARED else _OTHERS | _GROUP
        there = [each.name for each in folder.iterdir()]
        parts = PASSING | {SCANNERS}
        is_its_own = all(
            name in parts | {SECOND_SIDES, POST} or is_own(name) or name.startswith(TEMPORARY_PREFIX)
            for name in there
        )
        shut = [folder] if is_its_own else [folder / name for name in there if name in parts]
        for each in (folder / DATABASE, *shut):
            found = stat.S_IMODE(each.stat().st_mode)
            if found & taken:
                each.chmod(found & ~taken)
