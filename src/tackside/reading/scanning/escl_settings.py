"""What an eSCL scanner is asked for: colour with all its bits, no correction, no packing that loses."""

from __future__ import annotations

from dataclasses import replace

from lxml import etree

from tackside.errors import ScannerTrouble
from tackside.reading.scanning.escl_offers import UNIT_MM, EsclOffers
from tackside.reading.scanning.wish import ScanAsked, ScanWish, area_for, resolution_for

# Colour modes by bits a channel, the deeper first.
_MODES = {"RGB48": 16, "RGB24": 8}
# What loses nothing first. A PDF may hold a JPEG; its reader tells.
_FORMATS = ("image/tiff", "image/png", "application/pdf", "image/jpeg")


def asked_of(offers: EsclOffers, wish: ScanWish, where: str) -> ScanAsked:
    """What to ask the scanner for. Raises ScannerTrouble where it cannot do what a reading needs."""
    mode = next((each for each in _MODES if each in offers.modes), None)
    if mode is None:
        raise ScannerTrouble("scanning.no-colour", scanner=where)
    known = {each.lower() for each in (*offers.formats, *offers.formats_ext)}
    form = next((each for each in _FORMATS if each in known), None)
    if form is None:
        raise ScannerTrouble("scanning.no-format", scanner=where)
    width, height = area_for(wish.sheet_mm, offers.glass_mm)
    area = max(width, offers.least_mm[0]), max(height, offers.least_mm[1])
    ppi = resolution_for(wish.ppi, offers.resolutions)
    bits = _MODES[mode] if form in ("image/tiff", "image/png") else 8  # the others hold no more, or seldom
    return ScanAsked(ppi, bits, form, area, offers.glass_mm)


def asked_in_turn(asked: ScanAsked) -> tuple[ScanAsked, ...]:
    """What to ask for, and what for where that is refused: the same with its corrections unset, then with 8 bits."""
    less = replace(asked, for_less=True)
    return (asked, less) if asked.bits == 8 else (asked, less, replace(less, bits=8))


def settings_document(offers: EsclOffers, asked: ScanAsked) -> bytes:
    """The ScanSettings document, in the scanner's own namespaces."""
    scan, pwg = offers.scan, offers.pwg or offers.scan
    root = etree.Element(_in(scan, "ScanSettings"), nsmap={"scan": scan, "pwg": pwg} if scan else None)
    _add(root, pwg, "Version", offers.version)
    region = _add(_add(root, pwg, "ScanRegions"), pwg, "ScanRegion")
    _add(region, pwg, "Height", str(round(asked.area_mm[1] / UNIT_MM)))
    _add(region, pwg, "ContentRegionUnits", "escl:ThreeHundredthsOfInches")
    _add(region, pwg, "Width", str(round(asked.area_mm[0] / UNIT_MM)))
    _add(region, pwg, "XOffset", "0")
    _add(region, pwg, "YOffset", "0")
    _add(root, pwg, "InputSource", "Platen")
    modes = [name for name in _MODES if name in offers.modes]
    mode = next((name for name in modes if _MODES[name] == asked.bits), modes[0])
    _add(root, scan, "ColorMode", mode)
    _add(root, scan, "XResolution", str(asked.ppi))
    _add(root, scan, "YResolution", str(asked.ppi))
    if asked.format in offers.formats or not offers.formats_ext:
        _add(root, pwg, "DocumentFormat", asked.format)
    if asked.format in offers.formats_ext:
        _add(root, scan, "DocumentFormatExt", asked.format)
    for name, value in () if asked.for_less else offers.neutral:
        _add(root, scan, name, str(value))
    return bytes(etree.tostring(root, xml_declaration=True, encoding="UTF-8"))


def _in(namespace: str, name: str) -> str:
    return f"{{{namespace}}}{name}" if namespace else name


def _add(parent: etree._Element, namespace: str, name: str, text: str | None = None) -> etree._Element:
    child = etree.SubElement(parent, _in(namespace, name))
    child.text = text
    return child
