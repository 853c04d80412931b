"""An archive of a stock opened with suspicion: what it says of itself is checked before anything of it is kept.

No path of the archive is ever used as a path: entries are asked for by the hashes that its document lists.
"""

from __future__ import annotations

import contextlib
import os
import re
import stat
import zipfile
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

from pydantic import ValidationError
from pydantic_core import from_json

from tackside.bench.repositories.blob_store import Shelf
from tackside.bench.transfer.exchange import DOCUMENT, KIND, LARGEST_FILES, SCHEMA, Exchange, ExchangedFile
from tackside.errors import BadRecord
from tackside.files.atomic import explain
from tackside.files.record_faults import named

LARGEST_DOCUMENT_BYTES = 256 << 20
# All files of one archive together.
LARGEST_TOTAL_BYTES = 64 << 30
# A zip packs 1000 to 1 at the very best; scans and readings pack far less.
LARGEST_RATIO = 200.0
_FREE_BYTES = 1 << 20  # below this, a ratio says nothing

_DISTRUST = "ask for another copy of it; nothing was kept"


class Opened:
    """An archive whose document is valid and whose entries are those that the document lists."""

    def __init__(self, path: Path, archive: zipfile.ZipFile) -> None:
        self._path = path
        self._archive = archive
        self._entries = _entries(archive, path)
        self.exchange = _document(archive, self._entries, path)
        listed = {f"files/{file.sha256}" for file in self.exchange.files}
        found = set(self._entries) - {DOCUMENT}
        if len(listed) != len(self.exchange.files) or listed != found:
            missing, more = sorted(listed - found), sorted(found - listed)
            which = (
                f"{missing[0][:80]} is missing"
                if missing
                else f"{(more or ['a file'])[0][:80]!r} is not listed"
            )
            raise BadRecord(f"{path} does not hold the files that it lists: {which}", _DISTRUST)
        if sum(file.size_bytes for file in self.exchange.files) > LARGEST_TOTAL_BYTES:
            raise BadRecord(f"{path} holds more than {LARGEST_TOTAL_BYTES >> 30} GB", _DISTRUST)
        _check_references(self.exchange, path)

    def shelve(self, file: ExchangedFile, shelf: Shelf) -> None:
        """Put one file's bytes on the shelf, by its hash. Raises BadRecord where size or hash differ."""
        info = self._entries[f"files/{file.sha256}"]
        if info.file_size != file.size_bytes:
            raise BadRecord(f"{self._path}: {file.name[:80]} has another size than listed", _DISTRUST)
        with self._archive.open(info) as stream:
            shelf.put(_AtMost(stream, file.size_bytes, self._path), file.sha256)  # type: ignore[arg-type]


class _AtMost:
    """A stream that never gives more than it promised, whatever the archive says."""

    def __init__(self, stream: IO[bytes], size: int, path: Path) -> None:
        self._stream, self._left, self._path = stream, size, path

    def read(self, count: int) -> bytes:
        data = self._stream.read(count)
        self._left -= len(data)
        if self._left < 0:
            raise BadRecord(f"{self._path} unpacks to more than it says", _DISTRUST)
        return data


@contextlib.contextmanager
def opened(path: str | os.PathLike[str]) -> Iterator[Opened]:
    """Open an archive. Raises BadRecord where it cannot be trusted, StorageTrouble where it cannot be read."""
    file = Path(path)
    try:
        with zipfile.ZipFile(file) as archive:
            yield Opened(file, archive)
    except OSError as error:
        raise explain(error, file, "read") from error
    except (zipfile.BadZipFile, NotImplementedError, EOFError, RuntimeError, UnicodeError) as error:
        # RuntimeError: zipfile's word for an entry that wants a password
        raise BadRecord(f"{file} is damaged, or no archive of a stock", _DISTRUST) from error


def _entries(archive: zipfile.ZipFile, path: Path) -> dict[str, zipfile.ZipInfo]:
    infos = archive.infolist()
    if len(infos) > LARGEST_FILES + 1:
        raise BadRecord(f"{path} holds {len(infos)} files, more than an archive of a stock can", _DISTRUST)
    found: dict[str, zipfile.ZipInfo] = {}
    for info in infos:
        mode = info.external_attr >> 16
        plain = info.filename == DOCUMENT or re.fullmatch(r"files/[0-9a-f]{64}", info.filename)
        if not plain or (mode and not stat.S_ISREG(mode) and stat.S_IFMT(mode)):
            raise BadRecord(f"{path} holds {info.filename[:80]!r}, which has no place in it", _DISTRUST)
        if info.filename in found:
            raise BadRecord(f"{path} holds {info.filename[:80]} twice", _DISTRUST)
        if info.file_size > _FREE_BYTES and info.file_size > LARGEST_RATIO * max(1, info.compress_size):
            raise BadRecord(f"{path} unpacks to far more than an archive of a stock does", _DISTRUST)
        found[info.filename] = info
    return found


def _document(archive: zipfile.ZipFile, entries: dict[str, zipfile.ZipInfo], path: Path) -> Exchange:
    if DOCUMENT not in entries:
        raise BadRecord(f"{path} is no archive of a stock: it has no {DOCUMENT}", "name another file")
    if entries[DOCUMENT].file_size > LARGEST_DOCUMENT_BYTES:
        raise BadRecord(f"{path} has a {DOCUMENT} larger than any record", _DISTRUST)
    with archive.open(DOCUMENT) as stream:
        text = stream.read(LARGEST_DOCUMENT_BYTES + 1)
    try:
        data: Any = from_json(text)
    except ValueError as error:
        raise BadRecord(f"{path}: its {DOCUMENT} is no JSON", _DISTRUST) from error
    if not isinstance(data, dict) or data.get("kind") != KIND:
        raise BadRecord(f"{path} is no archive of a stock", "name another file")
    schema = data.get("schema_version")
    if isinstance(schema, int) and schema > SCHEMA:
        raise BadRecord(
            f"{path} comes from Tackside {str(data.get('version'))[:40]} (schema {schema}, this one knows {SCHEMA})",
            "install the newer version; nothing was kept",
        )
    try:
        return Exchange.model_validate_json(text)
    except ValidationError as error:
        first = error.errors(include_url=False)[0]
        raise BadRecord(f"{path}: {named(tuple(first['loc']))}: {first['msg']}"[:300], _DISTRUST) from error


def _check_references(exchange: Exchange, path: Path) -> None:
    """Raise BadRecord where a record points at one that is not in the archive."""
    names = {each.record.name for each in exchange.stock}
    stocks = {each.revision for each in exchange.stock}
    printers = {(each.record.name, each.revision) for each in exchange.printers}

    def require(holds: bool, what: str) -> None:
        if not holds:
            raise BadRecord(f"{path} does not hold together: {what}", _DISTRUST)

    require(
        len(names) == 1 and len(stocks) == len(exchange.stock), "its stock has several names or numbers twice"
    )
    require(len(printers) == len(exchange.printers), "a printer is in it twice")
    trials = [each.trial.id for each in exchange.trials]
    require(len(set(trials)) == len(trials), "a trial is in it twice")
    for each in exchange.trials:
        trial, readings = each.trial, {reading.id for reading in each.readings}
        require(
            trial.stock in names and trial.stock_revision in stocks, f"trial {trial.id} is of another stock"
        )
        known = (trial.printer, trial.printer_revision) in printers
        require(known, f"the printer of trial {trial.id} is not in it")
        require(bool(re.fullmatch(r"[0-9A-Z]{8}", trial.id)), "a trial's id is none")
        for owner in [*(found.trial for found in each.readings), *(found.trial for found in each.verdicts)]:
            require(owner == trial.id, f"a finding in trial {trial.id} belongs to another")
        for verdict in each.verdicts:
            require(
                verdict.reading is None or verdict.reading in readings,
                f"a verdict of {trial.id} lacks its reading",
            )
