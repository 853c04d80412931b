"""Warnings about card and printer, each with its mend, and the notes that go with a fit."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.bench.records import Crease, Feed, Margins, Printer, Stock
from tackside.bench.records.sheet_plan import Side
from tackside.fit.feeds import SAFE_MARGIN_MM, Appraisal
from tackside.fit.model import Panel
from tackside.fit.page_size import in_words

FINGERTIP = (
    "touch a spare corner of each side with a damp fingertip, well away from the powered printer: "
    "the coated side drags"
)
CAUTION = (
    "The limits of size, caliper and weight are the printer maker's own: keep to them, flatten curled card, "
    "and let the guides touch it without squeezing."
)


def on_refusals(stock: Stock, printer: Printer, appraisals: Sequence[Appraisal]) -> list[str]:
    """Why no feed takes the card (all of ``appraisals`` refuse), and what to try."""
    reasons = [f"Feed {found.feed.name}: {'; '.join(found.refusals)}." for found in appraisals]
    turned = [found.feed.name for found in appraisals if found.takes_turned and len(found.refusals) == 1]
    width, height = stock.open_size_mm
    said = [f"{printer.name} cannot be fed with {stock.name}.", *reasons]
    if turned:
        said.append(
            f"Turned by 90° the {' or '.join(turned)} feed takes its size: in the stock file write "
            f"open_size_mm = [{height:g}, {width:g}] and turn each crease's direction with it."
        )
    return said


def on_limits(stock: Stock, feed: Feed) -> list[str]:
    """What could not be checked against the maker's limits because a figure is missing."""
    said: list[str] = []
    if stock.caliper_mm is None:
        known = feed.max_caliper_mm is not None
        limit = f" (limit of feed {feed.name}: {feed.max_caliper_mm:g} mm)" if known else ""
        said.append(
            f"The card's caliper is unknown{limit}: measure one sheet with a caliper or micrometer before "
            "you feed it. It cannot be told from the weight."
        )
    if feed.max_caliper_mm is None:
        said.append(
            f"The caliper limit of feed {feed.name} is unknown: look it up in the printer's manual before "
            "you feed card."
        )
    if stock.weight_gsm is None and feed.max_weight_gsm is not None:
        said.append(
            f"The card's weight is unknown (limit of feed {feed.name}: {feed.max_weight_gsm:g} g/m²): "
            "read it off the pack, or weigh a sheet and divide by its area."
        )
    return said


def on_coating(stock: Stock, side: Side) -> list[str]:
    """What is doubtful about the surface under the ink."""
    said: list[str] = []
    if stock.coated == "unknown":
        said.append(f"It is unknown which side is coated: {FINGERTIP}. Then put it in the stock file.")
    elif stock.coated == "none":
        said.append(
            "The card has no inkjet coating: expect weak blacks, dull colours and feathered lines. Print a "
            "test sheet before you print a card."
        )
    elif stock.coated not in ("both", side):
        said.append(
            f"The {side} is not the coated side: turn the card over, or make the sheet for --side "
            f"{stock.coated}."
        )
    if stock.sold_for_inkjet is False:
        said.append(
            f"The card's description does not say that it is for inkjet{_price_clue(stock)}. "
            "Print a test sheet before you rely on it."
        )
    return said


def on_margins(feed: Feed, *, borderless: bool, assumed: bool, borderless_turned: bool) -> list[str]:
    """What is not known of the reach of the print."""
    if borderless and feed.borderless_enlargement_mm is None:
        return [
            "How far the borderless mode enlarges the image is unknown (2 to 4 mm an edge is usual): print a "
            "test sheet and read it off the rulers."
        ]
    said: list[str] = []
    if assumed:
        said.append(
            f"The margins of feed {feed.name} are unknown: {SAFE_MARGIN_MM:g} mm on each edge is taken as "
            "safe. Look them up in the printer's manual and put them in the printer file."
        )
    if borderless_turned:
        said.append("The maker lists this size as borderless only with the card turned by 90°.")
    return said


def on_expected_margins(margins: Margins, *, borderless: bool, assumed: bool) -> str | None:
    """Which margins the driver should show for this page size; None where there are none or they are a guess."""
    if borderless or assumed:
        return None
    return (
        f"Expect margins of {margins.top:g} mm at the top, {margins.bottom:g} mm at the bottom, "
        f"{margins.left:g} mm left and {margins.right:g} mm right. If the driver shows others for this page "
        "size, put those in the printer file."
    )


def on_panels(panels: Sequence[Panel]) -> list[str]:
    """Panels that the margins leave nothing of."""
    return [
        f"The printer reaches nothing of the {panel.name} panel ({in_words((panel.trim.w, panel.trim.h))}): "
        "its margins cover it."
        for panel in panels
        if not panel.is_reached
    ]


def on_creases(size_mm: tuple[float, float], creases: Sequence[Crease]) -> list[str]:
    """Notes on feeding and printing creased card; all of it is common practice."""
    said: list[str] = []
    if any(crease.direction == "horizontal" for crease in creases):
        said.append(
            "The crease lies across the feed, so its whole length meets the rollers at once: feed the card "
            "open and flat, and flatten the crease if it stands up."
        )
    if any(crease.direction == "vertical" for crease in creases):
        said.append(
            "The crease lies along the feed and stays under the head all the way: feed the card open and "
            "flat, with neither half standing up."
        )
    if creases:
        said.append("Keep solid ink off the crease: a printed coating cracks when it is folded.")
    halves = [crease for crease in creases if len(creases) == 1 and not _halves(size_mm, crease)]
    if halves:
        said.append("The crease is off centre: once folded, one panel stands out past the other.")
    return said


def _halves(size_mm: tuple[float, float], crease: Crease) -> bool:
    length = size_mm[0] if crease.direction == "vertical" else size_mm[1]
    return abs(2 * crease.at_mm - length) <= 1.0


def _price_clue(stock: Stock) -> str:
    """The price of one sheet, as plain craft card costs much less than coated card (common practice)."""
    pack = stock.pack
    if pack is None or pack.price is None or pack.currency is None:
        return ""
    return (
        f", and it costs {pack.price / pack.count:.2f} {pack.currency} a sheet: a price far below that of "
        "coated card is another clue"
    )
