"""What a printer says that it can do, out of its attributes (RFC 8011; PWG 5100.3, 5100.7, 5100.13, 5101.1)."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from tackside.records.printer import Margins
from tackside.run.ipp.values import AttributeGroup, Collection, Held, Range, Resolution

# IPP counts lengths in hundredths of a millimetre (PWG 5100.3).
PER_MM = 100
# No card is longer; a roll's length is cut to this.
LONGEST_MM = 2000.0
_CUSTOM = re.compile(r"custom_(min|max)_(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)(mm|in)\b")  # PWG 5101.1 section 5
_PER_UNIT = {"mm": 1.0, "in": 25.4}

SizeMm = tuple[float, float]


@dataclass(frozen=True)
class Media:
    """One entry of the printer's media list: a size, or a range where ``most_mm`` differs, its margins, its source."""

    least_mm: SizeMm
    most_mm: SizeMm
    margins: Margins | None = None
    source: str | None = None
    type: str | None = None

    @property
    def is_range(self) -> bool:
        return self.least_mm != self.most_mm

    @property
    def is_borderless(self) -> bool:
        return self.margins == Margins()

    def holds(self, size_mm: SizeMm, slack_mm: float = 0.1) -> bool:
        """Whether a sheet of that size, as fed, is this entry's."""
        pairs = zip(size_mm, self.least_mm, self.most_mm, strict=True)
        return all(low - slack_mm <= length <= high + slack_mm for length, low, high in pairs)


@dataclass(frozen=True)
class Capabilities:
    """All that matters for cards. Margins are those that can be asked for, in mm, per edge. ``jpeg_px`` and
    ``jpeg_bytes`` are the largest JPEG that is taken (PWG 5100.13), None where no limit is named."""

    name: str
    model: str
    accepts_jobs: bool
    state_reasons: tuple[str, ...]
    media: tuple[Media, ...]
    margins_mm: dict[str, tuple[float, ...]]
    sources: tuple[str, ...]
    types: tuple[str, ...]
    ppi: tuple[float, ...]
    raster_ppi: tuple[float, ...]
    raster_types: tuple[str, ...]
    qualities: tuple[int, ...]
    colour_modes: tuple[str, ...]
    optimisations: tuple[str, ...]
    intents: tuple[str, ...]
    scalings: tuple[str, ...]
    formats: tuple[str, ...]
    job_attributes: tuple[str, ...]
    media_members: tuple[str, ...]
    operations: tuple[int, ...]
    most_copies: int
    inks: tuple[str, ...]
    jpeg_px: tuple[int, int] | None = None
    jpeg_bytes: int | None = None
    jpeg_features: tuple[str, ...] = ()


RASTER_PPI = "pwg-raster-document-resolution-supported"
EDGES = ("top", "bottom", "left", "right")


def capabilities(printer: AttributeGroup) -> Capabilities:
    """Out of the printer's attribute group. What it leaves out, or says in a wrong form, counts as not said."""
    return Capabilities(
        name=_text(printer.get("printer-info")) or _text(printer.get("printer-name")) or "",
        model=_text(printer.get("printer-make-and-model")) or "",
        accepts_jobs=printer.get("printer-is-accepting-jobs")[:1] != (False,),
        state_reasons=tuple(each for each in _words(printer, "printer-state-reasons") if each != "none"),
        media=_media(printer),
        margins_mm={edge: _lengths(printer, f"media-{edge}-margin-supported") for edge in EDGES},
        sources=_words(printer, "media-source-supported"),
        types=_words(printer, "media-type-supported"),
        ppi=_resolutions(printer, "printer-resolution-supported", RASTER_PPI),
        raster_ppi=_resolutions(printer, RASTER_PPI),
        raster_types=_words(printer, "pwg-raster-document-type-supported"),
        qualities=_numbers(printer, "print-quality-supported"),
        colour_modes=_words(printer, "print-color-mode-supported"),
        optimisations=_words(printer, "print-content-optimize-supported"),
        intents=_words(printer, "print-rendering-intent-supported"),
        scalings=_words(printer, "print-scaling-supported"),
        formats=_words(printer, "document-format-supported"),
        job_attributes=_words(printer, "job-creation-attributes-supported"),
        media_members=_words(printer, "media-col-supported"),
        operations=_numbers(printer, "operations-supported"),
        most_copies=_most(printer, "copies-supported") or 1,
        inks=_inks(printer),
        jpeg_px=_jpeg_px(printer),
        jpeg_bytes=None if (most := _most(printer, "jpeg-k-octets-supported")) is None else most * 1024,
        jpeg_features=_words(printer, "jpeg-features-supported"),
    )


def _most(printer: AttributeGroup, name: str) -> int | None:
    """The upper end of a range; None where there is none."""
    return max((each.high for each in printer.get(name) if isinstance(each, Range)), default=None)


def _jpeg_px(printer: AttributeGroup) -> tuple[int, int] | None:
    x, y = (_most(printer, f"jpeg-{axis}-dimension-supported") for axis in "xy")
    return None if x is None or y is None else (x, y)


def _media(printer: AttributeGroup) -> tuple[Media, ...]:
    """The media list where there is one, else the bare sizes, else ranges named in ``media-supported``."""
    named = _custom_range(_words(printer, "media-supported"))
    listed = [_entry(each) for each in printer.get("media-col-database") if isinstance(each, Collection)]
    if not any(listed):
        sizes = (each for each in printer.get("media-size-supported") if isinstance(each, Collection))
        listed = [_sized(each) for each in sizes]
    found = [each for each in listed if each is not None]
    if named is not None and not any(each.is_range for each in found):
        found.append(named)
    return tuple(dict.fromkeys(found))


def _entry(held: Collection) -> Media | None:
    size = next((each for each in held.get("media-size") if isinstance(each, Collection)), None)
    plain = _sized(size) if size else None
    if plain is None:
        return None
    edges = {edge: _number(held.get(f"media-{edge}-margin")) for edge in EDGES}
    known = {
        edge: length / PER_MM
        for edge, length in edges.items()
        if length is not None and 0 <= length <= 10_000
    }
    margins = Margins(**known) if len(known) == len(EDGES) else None
    source, kind = _text(held.get("media-source")), _text(held.get("media-type"))
    return Media(plain.least_mm, plain.most_mm, margins, source, kind)


def _sized(held: Collection) -> Media | None:
    lengths = [_span(held.get(name)) for name in ("x-dimension", "y-dimension")]
    if None in lengths:
        return None
    (x_low, x_high), (y_low, y_high) = (each for each in lengths if each is not None)
    return Media((x_low, y_low), (x_high, y_high))


def _span(held: tuple[Held, ...]) -> tuple[float, float] | None:
    """A length or a range of lengths in mm; None where it is neither, or no length of paper."""
    first = held[0] if held else None
    if isinstance(first, Range):
        low, high = first.low / PER_MM, first.high / PER_MM
    elif isinstance(first, int) and not isinstance(first, bool):
        low = high = first / PER_MM
    else:
        return None
    return _sane(low, high)


def _sane(low: float, high: float) -> tuple[float, float] | None:
    if not 0 <= low <= high or high < 1 or low > LONGEST_MM:
        return None
    return max(low, 1.0), min(high, LONGEST_MM)


def _custom_range(names: Iterable[str]) -> Media | None:
    ends: dict[str, SizeMm] = {}
    for found in filter(None, map(_CUSTOM.match, names)):
        unit = _PER_UNIT[found[4]]
        ends.setdefault(found[1], (float(found[2]) * unit, float(found[3]) * unit))
    if set(ends) != {"min", "max"}:
        return None
    spans = [_sane(low, high) for low, high in zip(ends["min"], ends["max"], strict=True)]
    if None in spans:
        return None
    (x_low, x_high), (y_low, y_high) = (each for each in spans if each is not None)
    return Media((x_low, y_low), (x_high, y_high))


def _resolutions(printer: AttributeGroup, *names: str) -> tuple[float, ...]:
    """Pixels an inch, rising."""
    found = {
        held.across * (2.54 if held.units == 4 else 1.0)
        for name in names
        for held in printer.get(name)
        if isinstance(held, Resolution) and 0 < held.across <= 10_000
    }
    return tuple(sorted(found))


def _inks(printer: AttributeGroup) -> tuple[str, ...]:
    """The colours of the ink supplies (RFC 3805's ``marker-…`` in PWG 5100.9; else ``printer-supply``)."""
    named = _words(printer, "marker-names")
    kinds = _words(printer, "marker-types")
    if named and len(named) == len(kinds):
        return tuple(
            name
            for name, kind in zip(named, kinds, strict=True)
            if "ink" in kind.lower() and "waste" not in kind.lower()
        )
    supplies = [
        each.decode("utf-8", "replace") for each in printer.get("printer-supply") if isinstance(each, bytes)
    ]
    found = []
    for supply in supplies:
        fields = dict(part.split("=", 1) for part in supply.split(";") if "=" in part)
        kind = fields.get("type", "").lower()
        if fields.get("class") == "supplyThatIsConsumed" and "ink" in kind and "waste" not in kind:
            found.append(fields.get("colorantname", "unknown"))
    return tuple(found)


def _words(printer: AttributeGroup, name: str) -> tuple[str, ...]:
    return tuple(each for each in printer.get(name) if isinstance(each, str))


def _numbers(printer: AttributeGroup, name: str) -> tuple[int, ...]:
    return tuple(each for each in printer.get(name) if isinstance(each, int) and not isinstance(each, bool))


def _lengths(printer: AttributeGroup, name: str) -> tuple[float, ...]:
    return tuple(sorted({each / PER_MM for each in _numbers(printer, name) if 0 <= each <= 10_000}))


def _number(held: tuple[Held, ...]) -> int | None:
    first = held[0] if held else None
    return first if isinstance(first, int) and not isinstance(first, bool) else None


def _text(held: tuple[Held, ...]) -> str | None:
    first = held[0] if held else None
    return first.strip() if isinstance(first, str) and first.strip() else None
