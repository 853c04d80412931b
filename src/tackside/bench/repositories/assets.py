"""Profiles and pictures of a bench: kept files that are found by what they are called; each is kept once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Generic, Literal, TypeVar

from sqlalchemy import ColumnElement, Select, Table, func, or_, select

from tackside.bench.database.asset_tables import PICTURE, PROFILE
from tackside.bench.database.standing import archived, holds
from tackside.bench.database.storage import Vault, kept
from tackside.bench.database.tables import add_row
from tackside.bench.repositories.catalogue import MOST_WORDS, ListAsked
from tackside.errors import NotFound
from tackside.records.assets import ArtFile

Art = TypeVar("Art", bound=ArtFile)
Kind = Literal["profile", "picture"]
_TABLES: dict[Kind, Table] = {"profile": PROFILE, "picture": PICTURE}


@dataclass(frozen=True)
class ArtLine(Generic[Art]):
    """One of a list, and when it came."""

    file: Art
    kept_at: datetime


class Artwork(Generic[Art]):
    """One shelf: of profiles, or of pictures."""

    def __init__(self, vault: Vault, kind: Kind, record: type[Art]) -> None:
        self._vault, self._kind, self._record = vault, kind, record
        self._table = _TABLES[kind]

    def add(self, file: Art) -> Art:
        """Note what a kept file is; one that is known already stays as it was first noted."""
        known = self._found(file.sha256)
        if known is not None:
            return known
        with self._vault.writing() as connection:  # one writes at a time: what is not there now will not come
            row = connection.execute(self._asked(file.sha256)).first()
            if row is not None:
                return self._vault.revive(self._record, row.body)
            add_row(
                connection, self._table,
                sha256=file.sha256, name=file.name, title=file.title, **kept(file, file.sha256),
            )  # fmt: skip
        return file

    def get(self, sha256: str) -> Art:
        """Raises NotFound."""
        found = self._found(sha256)
        if found is None:
            raise NotFound(f"bench.no-{self._kind}")
        return found

    def holds(self, sha256: str) -> bool:
        return self._found(sha256) is not None

    def list(self, asked: ListAsked) -> tuple[tuple[ArtLine[Art], ...], int]:
        """One page, and how many there are in all. Of ``asked`` words, order, shelf and page count."""
        of = self._table.c
        found = select(self._table).where(archived(self._kind, of.sha256).is_(asked.archived))
        for word in asked.words.split()[:MOST_WORDS]:
            found = found.where(or_(holds(of.name, word), holds(of.title, word)))
        order: tuple[ColumnElement[Any], ...] = (func.lower(of.title), of.seq.desc())
        if asked.sort in ("newest", "oldest"):
            order = (of.seq.desc() if asked.sort == "newest" else of.seq.asc(),)
        with self._vault.reading() as connection:
            total = connection.scalar(select(func.count()).select_from(found.subquery())) or 0
            shown = connection.execute(found.order_by(*order).offset(asked.start).limit(asked.count)).all()
            return tuple(
                ArtLine(self._vault.revive(self._record, row.body), row.kept_at) for row in shown
            ), total

    def all(self) -> tuple[Art, ...]:
        """All that were not put away, newest first."""
        of = self._table.c
        asked = select(self._table).where(archived(self._kind, of.sha256).is_(False))
        with self._vault.reading() as connection:
            rows = connection.execute(asked.order_by(of.seq.desc())).all()
            return tuple(self._vault.revive(self._record, row.body) for row in rows)

    def _found(self, sha256: str) -> Art | None:
        with self._vault.reading() as connection:
            row = connection.execute(self._asked(sha256)).first()
            return None if row is None else self._vault.revive(self._record, row.body)

    def _asked(self, sha256: str) -> Select[Any]:
        return select(self._table).where(self._table.c.sha256 == sha256)
