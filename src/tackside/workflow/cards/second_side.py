"""Find out how a printer turns the sheet for its second side, and remember it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from tackside.bench.repositories.second_sides import Corner, SecondSide, keep_second_side, second_side_of
from tackside.bench.store import Bench
from tackside.card.views.turn_guide import guide, write_guide
from tackside.errors import BadRequest
from tackside.records import Printer

# On the guide the corners of the A's own side: nobody finds them on the other one.
OWN_SIDE = (1, 3)


@dataclass(frozen=True)
class KnownTurn:
    """What is known of a feed's second side; no ``answer`` while nobody has found out."""

    printer: Printer
    feed: str
    answer: SecondSide | None


def known_second_side(
    bench: Bench, printer: str, feed: str | None, size_mm: tuple[float, float]
) -> KnownTurn:
    """Of the feed that is named, or the first that takes paper of this size. Raises NotFound, DoesNotFit."""
    record = bench.printers.get(printer)
    found = guide(record, feed, size_mm).feed
    return KnownTurn(record, found, second_side_of(bench.folder, record.name, found))


def write_second_side_guide(
    bench: Bench, printer: str, feed: str | None, size_mm: tuple[float, float], out: Path
) -> None:
    """Two pages for plain paper, a PDF, which tell how the sheet comes to lie. Raises as ``known_second_side``."""
    record = bench.printers.get(printer)
    write_guide(guide(record, feed, size_mm), record, out)


def answer_second_side(
    bench: Bench, printer: str, feed: str | None, size_mm: tuple[float, float], behind: Corner
) -> None:
    """Keep the number that lies behind the A. Raises BadRequest where the sheet was not turned over."""
    if behind in OWN_SIDE:
        raise BadRequest("card.guide-not-turned", number=behind)
    record = bench.printers.get(printer)
    keep_second_side(bench.folder, record.name, guide(record, feed, size_mm).feed, behind)
