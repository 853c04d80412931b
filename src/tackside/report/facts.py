"""Plain facts of a trial as name and value: the card, the settings, how it was read. What nobody noted is
said so.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from tackside.records import Placement, Stock
from tackside.records.money import price_a_sheet
from tackside.report.entry import Entry
from tackside.report.published import published
from tackside.report.words import (
    BASE_SAYS,
    COATED_SAYS,
    FOUND_BY_SAYS,
    INTENT_SAYS,
    KIND_SAYS,
    MANAGED_SAYS,
    SPACE_SAYS,
)

NOT_NOTED = "not noted"
MONTHS = (
    "January", "February", "March", "April", "May", "June",
    "July", "August", "September", "October", "November", "December",
)  # fmt: skip


@dataclass(frozen=True)
class Fact:
    name: str
    value: str


def day(moment: datetime) -> str:
    """A date that no reader takes for another one: 25 November 2026."""
    return f"{moment.day} {MONTHS[moment.month - 1]} {moment.year}"


def card(entry: Entry) -> tuple[Fact, ...]:
    """The card as bought."""
    stock = entry.stock
    width, height = stock.open_size_mm
    found_by = FOUND_BY_SAYS[stock.coated_found_by]
    return (
        Fact("Base and surface", ", ".join(_known(BASE_SAYS[stock.base], stock.surface)) or NOT_NOTED),
        Fact("Weight", f"{stock.weight_gsm:g} g/m²" if stock.weight_gsm else NOT_NOTED),
        Fact("Caliper", f"{stock.caliper_mm:g} mm" if stock.caliper_mm else NOT_NOTED),
        Fact("Coated for inkjet", ", ".join(filter(None, (COATED_SAYS[stock.coated], found_by)))),
        Fact("Open size", f"{width:g} × {height:g} mm"),
        Fact("Crease", _creases(stock)),
        Fact("Pack", f"{stock.pack.count} sheets" if stock.pack else NOT_NOTED),
        Fact("Price a sheet", str(price_a_sheet(stock.pack) or NOT_NOTED)),
        Fact("Sold for inkjet", {True: "yes", False: "no", None: NOT_NOTED}[stock.sold_for_inkjet]),
        *([Fact("Notes", stock.notes)] if stock.notes else []),
    )


def settings(entry: Entry) -> tuple[Fact, ...]:
    """Every setting that could have changed the print."""
    given, sheet = entry.trial.settings, entry.trial.sheet
    ink = entry.printer.inks
    black_point = {True: "on", False: "off", None: NOT_NOTED}[given.black_point_compensation]
    return (
        Fact("Printer", f"{entry.printer.name}, {_inks(ink.kind, ink.count)}"),
        Fact("Feed", entry.trial.feed),
        Fact("Side printed", entry.trial.side),
        Fact("Media setting", given.media_setting or NOT_NOTED),
        Fact("Quality", given.quality or NOT_NOTED),
        Fact(
            "Colours managed by",
            MANAGED_SAYS[given.colour_managed_by] if given.colour_managed_by else NOT_NOTED,
        ),
        Fact("Profile", given.profile or NOT_NOTED),
        Fact("Intent", INTENT_SAYS[given.intent] if given.intent else NOT_NOTED),
        Fact("Black point compensation", black_point),
        Fact("File's colour space", SPACE_SAYS[sheet.space]),
        Fact("Drying time", f"{given.drying_hours:g} h" if given.drying_hours is not None else NOT_NOTED),
        Fact("Lamp", given.lamp or NOT_NOTED),
        *([Fact("Notes", given.notes)] if given.notes else []),
    )


def reading(entry: Entry) -> tuple[Fact, ...]:
    """What was read, by what, and how far to trust it."""
    read = entry.reading
    return (
        Fact("Read from", KIND_SAYS[read.kind]),
        Fact("Device", read.device or NOT_NOTED),
        Fact("File", read.source_name),
        Fact("Read on", day(read.made_at)),
        *([Fact("Measurement condition", f"{read.condition} (ISO 13655)")] if read.condition else []),
        *([Fact("Profile of the scan", read.profile)] if read.profile else []),
        Fact("Patches", str(len(read.patches))),
        Fact(
            "Uncertainty",
            f"ΔE00 {read.uncertainty.de00:.1f}, one standard deviation: {published(read.uncertainty.basis)}",
        ),
        *([Fact("Placement", placed(read.placement))] if read.placement else []),
    )


def placed(placement: Placement) -> str:
    """Scale, turn and shift of the print on its sheet."""
    parts = [f"{100 * placement.scale_x:.2f} % across, {100 * placement.scale_y:.2f} % along the feed"]
    if placement.rotation_deg is not None:
        parts.append(f"turned by {placement.rotation_deg:.2f}°")
    if placement.offset_mm is not None:
        parts.append(f"shifted by {placement.offset_mm[0]:.2f} and {placement.offset_mm[1]:.2f} mm")
    return ", ".join(parts).replace("-", "\u2212")


def _creases(stock: Stock) -> str:
    if not stock.creases:
        return "none"
    return "; ".join(f"{crease.direction}, at {crease.at_mm:g} mm" for crease in stock.creases)


def _inks(kind: str, count: int | None) -> str:
    inks = "inks" if kind == "unknown" else f"{kind} inks"
    return f"{count} {inks}" if count else inks


def _known(*words: str) -> list[str]:
    return [word for word in words if word and word not in ("unknown", "not known")]
