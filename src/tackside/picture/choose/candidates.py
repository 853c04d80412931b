"""Which cards come into question for a picture: tested ones, by stock, printer, size and price."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal

from tackside.errors import NotFound
from tackside.files.suggest import not_found
from tackside.fit.fit_stock import fit_stock
from tackside.fit.fold.panels import folded_size
from tackside.messages.message import Message
from tackside.picture.choose.cards import CardReading
from tackside.picture.found_reading import card_name
from tackside.picture.proof.ways import LeftOut
from tackside.records import Printer, Reading, Stock, Trial
from tackside.records.money import price_a_sheet

SIZE_SLACK_MM = 1.5  # a 5 × 7 in card is sold as 127 × 178 mm and measures 177.8


@dataclass(frozen=True)
class WantedCard:
    """What the card must be: one of these stocks (none named: any), for this printer, this size folded, no dearer a
    sheet, and at least so many sheets in the drawer. None asks nothing."""

    stocks: Sequence[str] = ()
    printer: str | None = None
    size_mm: tuple[float, float] | None = None
    max_price: Decimal | None = None
    on_hand: int | None = None

    @property
    def asks(self) -> bool:
        return self != WantedCard()


@dataclass(frozen=True)
class Candidate:
    """A card that was read, with its stock as it is sold now."""

    card: CardReading
    trial: Trial
    stock: Stock

    @property
    def prints_bare_numbers(self) -> bool:
        return self.trial.sheet.purpose == "device"


def candidates(
    read: Sequence[tuple[Trial, Reading]],
    stocks: Mapping[str, Stock],
    printers: Mapping[str, Printer],
    wanted: WantedCard,
) -> tuple[list[Candidate], list[LeftOut]]:
    """The cards to weigh up, and those that were read but are not what is wanted, each with its reason.

    ``read`` holds the newest reading of each card with its trial; stocks and printers stand by their names as they are
    now. Raises NotFound for a stock that is not among them, and where nothing was read of one that is wanted.
    """
    for name in wanted.stocks:
        if name not in stocks:
            raise not_found("choose.no-stock", name, stocks, Message("choose.see-stocks"))
    if wanted.stocks:
        read = tuple(each for each in read if each[0].stock in wanted.stocks)
        unread = [name for name in wanted.stocks if name not in {trial.stock for trial, _ in read}]
        if unread:
            if wanted.printer is None:
                raise NotFound("choose.stock-not-read", stock=unread[0])
            raise NotFound("choose.stock-not-read-on", stock=unread[0], printer=wanted.printer)
    found, left = [], []
    for trial, reading in read:
        stock = stocks[trial.stock]
        reason = _against(stock, printers[trial.printer], trial, wanted)
        if reason is None:
            found.append(Candidate(CardReading(_named(read, trial), reading), trial, stock))
        else:
            left.append(LeftOut(card_name(trial), reason))
    return found, left


def _named(read: Sequence[tuple[Trial, Reading]], trial: Trial) -> str:
    """The card's name, with its printer where the same one was tried on several."""
    same = [each for each, _ in read if (each.stock, each.side) == (trial.stock, trial.side)]
    return card_name(trial) if len(same) == 1 else f"{card_name(trial)} on {trial.printer}"


def _against(stock: Stock, printer: Printer, trial: Trial, wanted: WantedCard) -> Message | None:
    """Why a card is not what is wanted, None where it is."""
    if wanted.size_mm is not None:
        fit = fit_stock(stock, printer, side=trial.side)
        if fit.feed is None:
            return Message("choose.no-feed", printer=trial.printer)
        folded = folded_size(stock.open_size_mm, stock.creases)
        if not _same_size(folded, wanted.size_mm):
            return Message("choose.folds-to", size_mm=folded)
    if wanted.on_hand is not None:
        if stock.sheets_on_hand is None:
            return Message("choose.on-hand-unknown")
        if stock.sheets_on_hand < wanted.on_hand:
            return Message("choose.on-hand", count=stock.sheets_on_hand)
    if wanted.max_price is not None:
        price = price_a_sheet(stock.pack)
        if price is None:
            return Message("choose.price-unknown")
        if price.amount > wanted.max_price:
            return Message("choose.price", price=price.message)
    return None


def _same_size(size: tuple[float, float], wanted: tuple[float, float]) -> bool:
    """Whether two sizes are one, whichever way round they lie."""
    pairs = zip(sorted(size), sorted(wanted), strict=True)
    return all(abs(one - other) <= SIZE_SLACK_MM for one, other in pairs)
