"""Where a card's contents may stand on a face: its panels, the whole of it, the part that is cut out, the bleed."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.errors import BadRecord
from tackside.fit.fold.panels import called
from tackside.fit.model import Fit, Panel
from tackside.messages.place import Place
from tackside.records.sheet_plan import Side
from tackside.units import Box

# docs/sources.md, S18.
BLEED_MM = 3.0
SAME_MM = 1e-6
CUT_TO = Place("card", ("cut_to_mm",))


def trim_of(sheet_mm: tuple[float, float], cut_to_mm: tuple[float, float] | None) -> Box:
    """The open card on its sheet: all of it, or what is cut out of its middle. Raises BadRecord."""
    width, height = sheet_mm
    if cut_to_mm is None:
        return Box(0.0, 0.0, width, height)
    w, h = cut_to_mm
    if w > width + SAME_MM or h > height + SAME_MM:
        raise BadRecord(
            "card.cut-larger-than-sheet", place=CUT_TO, cut_mm=cut_to_mm, sheet_mm=(width, height)
        )
    return Box((width - w) / 2, (height - h) / 2, w, h)


def cut_panels(panels: Sequence[Panel], trim: Box) -> tuple[Panel, ...]:
    """The panels, each with what is left of it. Raises BadRecord where nothing is."""
    found: list[Panel] = []
    for panel in panels:
        left = panel.trim.intersection(trim)
        if left is None:
            raise BadRecord("card.panel-cut-away", place=CUT_TO, panel=called(panel.name))
        reached = panel.printable.intersection(trim) or Box(left.x, left.y, 0.0, 0.0)
        found.append(panel.model_copy(update={"trim": left, "printable": reached}))
    return tuple(found)


def whole_face(panels: Sequence[Panel], side: Side) -> Panel | None:
    """A face as one panel, to be named ``outside`` or ``inside``; it stands as the front, or as the pages inside.

    The insides of a quarter fold lie on the outside face and are left out. None for the back of a flat card.
    """
    if side == "back" and len(panels) == 1:
        return None
    parts = [panel for panel in panels if side == "back" or not panel.name.startswith("inside")]
    first = "front" if side == "front" else "inside"
    chief = next((panel for panel in parts if panel.name.startswith(first)), parts[-1])
    reached = [panel.printable for panel in parts if panel.is_reached]
    trim = around([panel.trim for panel in parts])
    return Panel(
        name="outside" if side == "front" else "inside",
        trim=trim,
        printable=around(reached) if reached else Box(trim.x, trim.y, 0.0, 0.0),
        turn_deg=chief.turn_deg,
    )


def with_bleed(box: Box, trim: Box, fit: Fit) -> Box:
    """A box with its bleed past those edges that are the card's own: where it is cut, or printed borderless.

    A crease has none, nor has an edge of the sheet that the printer does not reach.
    """
    width, height = fit.size_mm
    past = max(BLEED_MM, (fit.enlargement_mm or 0.0) + 1.0)

    def room(is_edge: bool, to_sheet: float) -> float:
        if not is_edge:
            return 0.0
        return past if fit.borderless else min(BLEED_MM, to_sheet)

    return box.inset(
        -room(abs(box.x - trim.x) < SAME_MM, box.x),
        -room(abs(box.y - trim.y) < SAME_MM, box.y),
        -room(abs(box.right - trim.right) < SAME_MM, width - box.right),
        -room(abs(box.bottom - trim.bottom) < SAME_MM, height - box.bottom),
    )


def around(boxes: Sequence[Box]) -> Box:
    """The smallest box that holds them all."""
    left, top = min(box.x for box in boxes), min(box.y for box in boxes)
    right, bottom = max(box.right for box in boxes), max(box.bottom for box in boxes)
    return Box(left, top, right - left, bottom - top)
