"""A whole bench in one zip archive, and back from it; the same from SQLite and from a server.

The archive holds ``tables/<name>.jsonl`` (a row a line), ``files/<sha256>``, ``beside/<path>`` for the small files, and
at its end ``manifest.json`` with every count and hash. It is written and read as a stream.
"""

from __future__ import annotations

import hashlib
import json
import os
import zipfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Annotated, Any, Literal

from pydantic import Field, ValidationError
from sqlalchemy import Engine, Table
from sqlalchemy.engine import Connection

from tackside import __version__
from tackside.bench.database.all_tables import all_tables
from tackside.bench.database.migrations import bring_up_to_date, knows, make_form, upgrade_form
from tackside.bench.database.rows import (
    Row,
    RowTally,
    fill,
    is_empty,
    line_of,
    rows_of,
    tables_in,
    tally_of,
)
from tackside.bench.database.storage import HEAD, WRITES, connect, sqlite_url, translated
from tackside.bench.location import DATABASE, BenchLocation, point_to
from tackside.bench.repositories.kept_files import Shelf
from tackside.bench.transfer.sidecar_files import FILES, is_safe, kept_hashes, small_files
from tackside.errors import NotFound, StorageTrouble
from tackside.files.atomic import atomic_path, explain, sha256_of
from tackside.messages.message import Message
from tackside.records import Record

LAYOUT = 1
MANIFEST = "manifest.json"
# A row holds a sheet or a reading at most; the largest seen are some megabytes.
LARGEST_LINE_BYTES = 256 << 20
LARGEST_MANIFEST_BYTES = 256 << 20

Say = Callable[[Message], None]
Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]


class Counted(Record):
    rows: int
    digest: Sha256


class Small(Record):
    path: str
    sha256: Sha256


class Manifest(Record):
    """What a backup holds. ``form`` is the database's revision, ``digest`` as ``rows.Tally`` makes it."""

    kind: Literal["tackside-bench"] = "tackside-bench"
    layout: int = LAYOUT
    form: str
    version: str
    made_at: datetime
    tables: dict[str, Counted]
    files: tuple[Sha256, ...]
    beside: tuple[Small, ...]


@dataclass(frozen=True)
class Backed:
    """What a backup holds, in numbers."""

    rows: int
    files: int
    beside: int


def back_up(place: BenchLocation, out: str | os.PathLike[str], say: Say = lambda _: None) -> Backed:
    """Write a bench as it is at this moment into one archive; others may go on working meanwhile.

    Raises NotFound where there is no bench, StorageTrouble where disk or database refuse.
    """
    engine = _opened(place)
    with (
        atomic_path(out) as temporary,
        zipfile.ZipFile(temporary, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive,
    ):
        with translated(place.database), engine.connect() as connection:
            counted = {table.name: _write_table(archive, connection, table, say) for table in all_tables()}
        files = tuple(kept_hashes(place.folder))  # after the rows: every file that they name is there
        for number, sha256 in enumerate(files, 1):
            say(Message("progress.file-of", number=number, of=len(files)))
            _write_file(archive, Shelf(place.folder / FILES).place(sha256), f"files/{sha256}", sha256)
        beside = tuple(_small(archive, place.folder, path) for path in small_files(place.folder))
        manifest = Manifest(
            form=HEAD,
            version=__version__,
            made_at=datetime.now(UTC),
            tables={name: Counted(rows=tally.rows, digest=tally.digest) for name, tally in counted.items()},
            files=files,
            beside=beside,
        )
        archive.writestr(MANIFEST, manifest.model_dump_json(indent=1))
    return Backed(sum(tally.rows for tally in counted.values()), len(files), len(beside))


def restore(archive_file: str | os.PathLike[str], target: BenchLocation, say: Say = lambda _: None) -> Backed:
    """Bring a backup back to a place that holds no records yet, every count and hash verified.

    A backup of an earlier form is brought to this version's. Raises StorageTrouble where the archive is damaged,
    is none of ours or newer, or the place holds records: then no record was written.
    """
    path = Path(archive_file)
    try:
        with zipfile.ZipFile(path) as archive:
            return _restored(archive, path, target, say)
    except OSError as error:
        raise explain(error, path, "read") from error
    except (zipfile.BadZipFile, NotImplementedError, EOFError, RuntimeError, ValueError) as error:
        raise damaged(path) from error


def damaged(path: Path) -> StorageTrouble:
    return StorageTrouble("transfer.backup-damaged", file=str(path))


def _restored(archive: zipfile.ZipFile, path: Path, target: BenchLocation, say: Say) -> Backed:
    manifest = _manifest(archive, path)
    try:
        target.folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise explain(error, target.folder, "write") from error
    engine = connect(sqlite_url(target.folder / DATABASE) if target.url is None else target.url)
    with translated(target.database), engine.execution_options(**{WRITES: True}).begin() as connection:
        _make_room(connection, manifest.form, target)
        for number, sha256 in enumerate(manifest.files, 1):
            say(Message("progress.file-of", number=number, of=len(manifest.files)))
            with _entry(archive, f"files/{sha256}", path) as stream:
                Shelf(target.folder / FILES).put(stream, sha256)
        for small in manifest.beside:
            _unpack_small(archive, small, target.folder, path)
        _fill_tables(connection, archive, manifest, path, say)
        if manifest.form != HEAD:
            upgrade_form(connection)
    with translated(target.database):
        bring_up_to_date(engine, target.database)
    if target.url is not None:
        point_to(target)
    rows = sum(counted.rows for counted in manifest.tables.values())
    return Backed(rows, len(manifest.files), len(manifest.beside))


def _make_room(connection: Connection, form: str, target: BenchLocation) -> None:
    found = tables_in(connection)
    if not found:
        return make_form(connection, form)
    if (
        form != HEAD
        or {table.name for table in found} != {table.name for table in all_tables()}
        or not is_empty(connection)
    ):
        raise StorageTrouble("transfer.records-there-already", bench=str(target.database))
    return None


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


def _write_table(archive: zipfile.ZipFile, connection: Connection, table: Table, say: Say) -> RowTally:
    tally = RowTally()
    with archive.open(f"tables/{table.name}.jsonl", "w", force_zip64=True) as stream:
        for row in rows_of(connection, table):
            line = line_of(row)
            tally.add(line)
            stream.write(line + b"\n")
    say(Message("progress.rows-done", table=table.name, count=tally.rows))
    return tally


def _write_file(archive: zipfile.ZipFile, source: Path, name: str, sha256: str) -> None:
    """Stored as it is: scans and pictures are compressed by their own formats, or take long and gain little."""
    digest = hashlib.sha256()
    entry = zipfile.ZipInfo(name)
    try:
        with source.open("rb") as file, archive.open(entry, "w", force_zip64=True) as stream:
            while chunk := file.read(1 << 20):
                digest.update(chunk)
                stream.write(chunk)
    except OSError as error:
        raise explain(error, source, "read") from error
    if digest.hexdigest() != sha256:
        raise StorageTrouble("transfer.kept-file-damaged", file=str(source))


def _small(archive: zipfile.ZipFile, folder: Path, path: str) -> Small:
    sha256 = sha256_of(folder / path)
    _write_file(archive, folder / path, f"beside/{path}", sha256)
    return Small(path=path, sha256=sha256)


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


def _opened(place: BenchLocation) -> Engine:
    if place.url is None and not (place.folder / DATABASE).is_file():
        raise NotFound("transfer.nothing-to-back-up", folder=str(place.folder))
    engine = connect(sqlite_url(place.folder / DATABASE) if place.url is None else place.url)
    with translated(place.database):
        bring_up_to_date(engine, place.database, create=False)
    return engine
