"""What an eSCL scanner says of itself: the ScannerCapabilities document, as far as a scan of a sheet needs it.

Elements are found by their local names. The namespaces are kept as the scanner writes them, and its settings are
written in the same: one that calls them otherwise is still understood. (The eSCL documents and their elements are from
memory of the openly specified protocol, see docs/sources.md, S151.)
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from lxml import etree

from tackside.errors import BadInstrumentFile, ScannerTrouble
from tackside.reading.instrument.guarded_xml import parse_guarded
from tackside.reading.scanning.wish import SizeMm
from tackside.units import MM_PER_INCH

LARGEST_DOCUMENT = 1_000_000
# Lengths are in 1/300 inch.
UNIT_MM = MM_PER_INCH / 300
# No flatbed is larger than a sheet of A2 with its margins; more is a slip, or a lie.
LARGEST_GLASS_MM = 700.0
SMALLEST_GLASS_MM = 50.0
_MOST_STEPS = 5000


@dataclass(frozen=True)
class EsclOffers:
    """``scan`` and ``pwg``: its two namespaces. ``resolutions`` in ppi, the same both ways, rising. ``modes`` as
    ``RGB24``. ``formats``: media types by the older element; ``formats_ext`` by the newer.

    ``neutral``: (element, value) for each correction that can be set, at the value that corrects nothing.
    """

    scan: str
    pwg: str
    version: str
    model: str
    glass_mm: SizeMm
    least_mm: SizeMm
    resolutions: tuple[int, ...]
    modes: tuple[str, ...]
    formats: tuple[str, ...]
    formats_ext: tuple[str, ...]
    neutral: tuple[tuple[str, int], ...]


def escl_document(data: bytes, where: str) -> etree._Element:
    """The root of a document that the scanner at ``where`` sent. Raises ScannerTrouble."""
    try:
        return parse_guarded(data.decode("utf-8", "replace"), where)
    except BadInstrumentFile as error:
        raise ScannerTrouble("scanning.bad-document", scanner=where) from error


def escl_offers(data: bytes, where: str) -> EsclOffers:
    """What the document says. Raises ScannerTrouble where it is none, or has no glass with colour."""
    root = escl_document(data, where)
    if _name(root) != "ScannerCapabilities":
        raise ScannerTrouble("scanning.no-scanner-there", scanner=where)
    glass = _first(root, "PlatenInputCaps")
    if glass is None:
        raise ScannerTrouble("scanning.no-glass", scanner=where)
    profiles = list(_profiles(root, glass))
    resolutions = sorted({ppi for each in profiles for ppi in _resolutions(each)})
    version = _first(root, "Version")
    return EsclOffers(
        scan=etree.QName(root).namespace or "",
        pwg=(None if version is None else etree.QName(version).namespace) or "",
        version=_text(version) or "2.0",
        model=_text(_first(root, "MakeAndModel"))[:100],
        glass_mm=_size(glass, "Max", where),
        least_mm=(_length(glass, "MinWidth") or 0.0, _length(glass, "MinHeight") or 0.0),
        resolutions=tuple(resolutions),
        modes=_words(profiles, "ColorMode"),
        formats=_words(profiles, "DocumentFormat"),
        formats_ext=_words(profiles, "DocumentFormatExt"),
        neutral=tuple(_neutral(root)),
    )


def _profiles(root: etree._Element, glass: etree._Element) -> Iterator[etree._Element]:
    """The setting profiles of the glass, those that are only referred to looked up."""
    named = {each.get("name"): each for each in _all(root, "SettingProfile") if each.get("name")}
    for each in _all(glass, "SettingProfile"):
        yield named.get(each.get("ref"), each) if each.get("ref") else each


def _resolutions(profile: etree._Element) -> Iterator[int]:
    for each in _all(profile, "DiscreteResolution"):
        across, along = _number(_first(each, "XResolution")), _number(_first(each, "YResolution"))
        if across and across == along:
            yield across
    by_x, by_y = (_span(_first(profile, f"{axis}ResolutionRange")) for axis in "XY")
    if by_x and by_y:
        least, most, step = max(by_x[0], by_y[0]), min(by_x[1], by_y[1]), max(by_x[2], 1)
        yield from (
            ppi for ppi in (200, 300, 400, 600, 1200) if least <= ppi <= most and (ppi - by_x[0]) % step == 0
        )


def _span(of: etree._Element | None) -> tuple[int, int, int] | None:
    if of is None:
        return None
    least, most, step = (_number(_first(of, name)) for name in ("Min", "Max", "Step"))
    return None if least is None or most is None else (least, most, step or 1)


def _neutral(root: etree._Element) -> Iterator[tuple[str, int]]:
    """Where the scanner changes nothing: the middle of what lightens and darkens, the least of what sharpens, smooths
    or packs."""
    for name, is_middle in (
        ("Brightness", True), ("CompressionFactor", False), ("Contrast", True), ("Gamma", True),
        ("Highlight", True), ("NoiseRemoval", False), ("Shadow", True), ("Sharpen", False),
    ):  # fmt: skip
        span = next((each for each in root if _name(each) == f"{name}Support"), None)
        if span is None:
            continue
        least, usual = _number(_first(span, "Min")), _number(_first(span, "Normal"))
        value = usual if is_middle else least
        if value is not None and abs(value) <= _MOST_STEPS:
            yield name, value


def _size(glass: etree._Element, which: str, where: str) -> SizeMm:
    width, height = _length(glass, f"{which}Width"), _length(glass, f"{which}Height")
    if width is None or height is None or not all(
        SMALLEST_GLASS_MM <= side <= LARGEST_GLASS_MM for side in (width, height)
    ):  # fmt: skip
        raise ScannerTrouble("scanning.odd-glass", scanner=where)
    return width, height


def _length(of: etree._Element, name: str) -> float | None:
    units = _number(_first(of, name))
    return None if units is None else units * UNIT_MM


def _words(profiles: list[etree._Element], name: str) -> tuple[str, ...]:
    return tuple(dict.fromkeys(word for each in profiles for one in _all(each, name) if (word := _text(one))))


def _name(element: etree._Element) -> str:
    return str(etree.QName(element).localname)


def _all(of: etree._Element, name: str) -> Iterator[etree._Element]:
    return (each for each in of.iter(etree.Element) if each is not of and _name(each) == name)


def _first(of: etree._Element, name: str) -> etree._Element | None:
    return next(_all(of, name), None)


def _text(of: etree._Element | None) -> str:
    return "" if of is None else " ".join((of.text or "").split())[:200]


def _number(of: etree._Element | None) -> int | None:
    text = _text(of)
    try:
        return int(text) if len(text) <= 9 else None
    except ValueError:
        return None


@dataclass(frozen=True)
class EsclStatus:
    """``state`` as ``Idle``, empty where it does not say; ``reasons`` as ``cover-open``, small letters, hyphens."""

    state: str
    reasons: tuple[str, ...]


def escl_status(data: bytes, where: str) -> EsclStatus:
    """What the ScannerStatus document says. Raises ScannerTrouble."""
    root = escl_document(data, where)
    words = [_text(each) for each in _all(root, "StateReason") if each.getparent().getparent() is root]
    return EsclStatus(_text(_first(root, "State")), tuple(_hyphenated(word) for word in words if word))


def _hyphenated(word: str) -> str:
    """``CoverOpen`` and ``cover-open`` alike."""
    spaced = "".join(f"-{sign.lower()}" if sign.isupper() else sign for sign in word)
    return spaced.lstrip("-")[:60]
