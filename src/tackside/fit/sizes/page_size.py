"""The page size to choose or to type in the printer driver, and the mistakes that lie close."""

from __future__ import annotations

from tackside.fit.sizes.format_tables import Format
from tackside.fit.sizes.formats import card_of, iso_namesake, near_miss, sharing_a_side, sheet_of
from tackside.messages.message import Message
from tackside.records import Stock
from tackside.units import MM_PER_INCH

# A named sheet without a crease whose short edge is under this may be a folded card in truth: A5 and less.
LARGEST_FOLDED_MM = 150.0


def in_words(size_mm: tuple[float, float]) -> str:
    """A size in mm: ``210 × 148.5 mm``."""
    return f"{size_mm[0]:.4g} × {size_mm[1]:.4g} mm"


def in_both_units(size_mm: tuple[float, float]) -> str:
    """A size as a driver may want it, width first: ``200 × 200 mm (7.874 × 7.874 in)``."""
    return f"{in_words(size_mm)} ({size_mm[0] / MM_PER_INCH:.3f} × {size_mm[1] / MM_PER_INCH:.3f} in)"


def custom_size(size_mm: tuple[float, float]) -> str | None:
    """The page size to type into the driver, width × height; None where the driver's own size will do.

    A standard sheet with its long edge across the feed is not the driver's upright page, and a
    driver's "B5" is often the JIS one (182 × 257 mm; docs/sources.md, S4): both are typed in.
    """
    found = sheet_of(size_mm)
    if found is not None and not found.turned and not found.format.name.startswith("B"):
        return None
    return in_both_units(size_mm)


def mistakes(size_mm: tuple[float, float], folded_mm: tuple[float, float]) -> list[Message]:
    """Warnings where another size of nearly this name or shape would be chosen by mistake."""
    said: list[Message] = []
    sharing, near = sharing_a_side(size_mm), near_miss(size_mm)
    typed = in_both_units(size_mm)
    if near is not None:
        said.append(Message("fit.nearly-a-size", size=_full(near), typed=typed))
    elif sharing is not None:
        said.append(Message("fit.one-edge-of-a-size", size=_full(sharing), typed=typed))
    named = [found.format for found in (card_of(folded_mm), sheet_of(size_mm)) if found]
    said += [
        Message(
            "fit.not-the-iso-size",
            name=us.name,
            size=f"{us.short_mm:.0f} × {us.long_mm:.0f} mm",
            iso=_full(iso),
            iso_name=iso.name,
        )
        for us in named
        for iso in [iso_namesake(us)]
        if us.family == "US" and iso is not None
    ]
    return said


def what_to_choose(stock: Stock, folded_mm: tuple[float, float]) -> Message:
    """A note on what goes into the driver: the open size, never the folded one."""
    size = stock.open_size_mm
    found, typed = sheet_of(size), custom_size(size)
    if typed is None and found is not None:
        choose = Message("fit.choose-page-size", size=found.format.name)
    else:
        choose = Message("fit.make-page-size", size=typed)
    if not stock.creases and card_of(size) and min(size) < LARGEST_FOLDED_MM:
        return Message("fit.page-size-unless-it-folds", choose=choose)
    if not stock.creases:
        return Message("fit.page-size", choose=choose)
    return Message("fit.page-size-open", choose=choose, folded_mm=folded_mm)


def _full(each: Format) -> str:
    return f"{each.name} ({in_words((each.short_mm, each.long_mm))})"
