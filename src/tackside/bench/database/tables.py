"""The tables of a bench: each row holds one validated record as JSON, and the columns one searches by.

Every row keeps when it came (UTC), from which file (SHA-256, where there was one) and by which version
of Tackside. Rows are never overwritten; a change is a new row with a higher revision. Beside a row its digest is kept,
taken of the row in one fixed form: what a disk or a hand has altered since shows.
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
    DateTime,
    Dialect,
    Double,
    ForeignKey,
    ForeignKeyConstraint,
    Index,
    String,
    Text,
    UniqueConstraint,
    event,
)
from sqlalchemy.engine import Connection
from sqlalchemy.orm import DeclarativeBase, Mapped, Mapper, declared_attr, mapped_column
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


class Table(DeclarativeBase):
    type_annotation_map = {  # noqa: RUF012  SQLAlchemy reads it as a plain class attribute
        dict[str, Any]: JSON,
        datetime: UtcDateTime,
        float: Double,
    }


class Sealed:
    """A row that is never changed keeps a digest of what it held as it came: see ``digest_of``."""

    digest: Mapped[str | None] = mapped_column(String(64))


@event.listens_for(Sealed, "before_insert", propagate=True)
def _seal(mapper: Mapper[Any], connection: Connection, row: Sealed) -> None:
    row.digest = digest_of({each.key: getattr(row, each.key) for each in mapper.column_attrs})


class Kept(Sealed, Table):
    """What every row keeps beside its record. ``seq`` counts upwards in the order of arrival."""

    __abstract__ = True

    seq: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    body: Mapped[dict[str, Any]]
    kept_at: Mapped[datetime]
    source_sha256: Mapped[str | None] = mapped_column(String(64))
    version: Mapped[str] = mapped_column(String(40))


class FileRow(Sealed, Table):
    """A file in ``files/``, by its content; ``name`` is what it was called when it came."""

    __tablename__ = "file"

    sha256: Mapped[str] = mapped_column(String(64), primary_key=True)
    name: Mapped[str] = mapped_column(String(255))
    size_bytes: Mapped[int] = mapped_column(BigInteger)
    kept_at: Mapped[datetime]
    version: Mapped[str] = mapped_column(String(40))


class NamedRow(Kept):
    """A record with a name and revisions."""

    __abstract__ = True

    name: Mapped[str] = mapped_column(String(80))
    revision: Mapped[int]


class FindingRow(Kept):
    """Something found out about a trial, or about a bare file where ``trial`` is None."""

    __abstract__ = True

    id: Mapped[str] = mapped_column(String(60))
    made_at: Mapped[datetime]

    @declared_attr
    @classmethod
    def trial(cls) -> Mapped[str | None]:
        return mapped_column(ForeignKey("trial.id", name=f"fk_{cls.__tablename__}_trial"))


class StockRow(NamedRow):
    __tablename__ = "stock"
    __table_args__ = (UniqueConstraint("name", "revision", name="uq_stock_name_revision"),)

    base: Mapped[str] = mapped_column(String(20))
    coated: Mapped[str] = mapped_column(String(20))
    weight_gsm: Mapped[float | None]
    caliper_mm: Mapped[float | None]


class PrinterRow(NamedRow):
    __tablename__ = "printer"
    __table_args__ = (UniqueConstraint("name", "revision", name="uq_printer_name_revision"),)

    ink_kind: Mapped[str] = mapped_column(String(20))
    grid_ppi: Mapped[float]


class CardRow(NamedRow):
    """A card made in the workbench; ``stock`` and ``printer`` are those that its file names."""

    __tablename__ = "card"
    __table_args__ = (UniqueConstraint("name", "revision", name="uq_card_name_revision"),)

    stock: Mapped[str] = mapped_column(String(80))
    printer: Mapped[str] = mapped_column(String(80))


class TrialRow(Kept):
    """A trial as it was made; ``combination`` is the hash of all that its sheet was made from."""

    __tablename__ = "trial"
    __table_args__ = (
        UniqueConstraint("id", name="uq_trial_id"),
        ForeignKeyConstraint(
            ["stock", "stock_revision"], ["stock.name", "stock.revision"], name="fk_trial_stock"
        ),
        ForeignKeyConstraint(
            ["printer", "printer_revision"], ["printer.name", "printer.revision"], name="fk_trial_printer"
        ),
        Index("ix_trial_listing", "id", "stock", "printer", "side", "made_at", "seq"),
    )

    id: Mapped[str] = mapped_column(String(40))
    combination: Mapped[str] = mapped_column(String(64), index=True)
    stock: Mapped[str] = mapped_column(String(80), index=True)
    stock_revision: Mapped[int]
    printer: Mapped[str] = mapped_column(String(80), index=True)
    printer_revision: Mapped[int]
    side: Mapped[str] = mapped_column(String(10))
    made_at: Mapped[datetime]


class SettingsRow(Kept):
    """The settings of a trial as they were known at one time; the highest revision holds."""

    __tablename__ = "settings"
    __table_args__ = (
        UniqueConstraint("trial", "revision", name="uq_settings_trial_revision"),
        Index("ix_settings_listing", "trial", "revision", "media_setting"),
    )

    trial: Mapped[str] = mapped_column(ForeignKey("trial.id", name="fk_settings_trial"))
    revision: Mapped[int]
    media_setting: Mapped[str | None] = mapped_column(String(200))


class ReadingRow(FindingRow):
    __tablename__ = "reading"
    __table_args__ = (
        UniqueConstraint("id", name="uq_reading_id"),
        Index("ix_reading_trial_seq", "trial", "seq"),
        Index("ix_reading_listing", "trial", "seq", "kind", "made_at", "id"),
    )

    kind: Mapped[str] = mapped_column(String(20))


class PlacementRow(Table):
    """Where the print of a reading fell, beside the way in which it was printed: told by the reading and its trial,
    whose rows are too long to be read through for it."""

    __tablename__ = "placement"
    __table_args__ = (Index("ix_placement_listing", "stock", "printer", "reading_seq"),)

    reading_seq: Mapped[int] = mapped_column(
        ForeignKey("reading.seq", name="fk_placement_reading"), primary_key=True, autoincrement=False
    )
    trial: Mapped[str] = mapped_column(ForeignKey("trial.id", name="fk_placement_trial"))
    stock: Mapped[str] = mapped_column(String(80))
    printer: Mapped[str] = mapped_column(String(80))
    feed: Mapped[str] = mapped_column(Text)
    side: Mapped[str] = mapped_column(String(10))
    width_mm: Mapped[float]
    height_mm: Mapped[float]
    borderless: Mapped[bool] = mapped_column(Boolean)
    made_at: Mapped[datetime]
    body: Mapped[dict[str, Any]]


class VerdictRow(FindingRow):
    __tablename__ = "verdict"
    __table_args__ = (
        UniqueConstraint("id", name="uq_verdict_id"),
        Index("ix_verdict_trial_seq", "trial", "seq"),
        Index("ix_verdict_listing", "trial", "seq", "reading", "grade", "cause"),
    )

    reading: Mapped[str | None] = mapped_column(ForeignKey("reading.id", name="fk_verdict_reading"))
    grade: Mapped[str] = mapped_column(String(20), index=True)
    cause: Mapped[str] = mapped_column(String(40))


class ShelvingRow(Sealed, Table):
    """A record put away or taken out again; the newest row of a name holds."""

    __tablename__ = "shelving"
    __table_args__ = (Index("ix_shelving_kind_name", "kind", "name", "seq"),)

    seq: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    kind: Mapped[str] = mapped_column(String(20))
    name: Mapped[str] = mapped_column(String(80))
    archived: Mapped[bool] = mapped_column(Boolean)
    kept_at: Mapped[datetime]
    version: Mapped[str] = mapped_column(String(40))


class PracticeRow(Kept):
    """A print of the virtual press, which makes its trial practice, or (``kind``) what was guessed of one."""

    __tablename__ = "practice"
    __table_args__ = (Index("ix_practice_trial_kind", "trial", "kind", "seq"),)

    trial: Mapped[str] = mapped_column(ForeignKey("trial.id", name="fk_practice_trial"))
    kind: Mapped[str] = mapped_column(String(20))


class WithdrawalRow(Sealed, Table):
    """A reading, trial or count taken out of every answer, or put back. Of one subject the row noted last holds."""

    __tablename__ = "withdrawal"
    __table_args__ = (Index("ix_withdrawal_listing", "kind", "subject", "noted_at", "seq", "withdrawn"),)

    seq: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    kind: Mapped[str] = mapped_column(String(20))
    subject: Mapped[str] = mapped_column(String(60))
    withdrawn: Mapped[bool] = mapped_column(Boolean)
    why: Mapped[str | None] = mapped_column(String(200))
    noted_at: Mapped[datetime]
    kept_at: Mapped[datetime]
    version: Mapped[str] = mapped_column(String(40))


class JobRow(Table):
    """Work in the background. It is no record: the row follows the work and is changed in place."""

    __tablename__ = "job"
    __table_args__ = (
        UniqueConstraint("id", name="uq_job_id"),
        Index("ix_job_state_seq", "state", "seq"),
        Index("ix_job_subject_seq", "subject", "kind", "seq"),
    )

    seq: Mapped[int] = mapped_column(primary_key=True, autoincrement=True)
    id: Mapped[str] = mapped_column(String(40))
    kind: Mapped[str] = mapped_column(String(40))
    subject: Mapped[str | None] = mapped_column(String(80))
    asked: Mapped[dict[str, Any]]
    state: Mapped[str] = mapped_column(String(20))
    share: Mapped[float]
    said: Mapped[str] = mapped_column(String(400))
    # Plain NULL where there is none: JSON would keep the word null.
    result: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))
    # Code, values and place of what made it fail.
    fault: Mapped[dict[str, Any] | None] = mapped_column(JSON(none_as_null=True))
    attempts: Mapped[int]
    keeper: Mapped[str | None] = mapped_column(String(40))
    made_at: Mapped[datetime]
    beat_at: Mapped[datetime | None]
    ended_at: Mapped[datetime | None]
    version: Mapped[str] = mapped_column(String(40))
