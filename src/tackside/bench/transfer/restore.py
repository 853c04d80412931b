"""A backup brought back, whole or not at all: unpacked and verified aside, then taken into the bench at once.

Whatever is refused, or stopped on the way, leaves no record and no file, and can be tried again.
"""

from __future__ import annotations

import contextlib
import json
import os
import shutil
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

from pydantic import ValidationError
from sqlalchemy.engine import Connection

from tackside.bench.database.all_tables import all_tables
from tackside.bench.database.migrations import (
    bring_up_to_date,
    knows,
    make_form,
    require_known_form,
    upgrade_form,
)
from tackside.bench.database.rows import Row, fill, is_empty, rows_of, tables_in, tally_of
from tackside.bench.database.storage import (
    HEAD,
    WRITES,
    connect,
    form_of,
    require_same_form,
    sqlite_url,
    translated,
)
from tackside.bench.location import ASIDE, DATABASE, FILES, BenchLocation, point_to
from tackside.bench.repositories.kept_files import Shelf
from tackside.bench.transfer.backup import Backed, Say
from tackside.bench.transfer.manifest import LAYOUT, MANIFEST, Manifest, Small, damaged
from tackside.bench.transfer.sidecar_files import is_safe
from tackside.errors import StorageTrouble
from tackside.files.atomic import atomic_path, explain, sha256_of
from tackside.files.outside import Intake
from tackside.messages.message import Message

# A row holds a sheet or a reading at most; the largest seen are some megabytes.
LARGEST_LINE_BYTES = 256 << 20
LARGEST_MANIFEST_BYTES = 256 << 20


def restore(archive_file: str | os.PathLike[str], target: BenchLocation, say: Say = lambda _: None) -> Backed:
    """Bring a backup back to a place that holds no records yet, every count and hash verified.

    A backup of an earlier form is brought to this version's. Raises StorageTrouble where the archive is damaged,
    is none of ours or newer, or the place holds records: then nothing was written.
    """
    path = Path(archive_file)
    try:
        with Intake().open(path) as stream, zipfile.ZipFile(stream) as archive:
            manifest = _manifest(archive, path)
            with _aside(target.folder) as aside:
                _require_no_records(target)
                _unpack(archive, manifest, aside, path, say)
                _take_in(aside, manifest, target)
    except OSError as error:
        raise explain(error, path, "read") from error
    except (zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError, RuntimeError, ValueError) as error:
        raise damaged(path) from error
    rows = sum(counted.rows for counted in manifest.tables.values())
    lacks = tuple(Message.of_data(each) for each in manifest.lacks)
    return Backed(rows, len(manifest.files), len(manifest.beside), lacks)


@contextlib.contextmanager
def _aside(folder: Path) -> Iterator[Path]:
    """An empty folder in the bench's, and so on its disk; what a stopped restore left there is cleared away first."""
    made = [each for each in (folder, *folder.parents) if not each.exists()]
    aside = folder / ASIDE
    try:
        shutil.rmtree(aside, ignore_errors=True)
        aside.mkdir(parents=True)
    except OSError as error:
        raise explain(error, folder, "write") from error
    try:
        yield aside
    finally:
        shutil.rmtree(aside, ignore_errors=True)
        for each in made:  # the innermost first; one that is in use stays
            with contextlib.suppress(OSError):
                each.rmdir()


def _require_no_records(target: BenchLocation) -> None:
    """Nor a bench that another version may write to: its files would be there before its rows are refused."""
    if target.url is None and not (target.folder / DATABASE).is_file():
        return
    engine = connect(sqlite_url(target.folder / DATABASE) if target.url is None else target.url)
    with translated(target.database), engine.connect() as connection:
        require_known_form(form_of(connection), target.database)
        found = tables_in(connection)
        if found and ({each.name for each in found} != _names() or not is_empty(connection)):
            raise _records_there(target)


def _unpack(archive: zipfile.ZipFile, manifest: Manifest, aside: Path, path: Path, say: Say) -> None:
    """Rows, files and small files, each against its count and hash, into a bench aside."""
    for number, sha256 in enumerate(manifest.files, 1):
        say(Message("progress.file-of", number=number, of=len(manifest.files)))
        with _entry(archive, f"files/{sha256}", path) as stream:
            Shelf(aside / FILES).put(stream, sha256)
    for small in manifest.beside:
        _unpack_small(archive, small, aside, path)
    database = aside / DATABASE
    with (
        translated(database),
        connect(sqlite_url(database)).execution_options(**{WRITES: True}).begin() as connection,
    ):
        make_form(connection, manifest.form)
        _fill_tables(connection, archive, manifest, path, say)
        if manifest.form != HEAD:
            upgrade_form(connection)


def _take_in(aside: Path, manifest: Manifest, target: BenchLocation) -> None:
    """From aside into the bench: files first, then all rows in one transaction."""
    engine = connect(sqlite_url(target.folder / DATABASE) if target.url is None else target.url)
    shelf, kept = Shelf(aside / FILES), Shelf(target.folder / FILES)
    try:
        for sha256 in manifest.files:
            kept.take(shelf, sha256)
        for small in manifest.beside:
            place = target.folder / small.path
            place.parent.mkdir(parents=True, exist_ok=True)
            if not place.parent.resolve().is_relative_to(target.folder.resolve()):
                raise StorageTrouble("transfer.link-outside", folder=str(place.parent))
            (aside / small.path).replace(place)
    except OSError as error:
        raise explain(error, target.folder, "write") from error
    with translated(target.database):
        bring_up_to_date(engine, target.database)
        with (
            connect(sqlite_url(aside / DATABASE)).connect() as here,
            engine.execution_options(**{WRITES: True}).begin() as there,
        ):
            require_same_form(there, target.database)
            if not is_empty(there):  # another program began to work on it meanwhile
                raise _records_there(target)
            for table in all_tables():
                fill(there, table, rows_of(here, table))
                if tally_of(here, table).told != tally_of(there, table).told:
                    raise StorageTrouble(
                        "transfer.rows-missing", bench=str(target.database), table=table.name,
                        there=tally_of(there, table).rows, here=tally_of(here, table).rows,
                    )  # fmt: skip
    if target.url is not None:
        point_to(target)


def _records_there(target: BenchLocation) -> StorageTrouble:
    return StorageTrouble("transfer.records-there-already", bench=str(target.database))


def _names() -> set[str]:
    return {table.name for table in all_tables()}


def _fill_tables(
    connection: Connection, archive: zipfile.ZipFile, manifest: Manifest, path: Path, say: Say
) -> None:
    known = {
        table.name: table for table in (all_tables() if manifest.form == HEAD else tables_in(connection))
    }
    if set(known) != set(manifest.tables):
        raise damaged(path)
    for name, table in known.items():  # those that others point at first
        say(Message("progress.rows-done", table=name, count=manifest.tables[name].rows))
        fill(connection, table, _lines(archive, name, set(table.columns.keys()), path))
        asked = manifest.tables[name]
        if tally_of(connection, table).told != (asked.rows, asked.digest):
            raise StorageTrouble("transfer.backup-rows-differ", file=str(path), table=name)


def _manifest(archive: zipfile.ZipFile, path: Path) -> Manifest:
    with _entry(archive, MANIFEST, path) as stream:
        text = stream.read(LARGEST_MANIFEST_BYTES)
    data: Any = json.loads(text)
    if not isinstance(data, dict) or data.get("kind") != "tackside-bench":
        raise damaged(path)
    if not isinstance(data.get("layout"), int) or data["layout"] > LAYOUT or not knows(str(data.get("form"))):
        raise StorageTrouble("transfer.backup-newer", file=str(path), version=str(data.get("version"))[:40])
    try:
        manifest = Manifest.model_validate(data)
    except ValidationError as error:
        raise damaged(path) from error
    if not all(is_safe(small.path) for small in manifest.beside):
        raise StorageTrouble("transfer.backup-writes-outside", file=str(path))
    return manifest


def _unpack_small(archive: zipfile.ZipFile, small: Small, folder: Path, path: Path) -> None:
    target = folder / small.path
    try:
        target.parent.mkdir(parents=True, exist_ok=True)
        if not target.parent.resolve().is_relative_to(folder.resolve()):
            raise StorageTrouble("transfer.link-outside", folder=str(target.parent))
    except OSError as error:
        raise explain(error, target, "write") from error
    with _entry(archive, f"beside/{small.path}", path) as stream, atomic_path(target) as temporary:
        with temporary.open("wb") as file:
            while chunk := stream.read(1 << 20):
                file.write(chunk)
        if sha256_of(temporary) != small.sha256:
            raise damaged(path)


def _lines(archive: zipfile.ZipFile, name: str, columns: set[str], path: Path) -> Iterator[Row]:
    with _entry(archive, f"tables/{name}.jsonl", path) as stream:
        while line := stream.readline(LARGEST_LINE_BYTES):
            try:
                row = json.loads(line)
            except ValueError as error:
                raise damaged(path) from error
            if not isinstance(row, dict) or set(row) != columns:
                raise damaged(path)
            yield row


def _entry(archive: zipfile.ZipFile, name: str, path: Path) -> IO[bytes]:
    try:
        return archive.open(name)
    except KeyError as error:
        raise damaged(path) from error
