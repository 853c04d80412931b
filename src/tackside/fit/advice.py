"""Warnings about card and printer, each with its mend, and the notes that go with a fit."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.cautions import DAMP_FINGERTIP
from tackside.fit.feeds import SAFE_MARGIN_MM, Appraisal
from tackside.fit.fold.panels import called
from tackside.fit.model import Panel
from tackside.fit.sizes.page_size import in_words
from tackside.messages.message import Message
from tackside.records import Crease, Feed, Margins, Printer, Stock
from tackside.records.money import price_a_sheet
from tackside.records.sheet_plan import Side

FEEDING = Message("fit.feeding")


def on_refusals(stock: Stock, printer: Printer, appraisals: Sequence[Appraisal]) -> list[Message]:
    """Why no feed takes the card (all of ``appraisals`` refuse), and what to try."""
    said = [Message("fit.not-fed", printer=printer.name, stock=stock.name)]
    said += (
        Message("fit.feed-refuses", feed=found.feed.name, reasons=found.refusals) for found in appraisals
    )
    turned = [found.feed.name for found in appraisals if found.takes_turned and len(found.refusals) == 1]
    width, height = stock.open_size_mm
    if turned:
        said.append(
            Message(
                "fit.turned-feed-takes-it", feed=" / ".join(turned), width=f"{height:g}", height=f"{width:g}"
            )
        )
    return said


def on_limits(stock: Stock, feed: Feed) -> list[Message]:
    """What could not be checked against the maker's limits because a figure is missing."""
    said: list[Message] = []
    if stock.caliper_mm is None and feed.max_caliper_mm is not None:
        said.append(Message("fit.caliper-unknown-under-limit", feed=feed.name, limit_mm=feed.max_caliper_mm))
    elif stock.caliper_mm is None:
        said.append(Message("fit.caliper-unknown"))
    if feed.max_caliper_mm is None:
        said.append(Message("fit.caliper-limit-unknown", feed=feed.name))
    if stock.weight_gsm is None and feed.max_weight_gsm is not None:
        said.append(Message("fit.weight-unknown", feed=feed.name, limit=feed.max_weight_gsm))
    return said


def on_coating(stock: Stock, side: Side) -> list[Message]:
    """What is doubtful about the surface under the ink."""
    said: list[Message] = []
    if stock.coated == "unknown":
        said.append(Message("fit.coated-side-unknown", caution=DAMP_FINGERTIP))
    elif stock.coated == "none":
        said.append(Message("fit.not-coated"))
    elif stock.coated not in ("both", side):
        said.append(WRONG_SIDE[side])
    if stock.sold_for_inkjet is False:
        said.append(_not_for_inkjet(stock))
    return said


WRONG_SIDE: dict[Side, Message] = {
    "front": Message("fit.front-not-coated"),
    "back": Message("fit.back-not-coated"),
}


def on_margins(feed: Feed, *, borderless: bool, assumed: bool, borderless_turned: bool) -> list[Message]:
    """What is not known of the reach of the print."""
    if borderless and feed.borderless_enlargement_mm is None:
        return [Message("fit.enlargement-unknown")]
    said: list[Message] = []
    if assumed:
        said.append(Message("fit.margins-unknown", feed=feed.name, safe_mm=SAFE_MARGIN_MM))
    if borderless_turned:
        said.append(Message("fit.borderless-if-turned"))
    return said


def on_panels(panels: Sequence[Panel]) -> list[Message]:
    """Panels that the margins leave nothing of."""
    return [
        Message(
            "fit.panel-not-reached", panel=called(panel.name), size=in_words((panel.trim.w, panel.trim.h))
        )
        for panel in panels
        if not panel.is_reached
    ]


def on_expected_margins(margins: Margins, *, borderless: bool, assumed: bool) -> Message | None:
    """Which margins the driver should show for this page size; None where there are none or they are a guess."""
    if borderless or assumed:
        return None
    return Message(
        "fit.expected-margins",
        top_mm=margins.top,
        bottom_mm=margins.bottom,
        left_mm=margins.left,
        right_mm=margins.right,
    )


def on_creases(size_mm: tuple[float, float], creases: Sequence[Crease]) -> list[Message]:
    """Notes on feeding and printing creased card; all of it is common practice."""
    said: list[Message] = []
    if any(crease.direction == "horizontal" for crease in creases):
        said.append(Message("fit.crease-across"))
    if any(crease.direction == "vertical" for crease in creases):
        said.append(Message("fit.crease-along"))
    if creases:
        said.append(Message("fit.no-ink-on-the-crease"))
    if len(creases) == 1 and not _halves(size_mm, creases[0]):
        said.append(Message("fit.crease-off-centre"))
    return said


def _halves(size_mm: tuple[float, float], crease: Crease) -> bool:
    length = size_mm[0] if crease.direction == "vertical" else size_mm[1]
    return abs(2 * crease.at_mm - length) <= 1.0


def _not_for_inkjet(stock: Stock) -> Message:
    """With the price of one sheet as a clue, as plain craft card costs much less than coated card (common practice)."""
    price = price_a_sheet(stock.pack)
    if price is None:
        return Message("fit.not-for-inkjet")
    return Message("fit.not-for-inkjet-and-cheap", price=price.amount, currency=price.currency)
