"""A card of a run as a line whose facts are known: its list is read and the ink of its design counted."""

from __future__ import annotations

from decimal import Decimal

from tackside.card.file.design import Card
from tackside.card.series.lay_rows import naming_column, row_name
from tackside.card.series.list_file import read_rows
from tackside.card.series.row_faults import Rows
from tackside.card.series.rows import card_variables, personalised
from tackside.errors import BadRecord
from tackside.fit.fit_stock import fit_stock
from tackside.fit.fold.panels import outside_of
from tackside.fit.placement.measured import UNKNOWN_PATH, PrintPath
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.records import Printer, Stock
from tackside.run.ink.calibration import Calibration
from tackside.run.ink.coverage import coverage_of
from tackside.run.ink.kept_tones import KeptTones
from tackside.run.ink.row_coverage import RowsCoverage, coverage_of_rows
from tackside.run.plan.batches import RunLine
from tackside.run.plan.run_file import Run, RunCard

_CENT_ML = Decimal("0.01")


def line_of(
    run: Run,
    card: RunCard,
    design: Card | None,
    stock: Stock,
    printer: Printer,
    known: Calibration,
    *,
    path: PrintPath = UNKNOWN_PATH,
    tones: KeptTones | None = None,
) -> tuple[RunLine, tuple[Message, ...]]:
    """A card of a run as a line of its plan, and what must be said of it.

    ``design`` is its card file, None where it has none; ``known`` the ink calibration of its printer, ``path`` what is
    known of the way into it, and ``tones`` what was counted before. Raises BadRecord, DoesNotFit, BadImage.
    """
    rows = read_rows(run.folder / card.recipients) if card.recipients is not None else None
    counted: RowsCoverage | None = None
    if design is None:
        _refuse_unfed(fit_stock(stock, printer).feed, stock.name, printer.name, _place_of(run, card))
    elif card.ink_ml is None or card.faces is None:
        counted = _counted(design, rows, stock, printer, path, tones)
    elif rows is not None and card_variables(design):
        personalised(design, rows)  # says what the list lacks
    if card.ink_ml is not None:
        ml, doubt = Decimal(repr(card.ink_ml)), 0.0
    else:
        assert counted is not None
        ml = Decimal(repr(round(counted.mean.tones_m2 * known.ml_m2, 6)))
        doubt = min(known.doubt + counted.doubt, 1.0)
    line = RunLine(
        card=card,
        quantity=len(rows.rows) if rows else card.quantity or 0,
        stock=stock.name,
        printer=printer.name,
        faces=card.faces or (counted.mean.faces if counted else 1),
        ink_ml=ml.quantize(_CENT_ML),
        doubt=doubt,
        tones_m2=counted.mean.tones_m2 if counted else None,
        recipients=tuple(row.values for row in rows.rows) if rows else (),
        names=_names(design, rows),
        outside_on=(design.outside_on if design else None) or outside_of(stock),
    )
    read = rows.notices if rows else ()
    if counted is None:
        return line, tuple(Message("run.of-card", card=card.name, remark=each) for each in read)
    of_ink = (counted.basis,) if counted.basis and card.ink_ml is None else ()
    remarks = (*read, *counted.mean.warnings, *of_ink)
    return line, tuple(Message("run.of-card", card=card.name, remark=each) for each in remarks)


def _names(design: Card | None, rows: Rows | None) -> tuple[str, ...]:
    """What the rows of a list are called."""
    if rows is None:
        return ()
    column = rows.names[0] if design is None else naming_column(design, rows)
    return tuple(row_name(row, column) for row in rows.rows)


def _counted(
    design: Card,
    rows: Rows | None,
    stock: Stock,
    printer: Printer,
    path: PrintPath,
    tones: KeptTones | None,
) -> RowsCoverage:
    """What a card covers; of one that a list fills, over its rows."""
    if rows is None or not card_variables(design):
        return RowsCoverage(coverage_of(design, stock, printer, path=path, known=tones), 0.0, None)
    personalised(design, rows)  # all of them, so that what the list lacks anywhere is told
    return coverage_of_rows(design, rows, stock, printer, path=path, known=tones)


def _place_of(run: Run, card: RunCard) -> Place:
    return Place("run", ("cards", [each.name for each in run.cards].index(card.name), "printer"))


def _refuse_unfed(feed: str | None, stock: str, printer: str, place: Place) -> None:
    if feed is None:
        raise BadRecord("run.card-not-fed", place=place, printer=printer, stock=stock)
