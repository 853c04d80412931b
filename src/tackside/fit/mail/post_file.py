"""Where envelopes and postal limits come from: the files that are shipped, and the user's own in the bench folder."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import ClassVar

from tackside.files.toml_records import load_record
from tackside.fit.mail.envelope_sizes import EnvelopeSize, shipped_envelopes
from tackside.fit.mail.post import EnvelopePaper, PostLimits, PostService
from tackside.records import Record
from tackside.records.stock import Name

USERS_FILE = "post.toml"
_SHIPPED = Path(__file__).parent / "data" / "post.toml"


class OwnLimits(Record):
    """What a user's file holds: any part of it. ``countries`` are those whose post is to be asked at all, in order."""

    KIND: ClassVar[str] = "own-limits"

    envelope: EnvelopePaper | None = None
    services: tuple[PostService, ...] = ()
    envelopes: tuple[EnvelopeSize, ...] = ()
    countries: tuple[Name, ...] | None = None


@cache
def shipped_limits() -> PostLimits:
    """The limits that come with Tackside."""
    return load_record(_SHIPPED, PostLimits).model_copy(update={"envelopes": shipped_envelopes()})


def limits_for(bench_folder: Path) -> PostLimits:
    """The shipped limits with the user's own in their place, where the bench folder has a ``post.toml``.

    Raises BadRecord for a file that does not hold together.
    """
    shipped, file = shipped_limits(), bench_folder / USERS_FILE
    if not file.exists():
        return shipped
    own = load_record(file, OwnLimits)
    services = {(each.country, each.name): each for each in (*shipped.services, *own.services)}
    envelopes = {each.name: each for each in (*shipped.envelopes, *own.envelopes)}
    return PostLimits(
        envelope=own.envelope or shipped.envelope,
        services=_of_countries(tuple(services.values()), own.countries),
        envelopes=tuple(envelopes.values()),
    )


def _of_countries(
    services: tuple[PostService, ...], countries: tuple[Name, ...] | None
) -> tuple[PostService, ...]:
    """The services of these countries in the order they are named in; all of them where none is named."""
    if countries is None:
        return services
    asked = [each.casefold() for each in countries]
    kept = [each for each in services if each.country.casefold() in asked]
    return tuple(sorted(kept, key=lambda each: asked.index(each.country.casefold())))
