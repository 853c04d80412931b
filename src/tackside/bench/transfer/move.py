"""A bench moved to another place: from a folder to a server, or back; every row and file counted and hashed.

The order makes it safe to be stopped at any moment: files first, then all rows in one transaction of the new bench,
then the old one is sealed. Until then the old bench holds; called again, the move goes on.
"""

from __future__ import annotations

import shutil
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import URL
from sqlalchemy.engine import Connection

from tackside.bench.database.all_tables import all_tables
from tackside.bench.database.migrations import bring_up_to_date, seal
from tackside.bench.database.rows import fill, is_empty, rows_of, tally_of
from tackside.bench.database.server import require_unicode
from tackside.bench.database.storage import WRITES, connect, require_same_form, sqlite_url, translated
from tackside.bench.location import DATABASE, FILES, POINTER, BenchLocation, point_to
from tackside.bench.repositories.kept_files import Shelf
from tackside.bench.transfer.sidecar_files import kept_hashes, small_files
from tackside.bench.transfer.soundness import Soundness
from tackside.errors import BadRequest, NotFound, StorageTrouble
from tackside.files.atomic import atomic_path, explain, sha256_of
from tackside.messages.message import Message

Say = Callable[[Message], None]


@dataclass(frozen=True)
class Moved:
    """What was moved: rows by table, files kept by hash and beside, all verified.

    ``lacking``: files that records name and that were missing or damaged before.
    """

    rows: dict[str, int]
    files: int
    beside: int
    lacking: tuple[Message, ...] = ()


def move_bench(source: BenchLocation, target: BenchLocation, say: Say = lambda _: None) -> Moved:
    """Move all records and files to a place that holds none yet. The old rows and files stay, sealed.

    Raises BadRequest where both places are one, NotFound where there is no bench, StorageTrouble where the target
    already holds other records, a row is damaged, or a count or hash differs: then nothing has moved.
    """
    if _same(source, target):
        raise BadRequest("transfer.same-place")
    old = connect(_url(source))
    if source.url is None and not (source.folder / DATABASE).is_file():
        raise NotFound("transfer.nothing-to-move", folder=str(source.folder))
    with translated(source.database):
        bring_up_to_date(old, source.database, create=False)
    _make(target)
    new = connect(_url(target))
    with translated(target.database):
        bring_up_to_date(new, target.database)
        if target.url is not None:
            with new.connect() as connection:
                require_unicode(connection, target.database)
    _copy_files(source.folder, target.folder, say, check=True)
    with translated(source.database), old.execution_options(**{WRITES: True}).begin() as here:
        require_same_form(here, source.database)  # nobody writes to the old bench from here on
        survey = _sound(here, source)
        files, beside = _copy_files(source.folder, target.folder, say, check=False)
        if not _is_one_folder(source, target):
            survey.flaws += _lacking(survey.named, source.folder, target.folder)
        with translated(target.database), new.execution_options(**{WRITES: True}).begin() as there:
            require_same_form(there, target.database)
            rows = _copy_rows(here, there, target, say)
        if target.url is not None:
            point_to(target)
        seal(here)
    return Moved(rows, files, beside, tuple(survey.flaws))


def _sound(here: Connection, source: BenchLocation) -> Soundness:
    """A look at every row, and what the files are called that they keep. Raises StorageTrouble where one is damaged."""
    survey = Soundness()
    for table in all_tables():
        for _ in survey.sound_rows(here, table):
            pass
    if survey.flaws:
        raise StorageTrouble("transfer.bench-damaged", bench=str(source.database), flaw=survey.flaws[0])
    return survey


def _is_one_folder(source: BenchLocation, target: BenchLocation) -> bool:
    return source.folder.resolve() == target.folder.resolve()


def _lacking(named: dict[str, str], source: Path, target: Path) -> list[Message]:
    """Files that records name, and that could not come along."""
    here, there = Shelf(source / FILES), Shelf(target / FILES)
    return [
        Message(
            f"transfer.flaw-file-{'damaged' if here.holds(sha256) else 'missing'}", file=name, sha256=sha256
        )
        for sha256, name in named.items()
        if not there.holds(sha256)
    ]


def _copy_files(source: Path, target: Path, say: Say, *, check: bool) -> tuple[int, int]:
    """Copy what is missing of the kept files and the small ones, each checked by its hash; how many there are.

    With ``check``, kept files that are there already are hashed as well.
    """
    if source.resolve() == target.resolve():  # the files stay where they are
        return sum(1 for _ in kept_hashes(source)), sum(1 for _ in small_files(source))
    shelf = Shelf(target / FILES)
    files = beside = 0
    for sha256 in kept_hashes(source):
        if not shelf.holds(sha256) or (check and sha256_of(shelf.place(sha256)) != sha256):
            say(Message("progress.copying-file", number=files + 1))
            if sha256_of(Shelf(source / FILES).place(sha256)) != sha256:
                continue  # damaged: told at the end
            try:
                with Shelf(source / FILES).place(sha256).open("rb") as stream:
                    shelf.put(stream, sha256)
            except OSError as error:
                raise explain(error, source, "read") from error
        files += 1
    for path in small_files(source):
        beside += 1
        try:
            (target / path).parent.mkdir(parents=True, exist_ok=True)
        except OSError as error:
            raise explain(error, target / path, "write") from error
        with atomic_path(target / path) as temporary:
            shutil.copyfile(source / path, temporary)
        if sha256_of(source / path) != sha256_of(target / path):
            raise StorageTrouble("transfer.copy-differs", file=str(target / path))
    return files, beside


def _copy_rows(here: Connection, there: Connection, target: BenchLocation, say: Say) -> dict[str, int]:
    """All rows from one transaction to the other, then read back and compared. A target that has them all is left."""
    new = is_empty(there)
    counted: dict[str, int] = {}
    for table in all_tables():
        if new:
            fill(there, table, rows_of(here, table))
        counts = tally_of(here, table), tally_of(there, table)
        if counts[0].told != counts[1].told:
            raise StorageTrouble(
                "transfer.rows-missing" if new else "transfer.other-records-there",
                bench=str(target.database), table=table.name, there=counts[1].rows, here=counts[0].rows,
            )  # fmt: skip
        counted[table.name] = counts[0].rows
        say(Message("progress.rows-done", table=table.name, count=counts[0].rows))
    return counted


def _url(place: BenchLocation) -> URL:
    return sqlite_url(place.folder / DATABASE) if place.url is None else place.url


def _same(one: BenchLocation, other: BenchLocation) -> bool:
    if one.url is None or other.url is None:
        return one.url is other.url and one.folder.resolve() == other.folder.resolve()
    return one.url.set(password=None) == other.url.set(password=None)


def _make(target: BenchLocation) -> None:
    try:
        target.folder.mkdir(parents=True, exist_ok=True)
        if target.url is None and (target.folder / POINTER).exists():
            raise StorageTrouble("transfer.folder-of-another", folder=str(target.folder))
    except OSError as error:
        raise explain(error, target.folder, "write") from error
