"""A card in its envelope against the limits of the post: its mass, its thickness, and which letters it can go as.

The limits are data (``data/post.toml`` and the user's own), never constants here.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Annotated, ClassVar, Literal

from pydantic import Field

from tackside.fit.mail.envelope_sizes import EnvelopeSize
from tackside.fit.model import Envelope, Mailed, PostCheck
from tackside.messages.message import Message
from tackside.records import Record, Stock
from tackside.records.stock import LengthMm, Name, SizeMm

MM2_PER_M2 = 1e6
# Limits and envelopes are published in whole mm or in eighths and sixteenths of an inch, each rounded from the other:
# what is no further over a limit is taken to lie at it. An envelope is not made more exactly either (docs/sources.md,
# S131).
ROUNDED_MM = 0.5
Ratio = Annotated[float, Field(ge=1, le=100)]


class EnvelopePaper(Record):
    """What envelopes are made of.

    ``paper_share`` is the paper in one over its own area, ``thicknesses`` the sheets of it that lie above each other.
    """

    weight_gsm: Annotated[float, Field(gt=0, le=1000)]
    caliper_mm: Annotated[float, Field(gt=0, le=5)]
    paper_share: Annotated[float, Field(ge=2, le=4)]
    thicknesses: Annotated[int, Field(ge=2, le=6)]


class PostService(Record):
    """One kind of letter and its limits, [long edge, short edge] in mm; None where the service has no such limit.

    ``least_ratio`` is the least of long over short edge; outside ``surcharge_outside_ratio`` it costs more. ``noted``
    is when the entry was written down, ``source`` from what.
    """

    country: Name
    name: Name
    min_size_mm: SizeMm | None = None
    max_size_mm: SizeMm | None = None
    min_thickness_mm: LengthMm | None = None
    max_thickness_mm: LengthMm | None = None
    max_mass_g: Annotated[float, Field(gt=0, le=100_000)] | None = None
    least_ratio: Ratio | None = None
    surcharge_outside_ratio: tuple[Ratio, Ratio] | None = None
    noted: date
    source: Annotated[str, Field(min_length=1, max_length=500)]


class PostLimits(Record):
    """All that is known of envelopes and letters; within a country the services stand from the smallest letter up."""

    KIND: ClassVar[str] = "post-limits"

    envelope: EnvelopePaper
    services: tuple[PostService, ...]
    envelopes: tuple[EnvelopeSize, ...] = ()


def mass_g(stock: Stock) -> float | None:
    """Mass of one sheet of the card, from its area and weight; None where the weight is unknown."""
    if stock.weight_gsm is None:
        return None
    return stock.open_size_mm[0] * stock.open_size_mm[1] / MM2_PER_M2 * stock.weight_gsm


def mailed(
    card_g: float | None, card_mm: float | None, envelope: Envelope | None, paper: EnvelopePaper
) -> Mailed | None:
    """The folded card in its envelope; None where no envelope takes it. What is unknown of the card stays unknown."""
    if envelope is None:
        return None
    area = envelope.size_mm[0] * envelope.size_mm[1] / MM2_PER_M2
    own_g = area * paper.paper_share * paper.weight_gsm
    own_mm = paper.thicknesses * paper.caliper_mm
    return Mailed(
        envelope=envelope.name,
        size_mm=envelope.size_mm,
        mass_g=None if card_g is None else round(card_g + own_g, 1),
        thickness_mm=None if card_mm is None else round(card_mm + own_mm, 2),
    )


def check(letter: Mailed, service: PostService) -> PostCheck:
    """Whether a letter keeps a service's limits, why not, what could not be checked, and whether it costs more."""
    against = tuple(_against(letter, service))
    return PostCheck(
        country=service.country,
        service=service.name,
        goes=not against,
        reasons=against,
        surcharge=_surcharge(letter, service),
        unchecked=tuple(_unchecked(letter, service)),
        noted=service.noted,
        source=service.source,
    )


def _against(letter: Mailed, service: PostService) -> Iterator[Message]:
    for edge, length, least, most in zip(
        ("long", "high"),
        letter.size_mm,
        service.min_size_mm or (None, None),
        service.max_size_mm or (None, None),
        strict=True,
    ):
        if most is not None and length > most + ROUNDED_MM:
            yield Message(f"post.too-{edge}", length_mm=length, limit_mm=most)
        if least is not None and length < least - ROUNDED_MM:
            yield Message(f"post.too-little-{edge}", length_mm=length, limit_mm=least)
    ratio = letter.size_mm[0] / letter.size_mm[1]
    if service.least_ratio is not None and ratio < service.least_ratio - 0.005:
        yield Message("post.too-square", ratio=ratio, limit=service.least_ratio)
    thickness, mass = letter.thickness_mm, letter.mass_g
    if thickness is not None and service.max_thickness_mm and thickness > service.max_thickness_mm:
        yield Message("post.too-thick", thickness_mm=thickness, limit_mm=service.max_thickness_mm)
    if thickness is not None and service.min_thickness_mm and thickness < service.min_thickness_mm:
        yield Message("post.too-thin", thickness_mm=thickness, limit_mm=service.min_thickness_mm)
    if mass is not None and service.max_mass_g and mass > service.max_mass_g:
        yield Message("post.too-heavy", mass=mass, limit=service.max_mass_g)


def _surcharge(letter: Mailed, service: PostService) -> Message | None:
    if service.surcharge_outside_ratio is None:
        return None
    least, most = service.surcharge_outside_ratio
    ratio = letter.size_mm[0] / letter.size_mm[1]
    if least <= ratio <= most:
        return None
    code = "post.square-costs-more" if ratio < 1.01 else "post.shape-costs-more"
    return Message(code, ratio=ratio, least=least, most=most)


def _unchecked(letter: Mailed, service: PostService) -> Iterator[Literal["mass", "thickness"]]:
    if letter.mass_g is None and service.max_mass_g:
        yield "mass"
    if letter.thickness_mm is None and (service.max_thickness_mm or service.min_thickness_mm):
        yield "thickness"
