"""Warnings about card, printer and fold, each with its mend, and the notes that go with a fit."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.cautions import DAMP_FINGERTIP
from tackside.fit.feeds import SAFE_MARGIN_MM, Appraisal
from tackside.fit.fold.folds import TUCK_MM, fold_of, grid_of
from tackside.fit.model import Panel, called
from tackside.fit.sizes.formats import in_words
from tackside.messages.message import Message
from tackside.records import Crease, Feed, Margins, Printer, Stock
from tackside.records.money import price_a_sheet
from tackside.records.sheet_plan import Side

FEEDING = Message("fit.feeding")
# Four layers fold flat only of thin stuff (docs/sources.md, S9): about writing paper, at most a light card.
QUARTER_MOST_GSM = 170.0
QUARTER_MOST_MM = 0.22


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


def on_fold(stock: Stock) -> list[Message]:
    """What is wrong with the card for the way that it folds, and the mend."""
    kind = fold_of(stock.open_size_mm, stock.creases)
    if kind == "quarter":
        return _on_quarter(stock)
    if kind == "roll":
        return _on_roll(stock)
    return []


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


def _on_quarter(stock: Stock) -> list[Message]:
    heavy = stock.weight_gsm is not None and stock.weight_gsm > QUARTER_MOST_GSM
    thick = stock.caliper_mm is not None and stock.caliper_mm > QUARTER_MOST_MM
    if not heavy and not thick:
        return []
    has = (
        Message("fit.weight", weight=stock.weight_gsm)
        if stock.weight_gsm is not None and heavy
        else Message("fit.caliper", caliper_mm=stock.caliper_mm or 0.0)
    )
    return [
        Message(
            "fit.too-stout-for-a-quarter-fold", weight=QUARTER_MOST_GSM, caliper_mm=QUARTER_MOST_MM, has=has
        )
    ]


def _on_roll(stock: Stock) -> list[Message]:
    columns, rows = grid_of(stock.open_size_mm, stock.creases)
    flap, middle, front = (length for _, length in (columns if len(columns) == 3 else rows))
    most = min(middle, front)
    if flap < most:
        return []
    return [
        Message(
            "fit.flap-buckles",
            flap_mm=_rounded(flap),
            inside_mm=_rounded(most),
            most_mm=_rounded(most - TUCK_MM),
        )
    ]


def _rounded(mm: float) -> float:
    """To four digits."""
    return float(f"{mm:.4g}")
