"""What a run costs: exact sums of sheets, ink, envelopes, labour and the rest."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from tackside.errors import BadRecord
from tackside.messages.place import Place
from tackside.records import Pack
from tackside.records.money import Exact, sheet_price
from tackside.run.plan.batches import Batch, RunLine
from tackside.run.plan.run_file import Ink, Run
from tackside.run.plan.waste import Spoilage, sheets_to_print

# low, likely, high
Case = int
LOW, LIKELY, HIGH = 0, 1, 2
PARTS = ("stock", "ink", "envelopes", "sleeves", "labour", "equipment", "postage", "extras")


@dataclass(frozen=True)
class BatchSheets:
    """The sheets of one batch: good ones, what is spoiled, what setting up takes."""

    good: int
    spoiled: int
    setup: int

    @property
    def total(self) -> int:
        return self.good + self.spoiled + self.setup


@dataclass(frozen=True)
class Prices:
    """What everything costs, in the run's one currency: packs and inks as they are held to."""

    packs: Mapping[str, Pack]
    inks: Mapping[str, Ink]

    def sheet(self, stock: str) -> Exact:
        each = sheet_price(self.packs[stock])
        assert each is not None  # seen to by ``prices_for``
        return each

    def ink(self, printer: str) -> Exact:
        ink = self.inks[printer]
        return Fraction(ink.price) / exact(ink.ml)


@dataclass(frozen=True)
class Cost:
    """The money of a run, exact: what it uses up, part by part, and how much of that is there before the first card."""

    parts: dict[str, Exact]
    fixed: Exact

    @property
    def total(self) -> Exact:
        return sum(self.parts.values(), Fraction(0))


def exact(number: float) -> Exact:
    """A float as the decimal it was written as: 0.1 is one tenth."""
    return Fraction(repr(float(number)))


def sheets_of(batch: Batch, spoilage: Spoilage, case: Case = LIKELY) -> BatchSheets:
    """The sheets a batch takes; spoilage and set-up low, likely or high."""
    spoiled = sheets_to_print(batch.good_sheets, spoilage.share[case]) - batch.good_sheets
    return BatchSheets(batch.good_sheets, spoiled, spoilage.setup[case])


def ink_ml(batch: Batch, sheets: BatchSheets, case: Case = LIKELY) -> Exact:
    """Ink of a batch in ml. Spoiled and set-up sheets take the batch's mean; the doubt is that of each line."""
    good = sum((line.good_sheets * line_ink(line, case) for line in batch.lines), Fraction(0))
    return good * Fraction(sheets.total, sheets.good)


def line_ink(line: RunLine, case: Case = LIKELY) -> Exact:
    """Ink of one sheet in ml."""
    return Fraction(line.ink_ml) * (1 + (case - LIKELY) * exact(round(line.doubt, 4)))


def cost_of(
    run: Run, batches: tuple[Batch, ...], spoilages: tuple[Spoilage, ...], prices: Prices, case: Case = LIKELY
) -> Cost:
    """What the run uses up. Packs count by the sheet, envelopes by the piece; what is left over is kept."""
    parts = dict.fromkeys(PARTS, Fraction(0))
    fixed = Fraction(0)
    cards = sum(batch.cards for batch in batches)
    every_sheet = 0
    for batch, spoilage in zip(batches, spoilages, strict=True):
        sheets = sheets_of(batch, spoilage, case)
        every_sheet += sheets.total
        ink = ink_ml(batch, sheets, case) * prices.ink(batch.printer)
        stock = sheets.total * prices.sheet(batch.stock)
        worn = sheets.total * wear(run, batch.printer)
        work = _setup_work(run) + _sheet_work(run) * sheets.total * batch.passes_a_sheet
        parts["stock"] += stock
        parts["ink"] += ink
        parts["equipment"] += worn
        parts["labour"] += work
        setup = Fraction(sheets.setup, sheets.total)
        fixed += (
            setup * (stock + ink + worn)
            + _setup_work(run)
            + _sheet_work(run) * sheets.setup * batch.passes_a_sheet
        )
    parts["labour"] += cards * _card_work(run)
    parts["envelopes"] = cards * _piece(run.envelopes)
    parts["sleeves"] = cards * _piece(run.sleeves)
    parts["postage"] = cards * Fraction(run.postage.price if run.postage else 0)
    counts = {"card": cards, "sheet": every_sheet, "run": 1}
    for extra in run.extras:
        parts["extras"] += counts[extra.per] * Fraction(extra.price)
        fixed += Fraction(extra.price) if extra.per == "run" else 0
    return Cost(parts, fixed)


def wear(run: Run, printer: str) -> Exact:
    """What one sheet wears off a printer's price; nothing where the run does not say."""
    machine = run.equipment.get(printer)
    return Fraction(machine.price) / machine.lifetime_sheets if machine else Fraction(0)


def prices_for(run: Run, stock_packs: Mapping[str, Pack | None], printers: set[str]) -> Prices:
    """The prices the run goes by. Raises BadRecord where one is missing or in another currency."""
    packs: dict[str, Pack] = {}
    for name, pack in stock_packs.items():
        taken = run.stock_prices.get(name, pack)
        if taken is None or taken.price is None:
            place = Place("run", ("stock_prices", name, "price"))
            raise BadRecord("money.no-pack-price", place=place, stock=name)
        if taken.currency != run.currency:
            raise BadRecord(
                "money.stock-in-another-currency",
                place=Place("run", ("stock_prices", name, "price")),
                stock=name,
                currency=taken.currency,
                run_currency=run.currency,
            )
        packs[name] = taken
    for name in sorted(printers):
        if name not in run.inks:
            raise BadRecord("money.no-ink-price", place=Place("run", ("inks", name, "price")), printer=name)
    return Prices(packs, run.inks)


def _piece(pack: Pack | None) -> Exact:
    return sheet_price(pack) or Fraction(0)


def _minute(run: Run) -> Exact:
    return Fraction(run.labour.rate) / 60 if run.labour else Fraction(0)


def _setup_work(run: Run) -> Exact:
    return _minute(run) * exact(run.labour.setup_minutes) if run.labour else Fraction(0)


def _sheet_work(run: Run) -> Exact:
    return _minute(run) * exact(run.labour.minutes_per_sheet) if run.labour else Fraction(0)


def _card_work(run: Run) -> Exact:
    return _minute(run) * exact(run.labour.minutes_per_card) if run.labour else Fraction(0)
