"""The finished card as it is held: front, inside, back, each upright, lying on the bench."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import pyvips

from tackside.card.layout.layout import CardFace
from tackside.card.layout.zones import around
from tackside.card.pixels.conversion import OutputColour
from tackside.card.pixels.raster import box_px
from tackside.card.views.drawing import SOFT, drawn, label, line, paper, picture
from tackside.card.views.preview import shown
from tackside.fit.model import Panel
from tackside.records.sheet_plan import Side
from tackside.units import MM_PER_INCH, Box

TALLEST_PX = 620
SHADE_PX = 30
WIDEST_PX = 900
EDGE, GAP, HEAD, FOOT = 84, 78, 84, 92


@dataclass(frozen=True)
class FoldedView:
    """One way of holding the card: its pixels upright, and where creases run across them, in pixels."""

    name: str
    image: pyvips.Image
    across: tuple[float, ...] = ()
    down: tuple[float, ...] = ()


def folded_view(
    faces: Sequence[CardFace], all_panels: Mapping[Side, Sequence[Panel]], own: OutputColour
) -> pyvips.Image:
    """The card folded, opened and turned over. ``all_panels`` are those of both faces, by ``front`` and ``back``,
    also where a face is bare. Reads the pictures. Raises BadImage, pyvips.Error."""
    by_side = {face.side: face for face in faces}
    front = all_panels["front"]
    scale = _scale(front, all_panels["back"])
    sheets = {side: shown(face, scale * MM_PER_INCH, own).copy_memory() for side, face in by_side.items()}
    views = list(_views(sheets, all_panels, faces[0].fit.size_mm, scale))
    tallest = max(view.image.height for view in views)
    width = 2 * EDGE + sum(view.image.width for view in views) + GAP * (len(views) - 1)
    parts: list[str] = []
    x = float(EDGE)
    for view in views:
        parts += _laid(view, x, HEAD + tallest - view.image.height)
        x += view.image.width + GAP
    return drawn(width, HEAD + tallest + FOOT, parts)


def _views(
    sheets: Mapping[Side, pyvips.Image],
    panels: Mapping[Side, Sequence[Panel]],
    size_mm: tuple[float, float],
    scale: float,
) -> Iterator[FoldedView]:
    named = {panel.name: (side, panel) for side in panels for panel in panels[side]}
    wings = [name for name in ("front-left", "front-upper", "front-right", "front-lower") if name in named]
    if wings:
        first, second = (_panel(*named[name], sheets, size_mm, scale) for name in wings)
        stands = "horizontal" if wings[0] == "front-left" else "vertical"
        seam = first.width if stands == "horizontal" else first.height
        image = first.join(second, stands)
        yield (
            FoldedView("Front", image, down=(seam,))
            if stands == "horizontal"
            else FoldedView("Front", image, across=(seam,))
        )
    elif "front" in named:
        yield FoldedView("Front", _panel(*named["front"], sheets, size_mm, scale))
    inside = [(side, panel) for side, panel in named.values() if panel.name.startswith("inside")]
    if inside:
        side, turn = inside[0][0], inside[0][1].turn_deg
        boxes = [panel.trim for _, panel in inside]
        whole = Panel(name="inside", trim=around(boxes), printable=around(boxes), turn_deg=turn)
        image = _panel(side, whole, sheets, size_mm, scale)
        yield FoldedView("Inside", image, *_creases(boxes, whole, scale))
    if "back" in named:
        yield FoldedView("Back", _panel(*named["back"], sheets, size_mm, scale))


def _panel(
    side: Side, panel: Panel, sheets: Mapping[Side, pyvips.Image], size_mm: tuple[float, float], scale: float
) -> pyvips.Image:
    """A panel's pixels, upright; bare card where its face holds nothing."""
    ppi = scale * MM_PER_INCH
    sheet = (round(size_mm[0] * scale), round(size_mm[1] * scale))
    left, top, width, height = box_px(panel.trim, ppi, sheet)
    if side in sheets:
        part = sheets[side].crop(left, top, width, height)
    else:
        part = (pyvips.Image.black(width, height, bands=3) + 255).cast("uchar").copy(interpretation="srgb")
    return part.rot(f"d{(360 - panel.turn_deg) % 360}") if panel.turn_deg else part


def _creases(boxes: Sequence[Box], whole: Panel, scale: float) -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Where creases cross the upright picture: from its head, and from its left."""
    xs = sorted({round((box.x - whole.trim.x) * scale, 1) for box in boxes} - {0.0})
    ys = sorted({round((box.y - whole.trim.y) * scale, 1) for box in boxes} - {0.0})
    w, h = whole.trim.w * scale, whole.trim.h * scale
    across, down = {
        0: (ys, xs),
        90: ([w - x for x in xs], ys),
        180: ([h - y for y in ys], [w - x for x in xs]),
        270: (xs, [h - y for y in ys]),
    }[whole.turn_deg]
    return tuple(across), tuple(down)


def _laid(view: FoldedView, x: float, y: float) -> Iterator[str]:
    box = Box(x, y, view.image.width, view.image.height)
    yield paper(box, lift=18)
    yield picture(view.image, x, y)
    for at in view.down:
        yield _valley(x + at, y, box.h, upright=True)
    for at in view.across:
        yield _valley(x, y + at, box.w, upright=False)
    yield label(view.name, box.centre[0], box.bottom + 50, 22, face="serif", anchor="middle", fill=SOFT)


def _valley(x: float, y: float, length: float, *, upright: bool) -> str:
    """The shade that a crease throws, and the crease itself."""
    if upright:
        shape = (
            f'x="{x - SHADE_PX}" y="{y}" width="{2 * SHADE_PX}" height="{length}" fill="url(#valley-down)"'
        )
        return f"<rect {shape}/>" + line(x, y, x, y + length, "#b9b1a4", 0.8)
    shape = f'x="{x}" y="{y - SHADE_PX}" width="{length}" height="{2 * SHADE_PX}" fill="url(#valley-across)"'
    return f"<rect {shape}/>" + line(x, y, x + length, y, "#b9b1a4", 0.8)


def _scale(front: Sequence[Panel], back: Sequence[Panel]) -> float:
    """Pixels to the mm, so that the opened card and the panels stay on a screen."""
    boxes = [around([panel.trim for panel in front]), around([panel.trim for panel in back])]
    panel_long = max(max(panel.trim.w, panel.trim.h) for panel in (*front, *back))
    widest = max(max(box.w, box.h) for box in boxes)
    return min(TALLEST_PX / panel_long, WIDEST_PX / widest)
