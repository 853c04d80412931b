"""An archive of a stock opened with suspicion: what it says of itself is checked before anything of it is kept.

No path of the archive is ever used as a path: entries are asked for by the hashes that its document lists.
"""

from __future__ import annotations

import contextlib
import os
import re
import stat
import zipfile
import zlib
from collections.abc import Iterator
from pathlib import Path
from typing import IO, Any

from pydantic import ValidationError
from pydantic_core import from_json

from tackside.bench.repositories.kept_files import Shelf
from tackside.bench.transfer.exchange import ARCHIVE, DOCUMENT, LARGEST_FILES, SCHEMA, Exchange, ExchangedFile
from tackside.errors import BadRecord
from tackside.files.atomic import explain
from tackside.files.outside import Intake
from tackside.files.record_faults import fault_of
from tackside.messages.message import Message

LARGEST_DOCUMENT_BYTES = 256 << 20
# All files of one archive together.
LARGEST_TOTAL_BYTES = 64 << 30
# A zip packs 1000 to 1 at the very best; scans and readings pack far less.
LARGEST_RATIO = 200.0
_FREE_BYTES = 1 << 20  # below this, a ratio says nothing


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
            if missing:
                raise BadRecord("transfer.file-missing", archive=str(path), file=missing[0][:80])
            if more:
                raise BadRecord("transfer.file-not-listed", archive=str(path), file=more[0][:80])
            raise BadRecord("transfer.file-listed-twice", archive=str(path))
        if sum(file.size_bytes for file in self.exchange.files) > LARGEST_TOTAL_BYTES:
            raise BadRecord(
                "transfer.archive-too-large", archive=str(path), gigabytes=LARGEST_TOTAL_BYTES >> 30
            )
        _check_references(self.exchange, path)

    def shelve(self, file: ExchangedFile, shelf: Shelf) -> None:
        """Put one file's bytes on the shelf, by its hash. Raises BadRecord where size or hash differ."""
        info = self._entries[f"files/{file.sha256}"]
        if info.file_size != file.size_bytes:
            raise BadRecord("transfer.file-of-another-size", archive=str(self._path), file=file.name[:80])
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
            raise BadRecord("transfer.unpacks-to-more", archive=str(self._path))
        return data


@contextlib.contextmanager
def opened(path: str | os.PathLike[str]) -> Iterator[Opened]:
    """Open an archive. Raises BadRecord where it cannot be trusted, StorageTrouble where it cannot be read."""
    file = Path(path)
    try:
        with Intake().open(file) as stream, zipfile.ZipFile(stream) as archive:
            yield Opened(file, archive)
    except OSError as error:
        raise explain(error, file, "read") from error
    except (
        zipfile.BadZipFile, zlib.error, NotImplementedError, EOFError, RuntimeError, UnicodeError
    ) as error:  # fmt: skip
        # RuntimeError: zipfile's word for an entry that wants a password
        raise BadRecord("transfer.archive-damaged", archive=str(file)) from error


def _entries(archive: zipfile.ZipFile, path: Path) -> dict[str, zipfile.ZipInfo]:
    infos = archive.infolist()
    if len(infos) > LARGEST_FILES + 1:
        raise BadRecord("transfer.too-many-files", archive=str(path), count=len(infos))
    found: dict[str, zipfile.ZipInfo] = {}
    for info in infos:
        mode = info.external_attr >> 16
        plain = info.filename == DOCUMENT or re.fullmatch(r"files/[0-9a-f]{64}", info.filename)
        if not plain or (mode and not stat.S_ISREG(mode) and stat.S_IFMT(mode)):
            raise BadRecord("transfer.file-out-of-place", archive=str(path), file=info.filename[:80])
        if info.filename in found:
            raise BadRecord("transfer.file-twice", archive=str(path), file=info.filename[:80])
        if info.file_size > _FREE_BYTES and info.file_size > LARGEST_RATIO * max(1, info.compress_size):
            raise BadRecord("transfer.unpacks-to-far-more", archive=str(path))
        found[info.filename] = info
    return found


def _document(archive: zipfile.ZipFile, entries: dict[str, zipfile.ZipInfo], path: Path) -> Exchange:
    if DOCUMENT not in entries:
        raise BadRecord("transfer.no-document", archive=str(path), document=DOCUMENT)
    if entries[DOCUMENT].file_size > LARGEST_DOCUMENT_BYTES:
        raise BadRecord("transfer.document-too-large", archive=str(path), document=DOCUMENT)
    with archive.open(DOCUMENT) as stream:
        text = stream.read(LARGEST_DOCUMENT_BYTES + 1)
    try:
        data: Any = from_json(text)
    except ValueError as error:
        raise BadRecord("transfer.document-no-json", archive=str(path), document=DOCUMENT) from error
    if not isinstance(data, dict) or data.get("kind") != ARCHIVE:
        raise BadRecord("transfer.no-archive", archive=str(path))
    schema = data.get("schema_version")
    if isinstance(schema, int) and schema > SCHEMA:
        raise BadRecord(
            "transfer.archive-newer",
            archive=str(path), version=str(data.get("version"))[:40], schema=schema, known=SCHEMA,
        )  # fmt: skip
    try:
        return Exchange.model_validate_json(text)
    except ValidationError as error:
        fault = fault_of(error, Exchange)
        raise BadRecord(
            "transfer.record-damaged", place=fault.place, archive=str(path), fault=fault.message
        ) from error


def _check_references(exchange: Exchange, path: Path) -> None:
    """Raise BadRecord where a record points at one that is not in the archive."""
    names = {each.record.name for each in exchange.stock}
    stocks = {each.revision for each in exchange.stock}
    printers = {(each.record.name, each.revision) for each in exchange.printers}

    def require(holds: bool, code: str, **values: str) -> None:
        if not holds:
            why = Message(f"transfer.{code}", **values)
            raise BadRecord("transfer.does-not-hold-together", archive=str(path), why=why)

    require(len(names) == 1 and len(stocks) == len(exchange.stock), "stock-of-several-names")
    require(len(printers) == len(exchange.printers), "printer-twice")
    trials = [each.trial.id for each in exchange.trials]
    require(len(set(trials)) == len(trials), "trial-twice")
    for each in exchange.trials:
        trial, readings = each.trial, {reading.id for reading in each.readings}
        known = trial.stock in names and trial.stock_revision in stocks
        require(known, "trial-of-another-stock", trial=trial.id)
        known = (trial.printer, trial.printer_revision) in printers
        require(known, "printer-not-in-it", trial=trial.id)
        require(bool(re.fullmatch(r"[0-9A-Z]{8}", trial.id)), "id-is-none")
        for owner in [*(found.trial for found in each.readings), *(found.trial for found in each.verdicts)]:
            require(owner == trial.id, "finding-of-another", trial=trial.id)
        for verdict in each.verdicts:
            there = verdict.reading is None or verdict.reading in readings
            require(there, "reading-not-in-it", trial=trial.id)
        for word in each.withdrawals:
            there = word.subject in (readings if word.kind == "reading" else {trial.id})
            require(there and word.kind != "count", "withdrawal-of-another", trial=trial.id)
