"""Which cards come into question for a picture: tested ones, by stock, printer, size and price."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from tackside.bench.store import Bench
from tackside.errors import NotFound
from tackside.files.suggest import not_found
from tackside.fit.fit_stock import fit_stock
from tackside.picture.choose.cards import CardReading
from tackside.picture.proof.ways import LeftOut
from tackside.picture.read_cards import card_name, newest_readings
from tackside.records import Reading, Stock, Trial

SIZE_SLACK_MM = 1.5  # a 5 × 7 in card is sold as 127 × 178 mm and measures 177.8


@dataclass(frozen=True)
class Wanted:
    """What the card must be: one of these stocks (none named: any), for this printer, this size folded, no dearer a
    sheet, and at least so many sheets in the drawer. None asks nothing."""

    stocks: Sequence[str] = ()
    printer: str | None = None
    size_mm: tuple[float, float] | None = None
    max_price: Decimal | None = None
    on_hand: int | None = None

    @property
    def asks(self) -> bool:
        return self != Wanted()


@dataclass(frozen=True)
class Candidate:
    """A card that was read, with its stock as it is sold now."""

    card: CardReading
    trial: Trial
    stock: Stock

    @property
    def prints_bare_numbers(self) -> bool:
        return self.trial.sheet.purpose == "device"


def candidates(bench: Bench, wanted: Wanted) -> tuple[list[Candidate], list[LeftOut]]:
    """The cards to weigh up, and those that were read but are not what is wanted, each with its reason.

    Raises NotFound for a stock or printer that is not on the bench, and where nothing was read.
    """
    stocks = {stock.name: stock for stock in bench.stocks.list()}
    for name in wanted.stocks:
        if name not in stocks:
            raise not_found("stock", name, stocks, "see the names with tackside stock list")
    if wanted.printer is not None:
        bench.printers.get(wanted.printer)
    read = newest_readings(bench, wanted.printer)
    if wanted.stocks:
        read = tuple(each for each in read if each[0].stock in wanted.stocks)
        unread = [name for name in wanted.stocks if name not in {trial.stock for trial, _ in read}]
        if unread:
            raise NotFound(
                f"no trial of {unread[0]} has been read{_on(wanted.printer)}",
                f'print its sheet and read it: tackside sheet "{unread[0]}" PRINTER --purpose device --out FILE.tif',
            )
    found, left = [], []
    for trial, reading in read:
        stock = stocks[trial.stock]
        reason = _against(bench, stock, trial, wanted)
        if reason is None:
            found.append(Candidate(CardReading(_named(read, trial), reading), trial, stock))
        else:
            left.append(LeftOut(card_name(trial), reason))
    return found, left


def _on(printer: str | None) -> str:
    return "" if printer is None else f" on {printer}"


def _named(read: Sequence[tuple[Trial, Reading]], trial: Trial) -> str:
    """The card's name, with its printer where the same one was tried on several."""
    same = [each for each, _ in read if (each.stock, each.side) == (trial.stock, trial.side)]
    return card_name(trial) if len(same) == 1 else f"{card_name(trial)} on {trial.printer}"


def _against(bench: Bench, stock: Stock, trial: Trial, wanted: Wanted) -> str | None:
    """Why a card is not what is wanted, None where it is."""
    if wanted.size_mm is not None:
        fit = fit_stock(stock, bench.printers.get(trial.printer), side=trial.side)
        if fit.feed is None:
            return f"no feed of {trial.printer} takes it"
        if not _same_size(fit.folded_size_mm, wanted.size_mm):
            return "it folds to {:.5g} × {:.5g} mm".format(*fit.folded_size_mm)
    if wanted.on_hand is not None:
        if stock.sheets_on_hand is None:
            return "how many sheets are on hand is not known"
        if stock.sheets_on_hand < wanted.on_hand:
            return f"{stock.sheets_on_hand} sheets are on hand"
    if wanted.max_price is not None:
        price = sheet_price(stock)
        if price is None:
            return "its price is not known"
        if price > wanted.max_price:
            return f"a sheet costs {price:.2f} {stock.pack.currency if stock.pack else ''}".rstrip()
    return None


def sheet_price(stock: Stock) -> Decimal | None:
    """What one sheet costs by the pack."""
    if stock.pack is None or stock.pack.price is None:
        return None
    return stock.pack.price / stock.pack.count


def _same_size(size: tuple[float, float], wanted: tuple[float, float]) -> bool:
    """Whether two sizes are one, whichever way round they lie."""
    pairs = zip(sorted(size), sorted(wanted), strict=True)
    return all(abs(one - other) <= SIZE_SLACK_MM for one, other in pairs)
