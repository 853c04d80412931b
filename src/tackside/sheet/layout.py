"""The layout: which blocks stand on which panel, by priority, and what had to be left out.

Marks and tags come first, on every panel. The colour field takes the largest panel, the scene and the
detail blocks the next; on a sheet of one panel they share it, on one of three each has its own, and
further panels are left clear. Everything keeps off creases, margins
and edges, but rulers run to where the printer's reach ends.

The whole open sheet is set upright as fed. On a folded card the back panel above a horizontal crease
stands upside down once folded; this is a test sheet, read open, and one reading direction serves it best.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from tackside.fit.model import called
from tackside.messages.message import Message
from tackside.records import Mark, SheetPanel, Tag
from tackside.sheet import details
from tackside.sheet.arrange import BlockRun, Leaf, fits
from tackside.sheet.blocks.field import FieldPlan, best_field, place_field
from tackside.sheet.canvas import Grid
from tackside.sheet.page import frame, marks
from tackside.sheet.page.header import Head, head_with_tag, tag_room_mm
from tackside.sheet.page.headings import COMPACT, ROOMY, Look
from tackside.sheet.placed import NOTHING, Placed
from tackside.units import Box, Size


@dataclass(frozen=True)
class Heads:
    """The words at the head of the main panel, of the colour panel and of any other."""

    main: Head
    colour: Head
    other: Head


@dataclass
class Layout:
    """What stands where; grows panel by panel, and on a chart page by page."""

    placed: Placed = NOTHING
    marks: list[Mark] = field(default_factory=list)
    tags: list[Tag] = field(default_factory=list)
    notices: list[Message] = field(default_factory=list)
    pages: int = 1


def lay_out(panels: Sequence[SheetPanel], size: Size, grid: Grid, tag_text: str, heads: Heads) -> Layout:
    """Everything on the sheet, in its order of importance."""
    layout = Layout()
    grounds = [frame.ground(panel, size, grid) for panel in _in_reading_order(panels)]
    _place_marks(layout, grounds, grid)
    bodies = _free_bodies(layout, grounds, grid, tag_text, heads)
    if not bodies:
        layout.notices.append(Message("sheet.marks-only"))
        return layout
    if len(bodies) == 1:
        _share(layout, *bodies[0], grid)
        return layout
    _colour(layout, *bodies[0], grid)
    if len(bodies) == 2:
        _details(layout, *bodies[1], grid)
        return layout
    _picture(layout, *bodies[1], grid)
    _details(layout, *bodies[2], grid, with_scene=False)
    return layout


def _in_reading_order(panels: Sequence[SheetPanel]) -> list[SheetPanel]:
    return sorted(panels, key=lambda panel: (panel.trim.y, panel.trim.x))


def _place_marks(layout: Layout, grounds: Sequence[frame.PanelGround], grid: Grid) -> None:
    used = 0
    for number, on in enumerate(grounds):
        if min(on.usable.w, on.usable.h) < 2 * on.band_mm:
            layout.notices.append(Message("sheet.panel-empty", panel=called(on.panel.name)))
            continue
        spare = marks.IDS - used - 4 * (len(grounds) - number)
        found = frame.place_marks(on, used, max(spare, 0), grid)
        used += len(found)
        layout.marks += found
        rulers = frame.place_rulers(on, found, grid)
        layout.placed += Placed(targets=rulers)
        with_ruler = {target.name.rsplit("-", 2)[1] for target in rulers}
        layout.notices += [
            Message("sheet.no-ruler", edge=Message(f"sheet.edge-{edge}"), panel=called(on.panel.name))
            for edge in on.outer
            if edge not in with_ruler
        ]


def _free_bodies(
    layout: Layout, grounds: Sequence[frame.PanelGround], grid: Grid, tag_text: str, heads: Heads
) -> list[tuple[Box, str]]:
    """Heads and tags are set; what is left of each panel comes back: colour panel, detail panel, the rest."""
    marked = {mark.panel for mark in layout.marks}
    by_area = sorted(
        (on for on in grounds if on.panel.name in marked), key=lambda on: -round(on.inner.w * on.inner.h, 1)
    )
    bodies = []
    for rank, on in enumerate(by_area):
        main = rank == min(1, len(by_area) - 1)
        head = heads.main if main else heads.colour if rank == 0 else heads.other
        if len(by_area) > 1:
            head = head.of_panel(on.panel.name)
        tagged = len(by_area) == 1 or rank > 0 or not _tag_costs_the_cube(on.inner, grid, tag_text)
        body = _set_head(layout, on, grid, tag_text, head, tagged=tagged)
        if body.w > 10 and body.h > 10:
            bodies.append((body, on.panel.name))
    return bodies


def _set_head(
    layout: Layout, on: frame.PanelGround, grid: Grid, tag_text: str, head: Head, *, tagged: bool
) -> Box:
    """The tag at the right, the words at the left or below, and the box that is left under them."""
    inner, name = on.inner, on.panel.name
    words, tag, body = head_with_tag(inner, head, tag_text, name, grid) if tagged else (NOTHING, None, inner)
    if tag is None:
        layout.notices.append(Message("sheet.no-tag", panel=called(name)))
        return inner
    layout.tags.append(tag)
    layout.placed += words
    return body


def _tag_costs_the_cube(inner: Box, grid: Grid, tag_text: str) -> bool:
    """Whether a small panel could hold a cube, but not beside a tag: another panel's tag serves it too."""
    room = tag_room_mm(tag_text, 0.5, grid)
    without, look = best_field(inner.w, inner.h, _look(inner)), _look(inner)
    if without is None or without.steps == 0 or inner.h <= room:
        return False
    beside = best_field(inner.w, inner.h - room - 0.8, look)
    return beside is None or beside.steps == 0


def _share(layout: Layout, body: Box, panel: str, grid: Grid) -> None:
    """Details first and colours below them; side by side where the panel is much wider than high."""
    look = _look(body)
    if body.w > 1.7 * body.h and look is ROOMY:
        half = (body.w - 2 * look.column_gap_mm) / 2
        _details(layout, Box(body.x, body.y, half, body.h), panel, grid)
        _colour(layout, Box(body.right - half, body.y, half, body.h), panel, grid)
        return
    plan = _fair_field(body, look)
    low = min(plan.height_mm + 0.01, body.h) if plan else 0.0
    _details(layout, Box(body.x, body.y, body.w, body.h - low - look.gap_mm), panel, grid)
    _colour(layout, Box(body.x, body.bottom - low, body.w, low), panel, grid)


def _fair_field(body: Box, look: Look) -> FieldPlan | None:
    """Half of the body for colour, or as much more as the smallest cube needs."""
    plan = None
    for share in (0.52, 0.6, 0.68, 0.76, 0.84, 0.92, 1.0):
        plan = best_field(body.w, body.h * share, look)
        if plan is not None and plan.steps >= 3:
            break
    return plan


def _colour(layout: Layout, box: Box, panel: str, grid: Grid) -> None:
    plan = best_field(box.w, box.h, _look(box))
    if plan is None:
        layout.notices.append(Message("sheet.no-patches", panel=called(panel)))
        return
    if plan.steps == 0:
        layout.notices.append(Message("sheet.no-cube", panel=called(panel)))
    if not plan.with_ramps:
        layout.notices.append(Message("sheet.no-ramps", panel=called(panel)))
    layout.placed += place_field(plan, box, panel, grid)


def _picture(layout: Layout, box: Box, panel: str, grid: Grid) -> None:
    """The scene with a panel to itself."""
    look = _look(box)
    if fits(Leaf(details.SCENE), box, look):
        for block, cell in details.with_bleed([(details.SCENE, box)], look):
            layout.placed += block.place(cell, panel, grid, look)
    else:
        layout.notices.append(_without(details.SCENE.name, panel))


def _details(layout: Layout, box: Box, panel: str, grid: Grid, *, with_scene: bool = True) -> None:
    """As many of the detail blocks as fit, with air between them if that leaves none out."""
    wanted = details.BY_PRIORITY if with_scene else details.BY_PRIORITY[:-1]
    found = [_fullest(box, look, len(wanted)) for look in dict.fromkeys((_look(box), COMPACT))]
    count, tree, look = max(found, key=lambda each: each[0])
    if tree is not None:
        cells = list(tree.cells(box, look))
        if not _has_bleed(layout):
            cells = details.with_bleed(cells, look)
        for block, cell in cells:
            layout.placed += block.place(cell, panel, grid, look)
        lines_shown = {target.name.split("-")[1] for target in layout.placed.targets if target.kind == "line"}
        if "magenta" not in lines_shown:
            code = "sheet.black-lines-only" if "reversed" not in lines_shown else "sheet.no-coloured-lines"
            layout.notices.append(Message(code, panel=called(panel)))
    missing = [block.name for block in wanted[count:]]
    if not _has_bleed(layout):
        missing.append(details.BLEED.name)
    layout.notices += [_without(name, panel) for name in missing]


def _without(block: str, panel: str) -> Message:
    return Message(
        "sheet.no-block", block=Message(f"sheet.block-{block.replace(' ', '-')}"), panel=called(panel)
    )


def _has_bleed(layout: Layout) -> bool:
    return any(target.kind == "bleed" for target in layout.placed.targets)


def _fullest(box: Box, look: Look, most: int) -> tuple[int, Leaf | BlockRun | None, Look]:
    for count, tree in details.arrangements(box.w > 1.6 * box.h):
        if count <= most and fits(tree, box, look):
            return count, tree, look
    return 0, None, look


def _look(box: Box) -> Look:
    return ROOMY if box.w > 75 else COMPACT
