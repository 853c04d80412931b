"""What is asked of the printer for one job: size, margins, type, quality, no scaling, colour (RFC 8011, PWG 5100.7)."""

from __future__ import annotations

from dataclasses import dataclass

from tackside.errors import DoesNotFit
from tackside.messages.message import Message
from tackside.records.printer import Margins
from tackside.run.ipp.capabilities import EDGES, PER_MM, Capabilities, SizeMm
from tackside.run.ipp.values import Collection, Held, IppAttribute, IppTag, attribute, collection

QUALITIES = {"draft": 3, "normal": 4, "high": 5}  # RFC 8011 section 5.2.13
# The program's words for rendering intents → IPP's (PWG 5100.13, print-rendering-intent).
INTENTS = {
    ("perceptual", False): "perceptual",
    ("perceptual", True): "perceptual",
    ("relative", False): "relative",
    ("relative", True): "relative-bpc",
    ("saturation", False): "saturation",
    ("saturation", True): "saturation",
    ("absolute", False): "absolute",
    ("absolute", True): "absolute",
}


@dataclass(frozen=True)
class PrintRequest:
    """How a sheet is to be printed. ``size_mm`` as fed; ``margins`` zero where borderless; ``media_type`` and
    ``source`` in the printer's own words, None leaves the choice to it."""

    size_mm: SizeMm
    margins: Margins
    media_type: str | None = None
    source: str | None = None
    quality: str = "high"
    intent: str = "relative"
    black_point_compensation: bool = True
    copies: int = 1


@dataclass(frozen=True)
class Ticket:
    """The job's attributes, and what this printer cannot be asked."""

    attributes: tuple[IppAttribute, ...]
    left_out: tuple[Message, ...]

    @property
    def plain(self) -> dict[str, object]:
        """The attributes as plain data, for the record."""
        return {each.name: _plain(each.plain) for each in self.attributes}


def ticket(told: Capabilities, wanted: PrintRequest) -> Ticket:
    """The attributes of a job on a printer with those capabilities; the printer must follow each of them.

    Raises DoesNotFit where the printer does not list the size, or cannot print it with those margins, or does not
    know the media type or source; what is merely not to be asked for is named in ``left_out``.
    """
    _refuse_size(told, wanted)
    _refuse_word("paper-type", wanted.media_type, told.types)
    _refuse_word("feed", wanted.source, told.sources)
    left_out: list[Message] = []
    found = [attribute("media-col", IppTag.COLLECTION, _media_col(told, wanted))]
    found += _choice(told, left_out, "print-scaling", "none", told.scalings, "ipp.no-scaling")
    quality = QUALITIES[wanted.quality]
    if quality in told.qualities:
        found.append(attribute("print-quality", IppTag.ENUM, quality))
    else:
        left_out.append(Message("ipp.no-quality", quality=wanted.quality))
    found += _choice(told, left_out, "print-color-mode", "color", told.colour_modes, "ipp.no-colour-mode")
    found += _choice(
        told,
        left_out,
        "print-content-optimize",
        "photo",
        told.optimisations,
        "ipp.no-photograph",
    )
    intent = INTENTS[wanted.intent, wanted.black_point_compensation]
    found += _choice(
        told,
        left_out,
        "print-rendering-intent",
        intent,
        told.intents,
        "ipp.no-intent",
    )
    if wanted.copies > 1:
        found.append(attribute("copies", IppTag.INTEGER, wanted.copies))
    found.append(attribute("sides", IppTag.KEYWORD, "one-sided"))
    return Ticket(tuple(found), tuple(left_out))


def _media_col(told: Capabilities, wanted: PrintRequest) -> Collection:
    x, y = (round(length * PER_MM) for length in wanted.size_mm)
    size = collection(
        attribute("x-dimension", IppTag.INTEGER, x), attribute("y-dimension", IppTag.INTEGER, y)
    )
    members = [attribute("media-size", IppTag.COLLECTION, size)]
    for edge in EDGES:
        allowed = told.margins_mm[edge]
        asked = getattr(wanted.margins, edge)
        nearest = min((each for each in allowed if each >= asked - 1e-6), default=max(allowed, default=asked))
        members.append(
            attribute(f"media-{edge}-margin", IppTag.INTEGER, round((0 if asked == 0 else nearest) * PER_MM))
        )
    if wanted.media_type is not None:
        members.append(attribute("media-type", IppTag.KEYWORD, wanted.media_type))
    if wanted.source is not None:
        members.append(attribute("media-source", IppTag.KEYWORD, wanted.source))
    return collection(*members)


def _refuse_size(told: Capabilities, wanted: PrintRequest) -> None:
    width, height = wanted.size_mm
    fitting = [each for each in told.media if each.holds(wanted.size_mm)]
    if not fitting:
        turned = (height, width)
        if any(each.holds(turned) for each in told.media):
            raise DoesNotFit("ipp.size-only-turned", size_mm=wanted.size_mm, turned_mm=turned)
        raise DoesNotFit("ipp.size-not-listed", size_mm=wanted.size_mm)
    if wanted.margins == Margins() and not _borderless(told, wanted.size_mm):
        raise DoesNotFit("ipp.not-borderless", size_mm=wanted.size_mm)


def _borderless(told: Capabilities, size_mm: SizeMm) -> bool:
    listed = [each for each in told.media if each.holds(size_mm) and each.margins is not None]
    if listed:
        return any(each.is_borderless for each in listed)
    return all(0.0 in told.margins_mm[edge] for edge in EDGES)


def _refuse_word(what: str, asked: str | None, known: tuple[str, ...]) -> None:
    if asked is not None and asked not in known:
        code = f"ipp.no-such-{what}" if known else f"ipp.names-no-{what}"
        raise DoesNotFit(code, asked=asked, known=known)


def _choice(
    told: Capabilities, left_out: list[Message], name: str, value: str, known: tuple[str, ...], otherwise: str
) -> list[IppAttribute]:
    """The attribute where the printer can be asked for that value; else a message of the code ``otherwise``."""
    askable = name in told.job_attributes or not told.job_attributes
    if askable and value in known:
        return [attribute(name, IppTag.KEYWORD, value)]
    left_out.append(Message(otherwise, attribute=name, value=value))
    return []


def _plain(values: tuple[Held, ...]) -> object:
    plain = [_one(each) for each in values]
    return plain[0] if len(plain) == 1 else plain


def _one(held: Held) -> object:
    if isinstance(held, Collection):
        return {name: _plain(tuple(value.held for value in values)) for name, values in held.members}
    if isinstance(held, bytes):
        return held.hex()
    return list(held) if isinstance(held, tuple) else held
