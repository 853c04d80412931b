"""Where a picture goes, from the options that name a place: a panel of a stock, or a size in mm."""

from __future__ import annotations

from tackside.bench.nearest import not_found
from tackside.bench.records.sheet_plan import Side
from tackside.bench.store import Bench
from tackside.cli.session import bench_folder
from tackside.errors import BadRequest
from tackside.fit import Panel, fit_stock
from tackside.picture.resolution import Use

SIDES: tuple[Side, ...] = ("front", "back")
LARGEST_MM = 2000.0
NEAREST_CM, FARTHEST_CM = 5.0, 10_000.0


def place_of(
    stock: str | None,
    printer: str | None,
    panel: str,
    size_mm: tuple[float, float] | None,
    distance_cm: float,
) -> Use | None:
    """The place asked for, None where none is. Raises BadRequest, NotFound."""
    if not NEAREST_CM <= distance_cm <= FARTHEST_CM:
        raise BadRequest(
            f"nobody looks at a card from {distance_cm:g} cm",
            f"give --distance-cm from {NEAREST_CM:g} to {FARTHEST_CM:g}; a hand holds a card at about 30",
        )
    if size_mm is not None:
        if stock is not None:
            raise BadRequest("--size-mm and --stock each name a place", "give one of them")
        if not all(0 < length <= LARGEST_MM for length in size_mm):
            raise BadRequest(
                f"a picture of {size_mm[0]:g} × {size_mm[1]:g} mm cannot be",
                "give width and height in mm, as 105 148",
            )
        grid = (
            None
            if printer is None
            else Bench.open(bench_folder(), create=False).printers.get(printer).grid_ppi
        )
        return Use(size_mm, "a panel", grid, distance_cm)
    if stock is None and printer is None:
        return None
    if stock is None or printer is None:
        missing = "--stock" if stock is None else "--printer"
        raise BadRequest(
            f"a panel needs a stock and a printer, and {missing} is missing", f"add {missing} NAME"
        )
    return _on_panel(Bench.open(bench_folder(), create=False), stock, printer, panel, distance_cm)


def _on_panel(bench: Bench, stock: str, printer: str, panel: str, distance_cm: float) -> Use:
    card, machine = bench.stocks.get(stock), bench.printers.get(printer)
    named: dict[str, Panel] = {}
    for side in SIDES:
        named |= {
            each.name: each for each in fit_stock(card, machine, side=side).panels if each.name not in named
        }
    chosen = named.get(panel)
    if chosen is None:
        raise not_found(f"panel of {card.name} called", panel, named, f"its panels are {', '.join(named)}")
    width, height = chosen.trim.w, chosen.trim.h
    size = (height, width) if chosen.turn_deg in (90, 270) else (width, height)
    return Use(size, f"the {panel} panel", machine.grid_ppi, distance_cm)
