"""Records as label and value, for one person: their language, their units."""

from __future__ import annotations

from tackside.records import Feed, Printer, Settings, Stock
from tackside.records.money import price_a_sheet
from tackside.web.i18n import words
from tackside.web.i18n.preferences import Person
from tackside.web.shell.navigation import _

Facts = tuple[tuple[str, str], ...]
LABELS = {
    "base": _("Base"), "surface": _("Surface"), "weight": _("Weight"), "caliper": _("Caliper"),
    "coated": _("Coated for inkjet"), "found_by": _("Found out by"), "size": _("Open sheet, as fed"),
    "crease": _("Crease"), "pack": _("Pack"), "price": _("Price a sheet"), "sold": _("Sold for inkjet"),
    "notes": _("Notes"), "inks": _("Inks"), "grid": _("Native grid"), "media": _("Media settings"),
    "smallest": _("Smallest sheet"), "largest": _("Largest sheet"), "thickest": _("Thickest card"),
    "heaviest": _("Heaviest card"), "margins": _("Margins"), "borderless": _("Borderless sizes"),
    "enlargement": _("Borderless enlargement"), "media_setting": _("Media setting"), "quality": _("Quality"),
    "managed": _("Colour managed by"), "profile": _("Profile"), "intent": _("Rendering intent"),
    "bpc": _("Black point compensation"), "source": _("File taken to be in"), "lamp": _("Lamp"),
    "drying": _("Drying"),
}  # fmt: skip


def stock_facts(stock: Stock, person: Person) -> Facts:
    """What is known of a stock; what is not known is said to be so."""
    unknown, price = person.say("Not known"), price_a_sheet(stock.pack)
    return _labelled(
        person,
        {
            "base": person.say(words.BASES[stock.base]),
            "surface": unknown if stock.surface == "unknown" else stock.surface,
            "weight": unknown if stock.weight_gsm is None else f"{person.figure(stock.weight_gsm)} g/m²",
            "caliper": unknown if stock.caliper_mm is None else person.length(stock.caliper_mm),
            "coated": person.say(words.COATED[stock.coated]),
            "found_by": person.say(words.FOUND_BY[stock.coated_found_by]),
            "size": person.size(stock.open_size_mm),
            "crease": _creases(stock, person),
            "pack": unknown
            if stock.pack is None
            else person.count("%(n)d sheet", "%(n)d sheets", stock.pack.count),
            "price": person.tell(price.message) if price else unknown,
            "sold": person.say(_yes_or_no(stock.sold_for_inkjet)),
            **({"notes": stock.notes} if stock.notes else {}),
        },
    )


def printer_facts(printer: Printer, person: Person) -> Facts:
    count = printer.inks.count
    inks = person.say(words.INKS[printer.inks.kind])
    return _labelled(
        person,
        {
            "inks": inks if count is None else f"{count}, {person.inside(inks)}",
            "grid": person.say("%(n)s ppi", n=person.figure(printer.grid_ppi)),
            **({"media": ", ".join(printer.media_settings)} if printer.media_settings else {}),
            **({"notes": printer.notes} if printer.notes else {}),
        },
    )


def feed_facts(feed: Feed, person: Person) -> Facts:
    unknown = person.say("Not known")
    margins = feed.margins_mm
    shown = unknown
    if margins is not None:
        shown = person.say(
            "top %(top)s, bottom %(bottom)s, left %(left)s, right %(right)s",
            top=person.length(margins.top), bottom=person.length(margins.bottom), left=person.length(margins.left),
            right=person.length(margins.right),
        )  # fmt: skip
    grows = feed.borderless_enlargement_mm
    return _labelled(
        person,
        {
            "smallest": person.size(feed.min_size_mm),
            "largest": person.size(feed.max_size_mm),
            "thickest": unknown if feed.max_caliper_mm is None else person.length(feed.max_caliper_mm),
            "heaviest": unknown
            if feed.max_weight_gsm is None
            else f"{person.figure(feed.max_weight_gsm)} g/m²",
            "margins": shown,
            "borderless": person.lines([person.size(each) for each in feed.borderless_sizes_mm])
            or person.say("none"),
            "enlargement": unknown if grows is None else person.length(grows),
        },
    )


def settings_facts(settings: Settings, person: Person) -> Facts:
    none = person.say("Not noted")
    known = settings.black_point_compensation
    return _labelled(
        person,
        {
            "media_setting": settings.media_setting or none,
            "quality": settings.quality or none,
            "managed": none
            if settings.colour_managed_by is None
            else person.say(words.MANAGED[settings.colour_managed_by]),
            "profile": settings.profile or none,
            "intent": none if settings.intent is None else person.say(words.INTENTS[settings.intent]),
            "bpc": none if known is None else person.say(_yes_or_no(known)),
            "source": none
            if settings.source_space is None
            else person.say(words.SPACES[settings.source_space]),
            "lamp": settings.lamp or none,
            "drying": none
            if settings.drying_hours is None
            else person.say("%(n)s hours", n=person.figure(settings.drying_hours)),
            **({"notes": settings.notes} if settings.notes else {}),
        },
    )


def _labelled(person: Person, values: dict[str, str]) -> Facts:
    return tuple((person.say(LABELS[name]), value) for name, value in values.items())


def _creases(stock: Stock, person: Person) -> str:
    told = [
        f"{person.say(words.CREASES[crease.direction])}, {person.length(crease.at_mm)}"
        for crease in stock.creases
    ]
    return person.lines(told) or person.say("none")


def _yes_or_no(known: bool | None) -> str:
    return words.YES_NO[{True: "yes", False: "no", None: ""}[known]]
