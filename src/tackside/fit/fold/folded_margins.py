"""The margins of each panel as seen on the folded card, and the narrowest border that is equal all round."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.fit.model import Panel, PanelMargins


def folded_margins(panels: Sequence[Panel]) -> tuple[PanelMargins, ...]:
    """What the printer leaves bare along each edge of each panel, the panel held upright.

    The crease is an edge like the others, and bare of nothing: an equal border has to be as wide at the crease as at
    the widest margin. Panels that the printer does not reach are left out.
    """
    return tuple(_margins(panel) for panel in panels if panel.is_reached)


def _margins(panel: Panel) -> PanelMargins:
    trim, reached = panel.trim, panel.printable
    # Clockwise from the top, on the sheet.
    bare = (
        reached.y - trim.y,
        trim.right - reached.right,
        trim.bottom - reached.bottom,
        reached.x - trim.x,
    )
    steps = panel.turn_deg // 90
    # Contents turned clockwise by a right angle have their top at the sheet's right.
    top, right, bottom, left = (round(max(0.0, bare[(edge + steps) % 4]), 3) for edge in range(4))
    return PanelMargins(
        panel=panel.name,
        top=top,
        right=right,
        bottom=bottom,
        left=left,
        equal_border_mm=max(top, right, bottom, left),
    )
