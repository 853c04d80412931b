"""The tables of profiles and pictures: which kept files are what. Rows are never overwritten."""

from __future__ import annotations

from typing import Any

from sqlalchemy import Column, String, Table, UniqueConstraint

from tackside.bench.database.tables import METADATA, filled, of_record


def _of_file() -> tuple[Column[Any], ...]:
    return (
        filled("sha256", String(64)),
        filled("name", String(255)),
        filled("title", String(255)),
        *of_record(),
    )


PROFILE = Table("profile", METADATA, *_of_file(), UniqueConstraint("sha256", name="uq_profile_sha256"))

PICTURE = Table("picture", METADATA, *_of_file(), UniqueConstraint("sha256", name="uq_picture_sha256"))
