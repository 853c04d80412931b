"""The envelope for a folded card, from the ISO, the US and the metric family."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.fit.mail.envelope_sizes import EnvelopeSize, shipped_envelopes
from tackside.fit.model import Envelope
from tackside.fit.sizes.format_tables import Family, Format
from tackside.fit.sizes.formats import card_of, sheet_of
from tackside.messages.message import Message

# What is usually left in each direction beside the card and its thickness (3 to 6 mm; docs/sources.md, S5).
LEAST_CLEARANCE_MM = 3.0
USUAL_CLEARANCE_MM = 6.0
# A second choice that leaves more than this in a direction lets the card slide about (docs/sources.md, S6).
LOOSEST_SECOND_MM = 25.0


def envelopes_for(
    folded_mm: tuple[float, float],
    open_mm: tuple[float, float],
    thickness_mm: float | None,
    known: Sequence[EnvelopeSize] | None = None,
) -> tuple[Envelope, ...]:
    """The smallest envelope of each family that takes the card, the card's own family first; of those that are
    ``known``, by default the ones that are shipped.

    A card of thickness t needs t more in each direction (common practice); an unknown one counts as none.
    Of a card and an envelope made as a pair, such as US A2, or C5 for A5, the pair is kept even where less
    than 3 mm is left; the remark says so. A family without an envelope large enough is left out, and so is a
    second choice in which the card would slide about.
    """
    card = max(folded_mm), min(folded_mm)
    name = card_of(folded_mm)
    pair = _pair_of(name.format) if name else None
    sizes = tuple(each.format for each in (shipped_envelopes() if known is None else known))
    takers = [
        _smallest(card, thickness_mm or 0.0, [each for each in sizes if each.family == family], pair)
        for family in _families(folded_mm, open_mm)
    ]
    found = [taker for taker in takers if taker is not None]
    if name is None and sheet_of(open_mm) is None:  # of no family: the closer one first
        found.sort(key=lambda envelope: max(envelope.clearance_mm))
    found.sort(key=_looseness)
    return (*found[:1], *(second for second in found[1:] if max(second.clearance_mm) <= LOOSEST_SECOND_MM))


def _looseness(envelope: Envelope) -> float:
    """Nothing for an envelope that holds the card; else what is left in the looser direction."""
    loosest = max(envelope.clearance_mm)
    return loosest if loosest > LOOSEST_SECOND_MM else 0.0


def _families(folded_mm: tuple[float, float], open_mm: tuple[float, float]) -> tuple[Family, ...]:
    """All families, the card's own first."""
    named = card_of(folded_mm) or sheet_of(open_mm)
    own: Family = named.format.family if named else "ISO"
    families: tuple[Family, ...] = ("ISO", "US", "metric")
    return tuple(sorted(families, key=lambda family: family != own))


def _smallest(
    card_mm: tuple[float, float], thickness_mm: float, sizes: Sequence[Format], pair: str | None
) -> Envelope | None:
    takers = []
    for each in sizes:
        clearance = (each.long_mm - card_mm[0] - thickness_mm, each.short_mm - card_mm[1] - thickness_mm)
        least = 0.0 if each.name == pair else LEAST_CLEARANCE_MM
        if min(clearance) >= least:
            takers.append((each.short_mm * each.long_mm, each, clearance))
    if not takers:
        return None
    _, best, clearance = min(takers, key=lambda taker: taker[0])
    return Envelope(
        name=best.name,
        family=best.family,
        size_mm=(round(best.long_mm, 1), round(best.short_mm, 1)),
        clearance_mm=(round(clearance[0], 1), round(clearance[1], 1)),
        remark=_remark(best, clearance, pair),
    )


def _pair_of(card: Format) -> str | None:
    """The envelope that a card size is made for: its own name in the US; C5 for A5, DL for a third of A4 (ISO 269)."""
    if card.name == "a third of A4":
        return "DL"
    if card.kind == "card":
        return card.name
    return f"C{card.name[1:]}" if card.name.startswith("A") else None


def _remark(envelope: Format, clearance_mm: tuple[float, float], pair: str | None) -> Message | None:
    if min(clearance_mm) < LEAST_CLEARANCE_MM:
        return Message(
            "post.envelope-snug",
            left_mm=min(clearance_mm),
            usual_mm=LEAST_CLEARANCE_MM,
            envelope=envelope.name,
        )
    if max(clearance_mm) <= USUAL_CLEARANCE_MM:
        return None
    code = "post.envelope-made-for-it" if envelope.name == pair else "post.envelope-roomy"
    return Message(code, spare_mm=clearance_mm, least_mm=LEAST_CLEARANCE_MM, most_mm=USUAL_CLEARANCE_MM)
