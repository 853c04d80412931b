"""The tables of a bench: each row holds one validated record as JSON, and the columns one searches by.

Every row keeps when it came (UTC), from which file (SHA-256, where there was one) and by which version
of Tackside. Rows are never overwritten; a change is a new row with a higher revision. Beside a row its digest is kept,
taken of the row in one fixed form: what a disk or a hand has altered since shows.

They are plain tables, asked by queries. A mapper of rows to objects would have to be loaded by every command.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

from sqlalchemy import (
    JSON,
    BigInteger,
    Boolean,
    Column,
    DateTime,
    Dialect,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    Integer,
    MetaData,
    String,
    Table,
    Text,
    UniqueConstraint,
    insert,
)
from sqlalchemy.engine import Connection
from sqlalchemy.types import TypeDecorator

# ``seq`` is given by the database as the row comes in; the rest is known before.
UNSEALED = frozenset({"seq", "digest"})


def plain(value: Any) -> Any:
    """A column's value as JSON has it; moments in UTC, to the microsecond."""
    if isinstance(value, datetime):
        moment = value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)
        return moment.isoformat(timespec="microseconds")
    return value


def line_of(row: Mapping[str, Any]) -> bytes:
    """A row of plain values in one fixed form, without a line break."""
    return json.dumps(row, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode("utf-8")


def digest_of(row: Mapping[str, Any]) -> str:
    """SHA-256, in hexadecimal, of a row without its number."""
    sealed = {name: plain(value) for name, value in row.items() if name not in UNSEALED}
    return hashlib.sha256(line_of(sealed)).hexdigest()


def is_as_kept(row: Mapping[str, Any]) -> bool:
    """Whether a row is the one that was kept; True where none was sealed, as in what is no record."""
    kept = row.get("digest")
    return kept is None or kept == digest_of(row)


class UtcDateTime(TypeDecorator[datetime]):
    """A moment in UTC; SQLite forgets the zone, so it is put back on the way out."""

    impl = DateTime(timezone=True)
    cache_ok = True

    def process_bind_param(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        return None if value is None else value.astimezone(UTC)

    def process_result_value(self, value: datetime | None, dialect: Dialect) -> datetime | None:
        if value is None:
            return None
        return value.replace(tzinfo=UTC) if value.tzinfo is None else value.astimezone(UTC)


METADATA = MetaData()


def add_row(connection: Connection, table: Table, **values: Any) -> Any:
    """Put a row into a table, with its digest where such rows are sealed; its key. A column left out is empty."""
    row = {column.name: None for column in table.columns if column.name != "seq"} | values
    if "digest" in row:
        row["digest"] = digest_of(row)
    key = connection.execute(insert(table), row).inserted_primary_key
    assert key is not None  # of one row there is always one
    return key[0]


def filled(name: str, *what: Any, **how: Any) -> Column[Any]:
    """A column that is empty in no row."""
    return Column(name, *what, nullable=False, **how)


def numbered() -> Column[Any]:
    """``seq`` counts upwards in the order of arrival."""
    return filled("seq", Integer, primary_key=True, autoincrement=True)


def sealed() -> Column[Any]:
    """A row that is never changed keeps a digest of what it held as it came: see ``digest_of``."""
    return Column("digest", String(64))


def of_record() -> tuple[Column[Any], ...]:
    """What a row keeps beside its own columns where it holds a record."""
    return (
        numbered(),
        filled("body", JSON),
        filled("kept_at", UtcDateTime),
        Column("source_sha256", String(64)),
        filled("version", String(40)),
        sealed(),
    )


def of_revision() -> tuple[Column[Any], ...]:
    """The same of a record with a name and revisions."""
    return (filled("name", String(80)), filled("revision", Integer), *of_record())


def of_finding(table: str) -> tuple[Column[Any], ...]:
    """The same of something found out about a trial, or about a bare file where ``trial`` is None."""
    return (
        filled("id", String(60)),
        filled("made_at", UtcDateTime),
        Column("trial", ForeignKey("trial.id", name=f"fk_{table}_trial")),
        *of_record(),
    )


# A file in ``files/``, by its content; ``name`` is what it was called when it came.
FILE = Table(
    "file",
    METADATA,
    filled("sha256", String(64), primary_key=True),
    filled("name", String(255)),
    filled("size_bytes", BigInteger),
    filled("kept_at", UtcDateTime),
    filled("version", String(40)),
    sealed(),
)

STOCK = Table(
    "stock",
    METADATA,
    filled("base", String(20)),
    filled("coated", String(20)),
    Column("weight_gsm", Double),
    Column("caliper_mm", Double),
    *of_revision(),
    UniqueConstraint("name", "revision", name="uq_stock_name_revision"),
)

PRINTER = Table(
    "printer",
    METADATA,
    filled("ink_kind", String(20)),
    filled("grid_ppi", Double),
    *of_revision(),
    UniqueConstraint("name", "revision", name="uq_printer_name_revision"),
)

# A card made in the workbench; ``stock`` and ``printer`` are those that its file names.
CARD = Table(
    "card",
    METADATA,
    filled("stock", String(80)),
    filled("printer", String(80)),
    *of_revision(),
    UniqueConstraint("name", "revision", name="uq_card_name_revision"),
)

# A trial as it was made; ``combination`` is the hash of all that its sheet was made from.
TRIAL = Table(
    "trial",
    METADATA,
    filled("id", String(40)),
    filled("combination", String(64), index=True),
    filled("stock", String(80), index=True),
    filled("stock_revision", Integer),
    filled("printer", String(80), index=True),
    filled("printer_revision", Integer),
    filled("side", String(10)),
    filled("made_at", UtcDateTime),
    *of_record(),
    UniqueConstraint("id", name="uq_trial_id"),
    ForeignKeyConstraint(
        ["stock", "stock_revision"], ["stock.name", "stock.revision"], name="fk_trial_stock"
    ),
    ForeignKeyConstraint(
        ["printer", "printer_revision"], ["printer.name", "printer.revision"], name="fk_trial_printer"
    ),
    Index("ix_trial_listing", "id", "stock", "printer", "side", "made_at", "seq"),
)

# The settings of a trial as they were known at one time; the highest revision holds.
SETTINGS = Table(
    "settings",
    METADATA,
    filled("trial", ForeignKey("trial.id", name="fk_settings_trial")),
    filled("revision", Integer),
    Column("media_setting", String(200)),
    *of_record(),
    UniqueConstraint("trial", "revision", name="uq_settings_trial_revision"),
    Index("ix_settings_listing", "trial", "revision", "media_setting"),
)

READING = Table(
    "reading",
    METADATA,
    filled("kind", String(20)),
    *of_finding("reading"),
    UniqueConstraint("id", name="uq_reading_id"),
    Index("ix_reading_trial_seq", "trial", "seq"),
    Index("ix_reading_listing", "trial", "seq", "kind", "made_at", "id"),
)

# Where the print of a reading fell, beside the way in which it was printed: told by the reading and its trial, whose
# rows are too long to be read through for it.
PLACEMENT = Table(
    "placement",
    METADATA,
    filled(
        "reading_seq",
        ForeignKey("reading.seq", name="fk_placement_reading"),
        primary_key=True,
        autoincrement=False,
    ),
    filled("trial", ForeignKey("trial.id", name="fk_placement_trial")),
    filled("stock", String(80)),
    filled("printer", String(80)),
    filled("feed", Text),
    filled("side", String(10)),
    filled("width_mm", Double),
    filled("height_mm", Double),
    filled("borderless", Boolean),
    filled("made_at", UtcDateTime),
    filled("body", JSON),
    Index("ix_placement_listing", "stock", "printer", "reading_seq"),
)

VERDICT = Table(
    "verdict",
    METADATA,
    Column("reading", ForeignKey("reading.id", name="fk_verdict_reading")),
    filled("grade", String(20), index=True),
    filled("cause", String(40)),
    *of_finding("verdict"),
    UniqueConstraint("id", name="uq_verdict_id"),
    Index("ix_verdict_trial_seq", "trial", "seq"),
    Index("ix_verdict_listing", "trial", "seq", "reading", "grade", "cause"),
)

# A record put away or taken out again; the newest row of a name holds.
SHELVING = Table(
    "shelving",
    METADATA,
    numbered(),
    filled("kind", String(20)),
    filled("name", String(80)),
    filled("archived", Boolean),
    filled("kept_at", UtcDateTime),
    filled("version", String(40)),
    sealed(),
    Index("ix_shelving_kind_name", "kind", "name", "seq"),
)

# A print of the virtual press, which makes its trial practice, or (``kind``) what was guessed of one.
PRACTICE = Table(
    "practice",
    METADATA,
    filled("trial", ForeignKey("trial.id", name="fk_practice_trial")),
    filled("kind", String(20)),
    *of_record(),
    Index("ix_practice_trial_kind", "trial", "kind", "seq"),
)

# A reading, trial or count taken out of every answer, or put back. Of one subject the row noted last holds.
WITHDRAWAL = Table(
    "withdrawal",
    METADATA,
    numbered(),
    filled("kind", String(20)),
    filled("subject", String(60)),
    filled("withdrawn", Boolean),
    Column("why", String(200)),
    filled("noted_at", UtcDateTime),
    filled("kept_at", UtcDateTime),
    filled("version", String(40)),
    sealed(),
    Index("ix_withdrawal_listing", "kind", "subject", "noted_at", "seq", "withdrawn"),
)

# Work in the background. It is no record: the row follows the work and is changed in place.
JOB = Table(
    "job",
    METADATA,
    numbered(),
    filled("id", String(40)),
    filled("kind", String(40)),
    Column("subject", String(80)),
    filled("asked", JSON),
    filled("state", String(20)),
    filled("share", Double),
    filled("said", String(400)),
    # Plain NULL where there is none: JSON would keep the word null.
    Column("result", JSON(none_as_null=True)),
    # Code, values and place of what made it fail.
    Column("fault", JSON(none_as_null=True)),
    filled("attempts", Integer),
    Column("keeper", String(40)),
    filled("made_at", UtcDateTime),
    Column("beat_at", UtcDateTime),
    Column("ended_at", UtcDateTime),
    filled("version", String(40)),
    UniqueConstraint("id", name="uq_job_id"),
    Index("ix_job_state_seq", "state", "seq"),
    Index("ix_job_subject_seq", "subject", "kind", "seq"),
)
