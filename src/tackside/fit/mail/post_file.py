"""Where the postal limits come from: the file that is shipped, and the user's own beside the bench's records."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import ClassVar

from tackside.files.toml_records import load_record
from tackside.fit.mail.post import EnvelopePaper, PostLimits, PostService
from tackside.records import Record

USERS_FILE = "post.toml"
_SHIPPED = Path(__file__).parent / "data" / "post.toml"


class OwnLimits(Record):
    """What a user's file holds: any part of it."""

    KIND: ClassVar[str] = "own-limits"

    envelope: EnvelopePaper | None = None
    services: tuple[PostService, ...] = ()


@cache
def shipped_limits() -> PostLimits:
    """The limits that come with Tackside."""
    return load_record(_SHIPPED, PostLimits)


def limits_for(bench_folder: Path) -> PostLimits:
    """The shipped limits with the user's own in their place, where the bench folder has a ``post.toml``.

    Raises BadRecord for a file that does not hold together.
    """
    shipped, file = shipped_limits(), bench_folder / USERS_FILE
    if not file.exists():
        return shipped
    own = load_record(file, OwnLimits)
    services = {(each.country, each.name): each for each in (*shipped.services, *own.services)}
    return PostLimits(envelope=own.envelope or shipped.envelope, services=tuple(services.values()))
