"""The tables of profiles and pictures: which kept files are what. Rows are never overwritten."""

from __future__ import annotations

from sqlalchemy import String, UniqueConstraint
from sqlalchemy.orm import Mapped, mapped_column

from tackside.bench.database.tables import Kept


class ArtRow(Kept):
    __abstract__ = True

    sha256: Mapped[str] = mapped_column(String(64))
    name: Mapped[str] = mapped_column(String(255))
    title: Mapped[str] = mapped_column(String(255))


class ProfileRow(ArtRow):
    __tablename__ = "profile"
    __table_args__ = (UniqueConstraint("sha256", name="uq_profile_sha256"),)


class PictureRow(ArtRow):
    __tablename__ = "picture"
    __table_args__ = (UniqueConstraint("sha256", name="uq_picture_sha256"),)
