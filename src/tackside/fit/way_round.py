"""Which way round the sheet goes in, and what then stands upside down on it."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.fit.model import Panel, called
from tackside.messages.message import Message
from tackside.records.sheet_plan import Side

_TURNED = {90: "fit.contents-turned-right", 180: "fit.contents-upside-down", 270: "fit.contents-turned-left"}


def way_round(
    size_mm: tuple[float, float], side: Side, panels: Sequence[Panel], outside: Side = "front"
) -> Message:
    """How to feed the open sheet, in a sentence: which edge, which face, which panels go in first."""
    face = Message(f"fit.face-{side if len(panels) == 1 else 'outside' if side == outside else 'inside'}")
    if outside == "back" and len(panels) > 1:
        face = Message("fit.face-on-side", face=face, side=Message(f"fit.face-{side}"))
    leading = sorted((panel for panel in panels if panel.trim.y < 1e-6), key=lambda panel: panel.trim.x)
    if len(panels) == 1:
        return Message("fit.fed", edge_mm=size_mm[0], face=face)
    first = [called(panel.name) for panel in leading]
    if len(first) == 1:
        return Message("fit.fed-panel-first", edge_mm=size_mm[0], face=face, panel=first[0])
    return Message("fit.fed-panels-first", edge_mm=size_mm[0], face=face, panels=first)


def on_turned(panels: Sequence[Panel]) -> Message | None:
    """Which panels are turned on the open sheet, and that this is right; None where all stand upright."""
    turned = [
        Message(code, panels=[called(panel.name) for panel in panels if panel.turn_deg == turn])
        for turn, code in _TURNED.items()
        if any(panel.turn_deg == turn for panel in panels)
    ]
    return Message("fit.contents-turned", turns=turned) if turned else None
