"""A stock or a printer from the answers of somebody who describes it, its usual slips, and keeping it."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any, TypeVar

from pydantic import ValidationError

from tackside.bench.store import Bench
from tackside.errors import BadRequest, Overtaken
from tackside.files.record_faults import fault_of
from tackside.messages.message import Message
from tackside.records import Printer, Stock
from tackside.typed import doubts
from tackside.typed.doubts import Doubt
from tackside.typed.length import Size
from tackside.typed.price import TypedPrice
from tackside.workflow.stocks.questions import FLAT, FOLDED, Answer, priced

Described = TypeVar("Described", Stock, Printer)


@dataclass(frozen=True)
class DescribedStock:
    """A stock, and what in it may be a slip. ``is_open_mm``: the open sheet that was taken for a folded size."""

    stock: Stock
    doubts: tuple[Doubt, ...]
    is_open_mm: Size | None = None


@dataclass(frozen=True)
class DescribedPrinter:
    printer: Printer
    doubts: tuple[Doubt, ...]


def described_stock(
    answers: Mapping[str, Answer], *, currency: str | None = None, surface: str = "", notes: str = ""
) -> DescribedStock:
    """The stock that answers to ``questions.STOCK`` describe. Raises BadRequest where they don't hold together."""
    folds, size = answers["folds"], _size(answers["size"])
    open_mm, creases = ground(size, str(folds))
    inkjet, cost = answers.get("inkjet"), answers.get("price")
    count = answers.get("pack")
    stock = _checked(
        Stock,
        {
            "name": answers["name"], "base": answers.get("base"), "surface": surface or None,
            "weight_gsm": answers.get("weight"), "caliper_mm": answers.get("caliper"),
            "coated": answers.get("coated"), "coated_found_by": answers.get("found-by"), "open_size_mm": open_mm,
            "creases": creases, "notes": notes,
            "pack": priced(
                count if isinstance(count, int) else None, cost if isinstance(cost, TypedPrice) else None, currency
            ),
            "sold_for_inkjet": None if inkjet is None else inkjet == "yes",
        },
    )  # fmt: skip
    return DescribedStock(stock, doubts_of(stock, flat=folds == FLAT), open_mm if folds == FOLDED else None)


def ground(size: Size, folds: str) -> tuple[Size, list[dict[str, Any]]]:
    """The open sheet as fed, its narrower edge across, and its crease in the middle of the longer one.

    ``folds``: how the size is meant. A flat card and an open sheet keep the way round that was typed, a folded size is
    opened along its longer edge.
    """
    if folds == FLAT:
        return size, []
    open_mm = doubts.opened(size) if folds == FOLDED else size
    width, height = open_mm
    if width > height:
        return open_mm, [{"direction": "vertical", "at_mm": width / 2}]
    return open_mm, [{"direction": "horizontal", "at_mm": height / 2}]


def described_printer(answers: Mapping[str, Answer], *, notes: str = "") -> DescribedPrinter:
    """The printer, of one feed, that answers to ``questions.PRINTER`` describe."""
    margins = answers["margins"]
    assert isinstance(margins, tuple)
    printer = _checked(
        Printer,
        {
            "name": answers["name"],
            "inks": _known({"kind": answers.get("inks"), "count": answers.get("ink-count")}),
            "grid_ppi": answers.get("grid"),
            "feeds": [
                _known(
                    {
                        "name": answers["feed"],
                        "min_size_mm": _upright(_size(answers["smallest"])),
                        "max_size_mm": _upright(_size(answers["largest"])),
                        "max_caliper_mm": answers.get("thickest"),
                        "margins_mm": dict(zip(("top", "bottom", "left", "right"), margins, strict=True)),
                        "borderless_sizes_mm": [_upright(each) for each in _sizes(answers.get("borderless"))],
                    }
                )
            ],
            "notes": notes,
        },
    )
    return DescribedPrinter(printer, doubts.doubts_of_printer(printer))


def doubts_of(record: Stock | Printer, *, flat: bool = False) -> tuple[Doubt, ...]:
    """What may be a slip. Of a card that was said to be ``flat`` nobody need be asked again whether it folds."""
    if isinstance(record, Printer):
        return doubts.doubts_of_printer(record)
    found = doubts.doubts_of_stock(record)
    return tuple(each for each in found if not flat or each.message.code != doubts.FOLDED_SIZE)


def agreed(found: tuple[Doubt, ...]) -> Message:
    """What asks whether doubtful figures are right."""
    return Message("typed.doubtful", doubts=tuple(each.message for each in found))


def keep_described(open_bench: Callable[[], Bench], record: Stock | Printer) -> int:
    """Keep a stock or a printer that is new; the revision that it got. Raises BadRequest where its name is taken."""
    bench = open_bench()
    try:
        if isinstance(record, Stock):
            return bench.stocks.add(record, after=0).revision
        return bench.printers.add(record, after=0).revision
    except Overtaken as error:
        raise BadRequest("typed.name-taken", name=record.name) from error


def _checked(kind: type[Described], data: dict[str, Any]) -> Described:
    try:
        return kind.model_validate(_known(data))
    except ValidationError as error:
        fault = fault_of(error, kind)
        raise BadRequest.saying(fault.message, fault.place) from error


def _known(data: dict[str, Any]) -> dict[str, Any]:
    return {name: value for name, value in data.items() if value is not None}


def _size(answer: Answer | None) -> Size:
    assert isinstance(answer, tuple)
    assert len(answer) == 2
    width, height = answer
    assert isinstance(width, (int, float))
    assert isinstance(height, (int, float))
    return float(width), float(height)


def _sizes(answer: Answer | None) -> tuple[Size, ...]:
    return () if answer is None else tuple(_size(each) for each in answer)  # type: ignore[union-attr,arg-type]


def _upright(size: Size) -> Size:
    """As sheets are fed: the narrower edge across."""
    width, height = sorted(size)
    return width, height
