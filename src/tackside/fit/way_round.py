"""Which way round the sheet goes in, and what then stands upside down on it."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.fit.model import Panel
from tackside.records.sheet_plan import Side

_TURNED = {90: "turned to the right", 180: "upside down", 270: "turned to the left"}


def way_round(size_mm: tuple[float, float], side: Side, panels: Sequence[Panel]) -> str:
    """How to feed the open sheet, in a sentence: which edge, which face, which panels go in first."""
    face = side if len(panels) == 1 else "outside" if side == "front" else "inside"
    fed = f"Feed the sheet with a {size_mm[0]:.4g} mm edge first and its {face} as the printed face"
    leading = sorted((panel for panel in panels if panel.trim.y < 1e-6), key=lambda panel: panel.trim.x)
    if len(panels) == 1:
        return f"{fed}."
    if len(leading) == 1:
        return f"{fed}; {leading[0].name} goes in first."
    return f"{fed}; from left to right {_listed([panel.name for panel in leading])} go in first."


def on_turned(panels: Sequence[Panel]) -> str | None:
    """Which panels are turned on the open sheet, and that this is right; None where all stand upright."""
    turned = [
        f"{words} on {_listed([panel.name for panel in panels if panel.turn_deg == turn])}"
        for turn, words in _TURNED.items()
        if any(panel.turn_deg == turn for panel in panels)
    ]
    if not turned:
        return None
    return f"On the open sheet contents are {', '.join(turned)}: once folded, all of it stands upright."


def _listed(names: list[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
