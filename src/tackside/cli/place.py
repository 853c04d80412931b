"""Where a picture goes, from the options that name a place: a panel of a stock, or a size in mm."""

from __future__ import annotations

from tackside.bench.store import Bench
from tackside.cli.session import bench_folder
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.picture.check.resolution import Use
from tackside.picture.use_on_panel import FARTHEST_CM, NEAREST_CM
from tackside.workflow.pictures.check import place_on_card

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
            "picture.nobody-looks-from", distance_cm=distance_cm, least_cm=NEAREST_CM, most_cm=FARTHEST_CM
        )
    if size_mm is not None:
        if stock is not None:
            raise BadRequest("picture.two-places")
        if not all(0 < length <= LARGEST_MM for length in size_mm):
            raise BadRequest("picture.size-cannot-be", size_mm=size_mm)
        grid = (
            None
            if printer is None
            else Bench.open(bench_folder(), create=False).printers.get(printer).grid_ppi
        )
        return Use(size_mm, Message("picture.place.any-panel"), grid, distance_cm)
    if stock is None and printer is None:
        return None
    if stock is None or printer is None:
        missing = "--stock" if stock is None else "--printer"
        raise BadRequest("picture.place-lacks", option=missing)
    return place_on_card(Bench.open(bench_folder(), create=False), stock, printer, panel, distance_cm)
