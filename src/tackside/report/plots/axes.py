"""A plot's ground: frame, ticks, grid lines, axis names."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.report.plots.svg import element, text


@dataclass(frozen=True)
class Axes:
    """Maps data to the drawing. ``x`` and ``y`` are (least, most) of the data; the y axis points upwards."""

    width: float
    height: float
    x: tuple[float, float]
    y: tuple[float, float]
    left: float = 44
    right: float = 14
    top: float = 12
    bottom: float = 42

    def at(self, x: float, y: float) -> tuple[float, float]:
        share_x = (x - self.x[0]) / (self.x[1] - self.x[0])
        share_y = (y - self.y[0]) / (self.y[1] - self.y[0])
        return (
            self.left + share_x * (self.width - self.left - self.right),
            self.height - self.bottom - share_y * (self.height - self.top - self.bottom),
        )

    def ground(self, ticks_x: Sequence[float], ticks_y: Sequence[float], name_x: str, name_y: str) -> str:
        """Grid lines with their figures, and the axes' names."""
        parts = []
        for tick in ticks_x:
            x, y = self.at(tick, self.y[0])
            parts.append(element("line", x1=x, y1=self.top, x2=x, y2=y, class_=_grid_class(tick, self.x)))
            parts.append(text(x, y + 15, _figure(tick), "tick middle"))
        for tick in ticks_y:
            x, y = self.at(self.x[0], tick)
            parts.append(
                element(
                    "line", x1=x, y1=y, x2=self.width - self.right, y2=y, class_=_grid_class(tick, self.y)
                )
            )
            parts.append(text(x - 6, y + 4, _figure(tick), "tick end"))
        middle = (self.left + self.width - self.right) / 2
        parts.append(text(middle, self.height - 6, name_x, "axis middle"))
        half = (self.top + self.height - self.bottom) / 2
        parts.append(
            f'<g transform="translate(12 {half:.1f}) rotate(-90)">{text(0, 0, name_y, "axis middle")}</g>'
        )
        return "".join(parts)


def _grid_class(tick: float, span: tuple[float, float]) -> str:
    """Zero in the midst of an axis is drawn stronger: it is the neutral line."""
    return "grid zero" if tick == 0 and span[0] < 0 < span[1] else "grid"


def _figure(tick: float) -> str:
    return f"{tick:g}".replace("-", "\u2212")
