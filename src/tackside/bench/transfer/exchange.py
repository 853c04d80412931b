"""A stock's record with its trials, readings, verdicts and files as one archive: the form, and writing it.

The archive is a zip with ``stock.json`` (an ``Exchange``) and ``files/<sha256>``. ``docs/exchange.md`` explains it;
``schema()`` is its JSON Schema.
"""

from __future__ import annotations

import hashlib
import os
import zipfile
from datetime import UTC, datetime
from typing import Annotated, Any, ClassVar, Generic, Literal, TypeVar

from pydantic import Field

from tackside import __version__
from tackside.bench.store import Bench
from tackside.errors import NotFound, StorageTrouble
from tackside.files.atomic import atomic_path, explain
from tackside.files.zip_entry import undated
from tackside.records import Printer, Reading, Record, Settings, Stock, Trial, Verdict
from tackside.records.standing.withdrawal import Withdrawal

ARCHIVE: Literal["tackside-stock"] = "tackside-stock"
SCHEMA = 1
DOCUMENT = "stock.json"
LARGEST_FILES = 20_000
LARGEST_FILE_BYTES = 8 << 30

Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
Held = TypeVar("Held", bound=Record)


class DatedRecord(Record, Generic[Held]):
    """A record, with when it came to the bench that it comes from, by which version, and from which file."""

    record: Held
    kept_at: datetime
    version: str
    source_sha256: Sha256 | None = None


class Numbered(DatedRecord[Held], Generic[Held]):
    """One revision of a record."""

    revision: Annotated[int, Field(ge=1)]


class ExchangedTrial(Record):
    """A trial as it was made, what was noted of its settings since, and all that was found out.

    ``withdrawals``: the trial or readings of it withdrawn and put back, oldest first.
    """

    trial: Trial
    settings: tuple[Settings, ...]
    readings: tuple[Reading, ...]
    verdicts: tuple[Verdict, ...]
    withdrawals: tuple[Withdrawal, ...] = ()


class ExchangedFile(Record):
    """A file in ``files/``; ``name`` is what it was called, and is never used as a path."""

    sha256: Sha256
    name: Annotated[str, Field(max_length=255)]
    size_bytes: Annotated[int, Field(ge=0, le=LARGEST_FILE_BYTES)]


class Exchange(Record):
    """All that is known of one stock. ``schema_version`` rises when an older program could misread the archive."""

    KIND: ClassVar[str] = "exchange"

    kind: Literal["tackside-stock"] = ARCHIVE
    schema_version: Annotated[int, Field(ge=1, le=SCHEMA)] = SCHEMA
    version: str
    made_at: datetime
    stock: Annotated[tuple[Numbered[Stock], ...], Field(min_length=1)]
    printers: tuple[Numbered[Printer], ...]
    trials: tuple[ExchangedTrial, ...]
    files: Annotated[tuple[ExchangedFile, ...], Field(max_length=LARGEST_FILES)]


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of ``stock.json`` as this version writes it."""
    made = Exchange.model_json_schema(mode="serialization")
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **made, "title": f"{ARCHIVE} {SCHEMA}"}


def gather(bench: Bench, name: str) -> Exchange:
    """All that the bench knows of a stock. Raises NotFound."""
    revisions = bench.stocks.history(name)
    trials = bench.trials.list(stock=revisions[0].record.name, withdrawn=True)
    used = sorted({(trial.printer, trial.printer_revision) for trial in trials})
    printers = [bench.printers.kept(printer, revision) for printer, revision in used]
    exchanged = tuple(_trial(bench, trial) for trial in trials)
    hashes = [each.source_sha256 for each in revisions] + [each.source_sha256 for each in printers]
    hashes += [trial.own_picture.sha256 for trial in trials if trial.own_picture is not None]
    for each in exchanged:
        for reading in each.readings:
            hashes += [reading.source_sha256, *(source.sha256 for source in reading.further_sources)]
    return Exchange(
        version=__version__,
        made_at=datetime.now(UTC),
        stock=tuple(
            Numbered[Stock](
                record=each.record,
                revision=each.number,
                kept_at=each.kept_at,
                version=each.version,
                source_sha256=each.source_sha256,
            )
            for each in revisions
        ),
        printers=tuple(
            Numbered[Printer](
                record=each.record,
                revision=each.number,
                kept_at=each.kept_at,
                version=each.version,
                source_sha256=each.source_sha256,
            )
            for each in printers
        ),
        trials=exchanged,
        files=tuple(
            _file(bench, sha256) for sha256 in dict.fromkeys(filter(None, hashes)) if _holds(bench, sha256)
        ),
    )


def export_stock(bench: Bench, name: str, out: str | os.PathLike[str]) -> Exchange:
    """Write all that is known of a stock into one archive. Raises NotFound, StorageTrouble."""
    exchange = gather(bench, name)
    with (
        atomic_path(out) as temporary,
        zipfile.ZipFile(temporary, "w", zipfile.ZIP_DEFLATED, compresslevel=6) as archive,
    ):
        archive.writestr(undated(archive, DOCUMENT), exchange.model_dump_json(indent=1))
        for file in exchange.files:
            _write_file(bench, archive, file)
    return exchange


def _trial(bench: Bench, trial: Trial) -> ExchangedTrial:
    history = bench.trials.settings_history(trial.id)
    readings = bench.readings.list(trial.id, withdrawn=True)
    words = [
        *bench.withdrawals.history("trial", trial.id),
        *(word for each in readings for word in bench.withdrawals.history("reading", each.id or "")),
    ]
    return ExchangedTrial(
        trial=trial.model_copy(update={"settings": history[0].settings}),
        settings=tuple(known.settings for known in history),
        readings=readings,
        verdicts=bench.verdicts.list(trial.id, withdrawn=True),
        withdrawals=tuple(sorted(words, key=lambda word: word.noted_at)),
    )


def _holds(bench: Bench, sha256: str) -> bool:
    """Whether the bench has the file's bytes; a reading may come from one that was never kept."""
    try:
        bench.file(sha256)
        bench.file_name(sha256)
    except NotFound:
        return False
    return True


def _file(bench: Bench, sha256: str) -> ExchangedFile:
    place = bench.file(sha256)
    try:
        size = place.stat().st_size
    except OSError as error:
        raise explain(error, place, "read") from error
    return ExchangedFile(sha256=sha256, name=bench.file_name(sha256), size_bytes=size)


def _write_file(bench: Bench, archive: zipfile.ZipFile, file: ExchangedFile) -> None:
    place, digest = bench.file(file.sha256), hashlib.sha256()
    try:
        with (
            place.open("rb") as source,
            archive.open(undated(archive, f"files/{file.sha256}"), "w", force_zip64=True) as stream,
        ):
            while chunk := source.read(1 << 20):
                digest.update(chunk)
                stream.write(chunk)
    except OSError as error:
        raise explain(error, place, "read") from error
    if digest.hexdigest() != file.sha256:
        raise StorageTrouble("transfer.file-damaged", file=file.name)
