"""Where a picture goes, from the options that name a place: a panel of a stock, or a size in mm."""

from __future__ import annotations

from tackside.bench.store import Bench
from tackside.cli.session import bench_folder
from tackside.errors import BadRequest
from tackside.picture.check.resolution import Use
from tackside.picture.use_on_panel import FARTHEST_CM, NEAREST_CM, use_on_panel

LARGEST_MM = 2000.0


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
    return use_on_panel(Bench.open(bench_folder(), create=False), stock, printer, panel, distance_cm)
