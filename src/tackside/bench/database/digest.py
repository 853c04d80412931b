"""A row in one fixed form, and its digest, which is kept beside it: what a disk or a hand has altered since shows."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping
from datetime import UTC, datetime
from typing import Any

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
