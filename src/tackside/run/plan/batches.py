"""The order of printing: what shares printer, stock and setting is printed together."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from tackside.records.sheet_plan import Side
from tackside.run.plan.run_file import RunCard


@dataclass(frozen=True)
class RunLine:
    """One design with all that is known of it. ``ink_ml`` is one sheet's, all faces, to 0.01 ml; ``doubt`` its relative
    uncertainty. ``tones_m2`` is the full tone it takes by the ink model, None where the run file gave the ink itself.
    ``recipients`` are the rows of a personalised card, in the file's order, and ``names`` what each is called.
    ``outside_on`` is the face of the stock that its outside is printed on."""

    card: RunCard
    quantity: int
    stock: str
    printer: str
    faces: int
    ink_ml: Decimal
    doubt: float
    tones_m2: float | None = None
    recipients: tuple[dict[str, str], ...] = ()
    names: tuple[str, ...] = ()
    outside_on: Side = "front"

    @property
    def good_sheets(self) -> int:
        return -(-self.quantity // self.card.cards_per_sheet)


@dataclass(frozen=True)
class Batch:
    """Lines that are printed one after another with nothing changed at the printer. Numbers count from 1."""

    number: int
    printer: str
    stock: str
    setting: str
    lines: tuple[RunLine, ...]

    @property
    def good_sheets(self) -> int:
        return sum(line.good_sheets for line in self.lines)

    @property
    def outside_on(self) -> Side:
        """The face of the stock that goes through the printer first: the same for all its lines."""
        return self.lines[0].outside_on

    @property
    def cards(self) -> int:
        return sum(line.quantity for line in self.lines)

    @property
    def faces(self) -> int:
        """The most faces that any of its lines prints."""
        return max(line.faces for line in self.lines)

    def share_with_face(self, face: int) -> Fraction:
        """Which share of its sheets goes through the printer for that face (0 the first)."""
        printed = sum(line.good_sheets for line in self.lines if line.faces > face)
        return Fraction(printed, self.good_sheets)

    @property
    def passes_a_sheet(self) -> Fraction:
        """How often one of its sheets goes through the printer, on average."""
        return sum((self.share_with_face(face) for face in range(self.faces)), Fraction(0))


def batches_of(lines: Sequence[RunLine]) -> tuple[Batch, ...]:
    """Each printer, stock, face of it and setting once, in the order of first appearance; a printer's stocks stay
    together.

    So the number of changes is the least there can be, and stock changes less often than setting.
    """
    printers = _first(line.printer for line in lines)
    stocks = _first(line.stock for line in lines)
    settings = _first(line.card.setting for line in lines)
    groups: dict[tuple[int, int, str, int], list[RunLine]] = {}
    for line in lines:
        side = "" if line.outside_on == "front" else line.outside_on
        key = (printers[line.printer], stocks[line.stock], side, settings[line.card.setting])
        groups.setdefault(key, []).append(line)
    return tuple(
        Batch(number, group[0].printer, group[0].stock, group[0].card.setting, tuple(group))
        for number, (_, group) in enumerate(sorted(groups.items()), start=1)
    )


def _first(words: Iterable[str]) -> dict[str, int]:
    order: dict[str, int] = {}
    for word in words:
        order.setdefault(word, len(order))
    return order
