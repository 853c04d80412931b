"""The plan of a test sheet: everything on it, with its place in mm, before a single dot is drawn."""

from __future__ import annotations

from tackside.errors import BadRequest, DoesNotFit
from tackside.fit.model import Fit
from tackside.messages.place import Place
from tackside.records import Feed, Printer, SheetPlan, Stock
from tackside.records.sheet_plan import Purpose, Side, Space
from tackside.sheet.blocks import scene
from tackside.sheet.canvas import Grid
from tackside.sheet.chart.lay_out import ChartAsked, lay_out_chart
from tackside.sheet.ground import fitted, sheet_panels
from tackside.sheet.layout import Heads, lay_out
from tackside.sheet.page import tags
from tackside.sheet.page.header import Head
from tackside.sheet.placed import Placed
from tackside.units import Size

VERSION = 1
LEAST_MM, MOST_SHORT_MM, MOST_LONG_MM = 90.0, 330.0, 490.0
LEAST_PPI, MOST_PPI = 200.0, 1440.0
MOST_PIXELS = 250_000_000  # 750 MB of pixels
_SPACES = {"srgb": "sRGB (IEC 61966-2-1)", "adobe-rgb": "compatible with Adobe RGB (1998)"}


def plan_sheet(
    stock: Stock,
    printer: Printer,
    *,
    trial_id: str,
    purpose: Purpose = "path",
    space: Space = "srgb",
    side: Side = "front",
    feed: Feed | None = None,
    ppi: float | None = None,
    chart: ChartAsked | None = None,
    converted: bool = False,
    own_picture: bool = False,
) -> SheetPlan:
    """Lay out the test sheet for one stock on one printer.

    With ``chart`` it is the sheet for a profile: nothing but rows of patches, on as many pages as they take; it goes
    with the purpose ``device``. ``space`` holds for the purpose ``path``; a sheet for ``device`` has bare device
    numbers and no space. ``ppi`` is by default the printer's native grid, or the largest whole part of it up to 720.
    ``converted``: the file will hold the printer's numbers, made from this space by a profile, and the sheet says so.
    ``own_picture``: the harbour's place is kept for a picture of one's own.
    Raises DoesNotFit for a size beyond 90 × 90 to 330 × 490 mm (either way round) or one that no feed
    takes, or where a chart takes too many pages or the own picture finds no place, BadRequest for a resolution out of
    range.
    """
    size = Size(*stock.open_size_mm)
    _check_size(size)
    resolution = ppi if ppi is not None else native_ppi(printer.grid_ppi)
    if not LEAST_PPI <= resolution <= MOST_PPI:
        raise BadRequest("sheet.ppi", ppi=resolution, least=LEAST_PPI, most=MOST_PPI)
    grid = Grid(resolution)
    if grid.dots(size.w) * grid.dots(size.h) > MOST_PIXELS:
        raise BadRequest("sheet.too-many-pixels", size_mm=size, ppi=resolution)
    fit = fitted(stock, printer, side, feed)
    panels = sheet_panels(fit)
    heads = _heads(
        stock, fit, trial_id, purpose, space, side, resolution, for_profile=chart is not None, converted=converted
    )  # fmt: skip
    if chart is None:
        layout = lay_out(panels, size, grid, tags.tag_text(trial_id), heads)
    else:
        layout = lay_out_chart(panels, size, grid, trial_id, heads.main, chart)
    if own_picture:
        layout.placed = _with_own(layout.placed)
    return SheetPlan(
        version=VERSION,
        size_mm=stock.open_size_mm,
        ppi=resolution,
        size_px=(grid.dots(size.w), grid.dots(size.h)),
        space=space if purpose == "path" else None,
        purpose=purpose,
        side=side,
        borderless=fit.borderless,
        panels=panels,
        creases=fit.creases,
        patches=layout.placed.patches,
        marks=tuple(layout.marks),
        tags=tuple(layout.tags),
        targets=layout.placed.targets,
        captions=layout.placed.captions,
        bars=layout.placed.bars,
        notices=tuple(layout.notices),
        pages=layout.pages,
    )


def _with_own(placed: Placed) -> Placed:
    if not any(scene.is_harbour(target) for target in placed.targets):
        raise DoesNotFit("sheet.no-place-for-picture")
    return scene.with_own(placed)


def native_ppi(grid_ppi: float) -> float:
    """The printer's grid, or its largest whole part up to 720: whole parts avoid a resampling.

    Source: docs/sources.md, S20.
    """
    parts = 1
    while grid_ppi / parts > 720:
        parts += 1
    return grid_ppi / parts


def _check_size(size: Size) -> None:
    short, long = min(size), max(size)
    if short >= LEAST_MM and short <= MOST_SHORT_MM and long <= MOST_LONG_MM:
        return
    raise DoesNotFit(
        "sheet.size",
        place=Place("stock", ("open_size_mm",)),
        size_mm=size,
        least_mm=(LEAST_MM, LEAST_MM),
        most_mm=(MOST_SHORT_MM, MOST_LONG_MM),
    )


def _heads(
    stock: Stock, fit: Fit, trial_id: str, purpose: Purpose, space: Space, side: Side, ppi: float, *,
    for_profile: bool, converted: bool,
) -> Heads:  # fmt: skip
    said = "already converted" if converted else "profile embedded"
    colour_space = f"{_SPACES[space]}, {said}" if purpose == "path" else "device numbers, no profile"
    facts = (
        f"{fit.printer}, {fit.feed} feed",
        f"{stock.open_size_mm[0]:g} × {stock.open_size_mm[1]:g} mm, {ppi:g} ppi",
        colour_space,
        "Print at 100 %, no scaling",
        "Guides touching, not squeezing",
        "Let it dry for 24 hours",
        "Borderless" if fit.borderless else "With margins",
        *(("To be measured row by row",) if for_profile else ()),
    )
    short = (f"{fit.printer}, {fit.feed} feed", "Print at 100 %, no scaling")
    what = "Patches for a profile of" if for_profile else "A test sheet for"
    return Heads(
        main=Head(stock.name, f"{what} the {side} side, trial {trial_id}", facts),
        colour=Head("Colour", f"{stock.name}, {side} side, trial {trial_id}", short),
        other=Head(stock.name, f"{side} side, trial {trial_id}", short),
    )
