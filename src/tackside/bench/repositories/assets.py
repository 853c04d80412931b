"""Profiles and pictures of a bench: kept files that are found by what they are called; each is kept once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Any, Generic, Literal, TypeVar

from sqlalchemy import ColumnElement, func, or_, select

from tackside.bench.database.asset_tables import ArtRow, PictureRow, ProfileRow
from tackside.bench.database.standing import archived, holds
from tackside.bench.database.storage import Vault, kept
from tackside.bench.repositories.catalogue import MOST_WORDS, ListAsked
from tackside.errors import NotFound
from tackside.records.assets import ArtFile

Art = TypeVar("Art", bound=ArtFile)
Kind = Literal["profile", "picture"]
_ROWS: dict[Kind, type[ArtRow]] = {"profile": ProfileRow, "picture": PictureRow}


@dataclass(frozen=True)
class ArtLine(Generic[Art]):
    """One of a list, and when it came."""

    file: Art
    kept_at: datetime


class Artwork(Generic[Art]):
    """One shelf: of profiles, or of pictures."""

    def __init__(self, vault: Vault, kind: Kind, record: type[Art]) -> None:
        self._vault, self._kind, self._record = vault, kind, record
        self._rows = _ROWS[kind]

    def add(self, file: Art) -> Art:
        """Note what a kept file is; one that is known already stays as it was first noted."""
        known = self._found(file.sha256)
        if known is not None:
            return known
        rows = self._rows
        with self._vault.writing() as session:  # one writes at a time: what is not there now will not come
            row = session.scalars(select(rows).where(rows.sha256 == file.sha256)).first()
            if row is not None:
                return self._vault.revive(self._record, row.body)
            session.add(rows(sha256=file.sha256, name=file.name, title=file.title, **kept(file, file.sha256)))
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
        rows = self._rows
        found = select(rows).where(archived(self._kind, rows.sha256).is_(asked.archived))
        for word in asked.words.split()[:MOST_WORDS]:
            found = found.where(or_(holds(rows.name, word), holds(rows.title, word)))
        order: tuple[ColumnElement[Any], ...] = (func.lower(rows.title), rows.seq.desc())
        if asked.sort in ("newest", "oldest"):
            order = (rows.seq.desc() if asked.sort == "newest" else rows.seq.asc(),)
        with self._vault.reading() as session:
            total = session.scalar(select(func.count()).select_from(found.subquery())) or 0
            shown = session.scalars(found.order_by(*order).offset(asked.start).limit(asked.count)).all()
            return tuple(
                ArtLine(self._vault.revive(self._record, row.body), row.kept_at) for row in shown
            ), total

    def all(self) -> tuple[Art, ...]:
        """All that were not put away, newest first."""
        asked = select(self._rows).where(archived(self._kind, self._rows.sha256).is_(False))
        with self._vault.reading() as session:
            rows = session.scalars(asked.order_by(self._rows.seq.desc())).all()
            return tuple(self._vault.revive(self._record, row.body) for row in rows)

    def _found(self, sha256: str) -> Art | None:
        with self._vault.reading() as session:
            row = session.scalars(select(self._rows).where(self._rows.sha256 == sha256)).first()
            return None if row is None else self._vault.revive(self._record, row.body)
