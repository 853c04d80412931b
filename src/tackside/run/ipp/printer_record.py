"""A printer record from what the printer says of itself, joined with what is known, and what it leaves open."""

from __future__ import annotations

from pydantic import ValidationError

from tackside.errors import PrinterTrouble
from tackside.messages.message import Message
from tackside.records import Feed, Inks, Margins, Printer
from tackside.run.ipp.capabilities import EDGES, Capabilities, Media

# Sources that name no way into the printer, but a manner of choosing one (PWG 5100.3, media-source).
_NO_FEED = {"auto", "manual"}
_MOST_SETTINGS = 60


def printer_record(told: Capabilities, name: str | None = None) -> Printer:
    """The record of a printer called ``name``, or what it calls itself. Raises PrinterTrouble without sizes."""
    if not told.media:
        raise PrinterTrouble("ipp.no-sizes")
    try:
        return Printer(
            name=(name or told.name or told.model or "printer")[:80],
            inks=Inks(count=len(told.inks) if 0 < len(told.inks) <= 16 else None),
            grid_ppi=min(max(told.ppi, default=600.0), 4800.0),
            feeds=tuple(_feed(told, source) for source in _sources(told)),
            media_settings=tuple(dict.fromkeys(each[:80] for each in told.types if each.strip()))[
                :_MOST_SETTINGS
            ],
            notes=f"Filled in from the printer's own attributes (IPP): {told.model}".strip(": "),
        )
    except ValidationError as error:
        raise PrinterTrouble("ipp.says-nonsense", count=error.error_count()) from error


def merged(told: Printer, known: Printer) -> Printer:
    """What the printer says, joined with what a person has noted before and printers never say.

    Kept of ``known``: the kind of inks (and their count, where the printer names none), notes, and by the feed's
    name its caliper, weight and borderless enlargement; feeds that the printer does not name are kept whole.
    """
    before = {feed.name: feed for feed in known.feeds}
    feeds = [_joined(feed, before.pop(feed.name, None)) for feed in told.feeds]
    inks = Inks(kind=known.inks.kind, count=told.inks.count or known.inks.count)
    return told.model_copy(
        update={"inks": inks, "feeds": (*feeds, *before.values()), "notes": known.notes or told.notes}
    )


def _joined(told: Feed, known: Feed | None) -> Feed:
    if known is None:
        return told
    kept = ("max_caliper_mm", "max_weight_gsm", "borderless_enlargement_mm")
    lacking = {"margins_mm": known.margins_mm} if told.margins_mm is None else {}
    return told.model_copy(update={**{name: getattr(known, name) for name in kept}, **lacking})


def _sources(told: Capabilities) -> tuple[str, ...]:
    """The feeds, and where none is named, one."""
    named = tuple(each for each in told.sources if each not in _NO_FEED)
    return named or ("main",)


def _feed(told: Capabilities, source: str) -> Feed:
    media = _media_of(told, source)
    ranges = [each for each in media if each.is_range]
    sized = ranges or media
    least = tuple(min(each.least_mm[axis] for each in sized) for axis in (0, 1))
    most = tuple(max(each.most_mm[axis] for each in sized) for axis in (0, 1))
    borderless = {each.least_mm for each in media if each.is_borderless and not each.is_range}
    return Feed(
        name=source[:80],
        min_size_mm=(least[0], least[1]),
        max_size_mm=(most[0], most[1]),
        margins_mm=_margins(told, media),
        borderless_sizes_mm=tuple(sorted(borderless)),
    )


def _media_of(told: Capabilities, source: str) -> list[Media]:
    """The media of a source; where the list names no source, all of them."""
    own = [each for each in told.media if each.source == source]
    return own or [each for each in told.media if each.source is None] or list(told.media)


def _margins(told: Capabilities, media: list[Media]) -> Margins | None:
    """The margins of a sheet that is not borderless: the widest that the media list has, else the widest allowed."""
    bordered = [each.margins for each in media if each.margins is not None and not each.is_borderless]
    widest = {
        edge: max(
            (getattr(each, edge) for each in bordered), default=max(told.margins_mm[edge], default=None)
        )
        for edge in EDGES
    }
    if None in widest.values():
        return None
    return Margins(**widest)


def gaps(told: Capabilities, printer: Printer) -> tuple[Message, ...]:
    """What the printer does not say and the record still lacks."""
    borderless = [feed for feed in printer.feeds if feed.borderless_sizes_mm]
    found = {
        "ipp.gap-caliper": any(feed.max_caliper_mm is None for feed in printer.feeds),
        "ipp.gap-custom-sizes": not any(each.is_range for each in told.media),
        "ipp.gap-margins": any(feed.margins_mm is None for feed in printer.feeds),
        "ipp.gap-enlargement": any(feed.borderless_enlargement_mm is None for feed in borderless),
        "ipp.gap-inks": printer.inks.count is None,
        "ipp.gap-ink-kind": printer.inks.count is not None and printer.inks.kind == "unknown",
    }
    return tuple(Message(code) for code, is_open in found.items() if is_open)
