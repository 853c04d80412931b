"""A whole bench in one zip archive; the same from SQLite and from a server. ``restore`` brings it back.

The archive holds ``tables/<name>.jsonl`` (a row a line), ``files/<sha256>``, ``beside/<path>`` for the small files, and
at its end ``manifest.json`` with every count and hash. It is written as a stream. What is damaged on the bench keeps
nothing else from being saved: it is left out, and named.
"""

from __future__ import annotations

import errno
import hashlib
import os
import zipfile
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

from sqlalchemy import Engine, Table
from sqlalchemy.engine import Connection

from tackside import __version__
from tackside.bench.database.all_tables import all_tables
from tackside.bench.database.migrations import bring_up_to_date
from tackside.bench.database.rows import RowTally
from tackside.bench.database.storage import HEAD, connect, require_same_form, sqlite_url, translated
from tackside.bench.database.tables import line_of
from tackside.bench.location import DATABASE, FILES, BenchLocation
from tackside.bench.repositories.kept_files import Shelf
from tackside.bench.transfer.manifest import MANIFEST, Counted, Manifest, Small
from tackside.bench.transfer.sidecar_files import kept_hashes, small_files
from tackside.bench.transfer.soundness import Soundness, flaws_of_database
from tackside.errors import NotFound, StorageTrouble
from tackside.files.atomic import atomic_path, sha256_of
from tackside.files.zip_entry import undated
from tackside.messages.message import Message

Say = Callable[[Message], None]
# The archive's own disk refuses, not that of the file which is read.
_OUT_OF_ROOM = (errno.ENOSPC, errno.EDQUOT, errno.EFBIG)


@dataclass(frozen=True)
class Backed:
    """What a backup holds, in numbers, and what it ``lacks`` since that was damaged."""

    rows: int
    files: int
    beside: int
    lacks: tuple[Message, ...] = ()


@dataclass(frozen=True)
class CheckedBench:
    """What was looked at, and every flaw that was found."""

    rows: int
    files: int
    flaws: tuple[Message, ...]


def check_bench(place: BenchLocation, say: Say = lambda _: None) -> CheckedBench:
    """Hold every row against its digest and every file against its hash, and SQLite's file against its own rules.

    Raises NotFound where there is no bench, StorageTrouble where the database cannot be opened at all.
    """
    engine = _opened(place)
    survey, rows = Soundness(), 0
    with translated(place.database), engine.connect() as connection:
        require_same_form(connection, place.database)
        survey.flaws += flaws_of_database(connection)
        for table in all_tables():
            rows += sum(1 for _ in survey.sound_rows(connection, table))
            say(Message("progress.rows-done", table=table.name, count=rows))
    files = 0
    for files, _ in enumerate(survey.sound_files(place.folder, survey.named), 1):
        say(Message("progress.file-of", number=files, of=len(survey.named)))
    return CheckedBench(rows, files, tuple(survey.flaws))


def back_up(place: BenchLocation, out: str | os.PathLike[str], say: Say = lambda _: None) -> Backed:
    """Write a bench as it is at this moment into one archive; others may go on working meanwhile.

    Raises NotFound where there is no bench, StorageTrouble where disk or database refuse.
    """
    engine = _opened(place)
    survey = Soundness()
    with (
        atomic_path(out) as temporary,
        zipfile.ZipFile(temporary, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive,
    ):
        with translated(place.database), engine.connect() as connection:
            require_same_form(connection, place.database)
            counted = {
                table.name: _write_table(archive, connection, table, survey, say) for table in all_tables()
            }
        files = _write_files(archive, place.folder, survey, say)
        beside = tuple(_small(archive, place.folder, path) for path in small_files(place.folder))
        manifest = Manifest(
            form=HEAD,
            version=__version__,
            made_at=datetime.now(UTC),
            tables={name: Counted(rows=tally.rows, digest=tally.digest) for name, tally in counted.items()},
            files=files,
            beside=beside,
            lacks=tuple(flaw.as_data() for flaw in survey.flaws),
        )
        archive.writestr(undated(archive, MANIFEST), manifest.model_dump_json(indent=1))
    rows = sum(tally.rows for tally in counted.values())
    return Backed(rows, len(files), len(beside), tuple(survey.flaws))


def _write_table(
    archive: zipfile.ZipFile,
    connection: Connection,
    table: Table,
    survey: Soundness,
    say: Say,
) -> RowTally:
    tally = RowTally()
    with archive.open(undated(archive, f"tables/{table.name}.jsonl"), "w", force_zip64=True) as stream:
        for row in survey.sound_rows(connection, table):
            line = line_of(row)
            tally.add(line)
            stream.write(line + b"\n")
    say(Message("progress.rows-done", table=table.name, count=tally.rows))
    return tally


def _write_files(archive: zipfile.ZipFile, folder: Path, survey: Soundness, say: Say) -> tuple[str, ...]:
    """Every kept file, after the rows: all that they name were there before them. Those that are whole.

    One that is not is in the archive all the same, as it is, but not among those that a restore brings back.
    """
    shelf = Shelf(folder / FILES)
    wanted = sorted({*survey.named, *kept_hashes(folder)})
    whole = []
    for number, sha256 in enumerate(wanted, 1):
        say(Message("progress.file-of", number=number, of=len(wanted)))
        if not shelf.holds(sha256):
            survey.note_file("missing", survey.named[sha256], sha256)
        elif _write_file(archive, shelf.place(sha256), f"files/{sha256}") == sha256:
            whole.append(sha256)
        else:
            survey.note_file("damaged", survey.named.get(sha256, sha256), sha256)
    return tuple(whole)


def _write_file(archive: zipfile.ZipFile, source: Path, name: str) -> str:
    """Stored as it is: scans and pictures are compressed by their own formats, or take long and gain little.

    Gives the hash of what was written: of a file that the disk breaks off, what could be had of it.
    """
    digest = hashlib.sha256()
    with archive.open(zipfile.ZipInfo(name), "w", force_zip64=True) as stream:
        try:
            with source.open("rb") as file:
                while chunk := file.read(1 << 20):
                    digest.update(chunk)
                    stream.write(chunk)
        except OSError as error:
            if error.filename is None and error.errno in _OUT_OF_ROOM:
                raise
            return ""
    return digest.hexdigest()


def _small(archive: zipfile.ZipFile, folder: Path, path: str) -> Small:
    source, sha256 = folder / path, sha256_of(folder / path)
    if _write_file(archive, source, f"beside/{path}") != sha256:
        raise StorageTrouble("transfer.kept-file-damaged", file=str(source))
    return Small(path=path, sha256=sha256)


def _opened(place: BenchLocation) -> Engine:
    if place.url is None and not (place.folder / DATABASE).is_file():
        raise NotFound("transfer.nothing-to-back-up", folder=str(place.folder))
    engine = connect(sqlite_url(place.folder / DATABASE) if place.url is None else place.url)
    with translated(place.database):
        bring_up_to_date(engine, place.database, create=False)
    return engine
