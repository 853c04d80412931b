"""The fit: one stock held against one printer: which feed takes the card and what it can reach there; with warnings
about card, printer and fold, each with its mend, and the notes that go with it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.cautions import DAMP_FINGERTIP
from tackside.files.suggest import not_found
from tackside.fit.fold.panels import (
    TUCK_MM,
    creases_on,
    fold_of,
    folded_size,
    grid_of,
    outside_of,
    panels,
    with_outside,
)
from tackside.fit.model import Fit, Panel, called
from tackside.fit.sizes.formats import SAME_MM, custom_size, in_words, mistakes, sheet_of
from tackside.messages.message import Message
from tackside.records import Crease, Feed, Margins, Printer, Stock
from tackside.records.money import price_a_sheet
from tackside.records.sheet_plan import Side
from tackside.units import Box

# What is safe when a printer's margins are not known: a quarter of an inch (docs/sources.md, S13).
SAFE_MARGIN_MM = 6.35
# Width, then height.
TOO_LONG = (
    Message("fit.too-wide"),
    Message("fit.too-high"),
)
TOO_SHORT = (
    Message("fit.too-narrow"),
    Message("fit.too-low"),
)


@dataclass(frozen=True)
class Appraisal:
    """What one feed makes of one stock: ``refusals`` say why it does not take it, none where it does.

    ``too_stout`` where the card is over the limit of caliper or weight, whatever its size.
    ``unproven`` counts the limits that could not be checked because a figure is missing.
    """

    feed: Feed
    refusals: tuple[Message, ...]
    takes_turned: bool
    borderless: bool
    borderless_turned: bool
    too_stout: bool
    unproven: int


def appraise(stock: Stock, feed: Feed) -> Appraisal:
    """Hold a stock against a feed's limits, the open size in the orientation as fed."""
    turned = (stock.open_size_mm[1], stock.open_size_mm[0])
    size = _size_refusal(stock.open_size_mm, feed)
    stout = tuple(filter(None, (_caliper_refusal(stock, feed), _weight_refusal(stock, feed))))
    limits = (feed.max_caliper_mm, stock.caliper_mm), (feed.max_weight_gsm, stock.weight_gsm)
    return Appraisal(
        feed=feed,
        refusals=stout if size is None else (size, *stout),
        takes_turned=size is not None and _size_refusal(turned, feed) is None,
        borderless=_listed(stock.open_size_mm, feed.borderless_sizes_mm),
        borderless_turned=_listed(turned, feed.borderless_sizes_mm),
        too_stout=bool(stout),
        unproven=sum(limit is None or value is None for limit, value in limits),
    )


def choose(stock: Stock, printer: Printer) -> Appraisal | None:
    """The feed to use: one that takes the card, with most limits proven, then borderless, then as listed."""
    takers = [found for found in (appraise(stock, feed) for feed in printer.feeds) if not found.refusals]
    return min(takers, key=lambda found: (found.unproven, not found.borderless), default=None)


def margins_of(feed: Feed | None, *, borderless: bool) -> tuple[Margins, bool]:
    """What the printer cannot reach, and whether that is the safe default because nothing is known."""
    if borderless:
        return Margins(), False
    if feed is not None and feed.margins_mm is not None:
        return feed.margins_mm, False
    safe = SAFE_MARGIN_MM
    return Margins(top=safe, bottom=safe, left=safe, right=safe), True


def _listed(size_mm: tuple[float, float], sizes: Sequence[tuple[float, float]]) -> bool:
    """Whether a size is on a list, both edges within 0.5 mm, in that orientation."""
    return any(abs(size_mm[0] - w) <= SAME_MM and abs(size_mm[1] - h) <= SAME_MM for w, h in sizes)


def _size_refusal(size_mm: tuple[float, float], feed: Feed) -> Message | None:
    """Makers round their limits to a millimetre, so half of one is allowed either way."""
    for over, under, length, least, most in zip(
        TOO_LONG, TOO_SHORT, size_mm, feed.min_size_mm, feed.max_size_mm, strict=True
    ):
        if length > most + SAME_MM:
            return over.with_values(length_mm=length, limit_mm=most)
        if length < least - SAME_MM:
            return under.with_values(length_mm=length, limit_mm=least)
    return None


def _caliper_refusal(stock: Stock, feed: Feed) -> Message | None:
    if stock.caliper_mm is None or feed.max_caliper_mm is None or stock.caliper_mm <= feed.max_caliper_mm:
        return None
    return Message("fit.too-thick", caliper_mm=stock.caliper_mm, limit_mm=feed.max_caliper_mm)


def _weight_refusal(stock: Stock, feed: Feed) -> Message | None:
    if stock.weight_gsm is None or feed.max_weight_gsm is None or stock.weight_gsm <= feed.max_weight_gsm:
        return None
    return Message("fit.too-heavy", weight=stock.weight_gsm, limit=feed.max_weight_gsm)


def fit_stock(
    stock: Stock,
    printer: Printer,
    feed: str | None = None,
    side: Side = "front",
    outside: Side | None = None,
) -> Fit:
    """What the printer can do with the stock, fed with ``side`` as the printed face.

    ``outside`` is the face that a card of it has outside, by default the coated one: its panels are the front and the
    back, those of the other face the inside.

    ``feed`` names one feed; by default the best one is chosen. Where none takes the card the fit is
    returned all the same, with ``feed`` None and the reasons in ``warnings``: it is for its reader to decide
    what to do without a feed. Raises NotFound for a feed that the printer does not have, BadRecord for creases that
    can't be folded.
    """
    asked = _appraisals(stock, printer, feed)
    taken = choose(stock, printer) if feed is None else next((a for a in asked if not a.refusals), None)
    borderless = taken is not None and taken.borderless
    chosen = taken.feed if taken else None
    margins, assumed = margins_of(chosen, borderless=borderless)
    size = stock.open_size_mm
    outside = outside or outside_of(stock)
    creases, face = with_outside(stock, outside).creases, _face(side, outside)
    parts = tuple(_reached(panel, size, margins) for panel in panels(size, creases, face))
    name = sheet_of(size)
    return Fit(
        stock=stock.name,
        printer=printer.name,
        feed=chosen.name if chosen else None,
        side=side,
        size_mm=size,
        size_name=name.format.name if name else None,
        borderless=borderless,
        enlargement_mm=chosen.borderless_enlargement_mm if chosen and borderless else None,
        margins_mm=margins,
        margins_assumed=assumed,
        panels=parts,
        creases=creases_on(size, creases, face),
        custom_size=custom_size(size),
        warnings=(
            *_on_feeding(stock, printer, asked, taken, assumed=assumed),
            *on_coating(stock, side),
            *mistakes(size, folded_size(size, stock.creases)),
            *on_fold(stock),
            *on_panels(parts),
        ),
    )


def _face(side: Side, outside: Side) -> Side:
    """A side of the stock as a side of the card: "front" is the outside."""
    return "front" if side == outside else "back"


def _appraisals(stock: Stock, printer: Printer, feed: str | None) -> list[Appraisal]:
    """Each feed that comes into question. Raises NotFound for one that is not there."""
    names = [each.name for each in printer.feeds]
    if feed is not None and feed not in names:
        raise not_found("fit.no-feed", feed, names, Message("fit.feeds", feeds=names), printer=printer.name)
    return [appraise(stock, each) for each in printer.feeds if feed in (None, each.name)]


def _on_feeding(
    stock: Stock, printer: Printer, asked: list[Appraisal], taken: Appraisal | None, *, assumed: bool
) -> list[Message]:
    if taken is None:
        return on_refusals(stock, printer, asked)
    return [
        *on_limits(stock, taken.feed),
        *on_margins(
            taken.feed,
            borderless=taken.borderless,
            assumed=assumed,
            borderless_turned=taken.borderless_turned and not taken.borderless,
        ),
    ]


def _reached(panel: Panel, size_mm: tuple[float, float], margins: Margins) -> Panel:
    """The panel with the part of it that lies inside the printer's margins; none is a box of no area."""
    reach = Box(0.0, 0.0, *size_mm).inset(margins.left, margins.top, margins.right, margins.bottom)
    inside = panel.trim.intersection(reach) if reach.w > 0 and reach.h > 0 else None
    return panel.model_copy(update={"printable": inside or Box(panel.trim.x, panel.trim.y, 0.0, 0.0)})


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
