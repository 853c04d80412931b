"""How a trial is drawn wherever it appears: a line pattern, a mark and a colour, so that colour is never
alone.
"""

from __future__ import annotations

from tackside.report.plots.svg import element, number

STYLES = 6


def style_of(index: int) -> int:
    """Which of the patterns, 1 to 6, the trial of this number in its group has."""
    return index % STYLES + 1


def mark(index: int, x: float, y: float, size: float = 4.5, fill: str | None = None) -> str:
    """The trial's mark, centred: disc, square, triangle, diamond, downward triangle or bar."""
    shape = index % STYLES
    class_ = f"mark s{style_of(index)}"
    paint = {} if fill is None else {"fill": fill}
    if shape == 0:
        return element("circle", cx=x, cy=y, r=size, class_=class_, **paint)
    corners = {
        1: ((-0.9, -0.9), (0.9, -0.9), (0.9, 0.9), (-0.9, 0.9)),
        2: ((0, -1.2), (1.1, 0.8), (-1.1, 0.8)),
        3: ((0, -1.25), (1.25, 0), (0, 1.25), (-1.25, 0)),
        4: ((0, 1.2), (1.1, -0.8), (-1.1, -0.8)),
        5: ((-1.3, -0.5), (1.3, -0.5), (1.3, 0.5), (-1.3, 0.5)),
    }[shape]
    points = " ".join(f"{number(x + size * dx)},{number(y + size * dy)}" for dx, dy in corners)
    return element("polygon", points=points, class_=class_, **paint)


def key(index: int) -> str:
    """The sample of line and mark that stands before the trial's name in a legend."""
    line = element("line", x1=1, y1=8, x2=39, y2=8, class_=f"line s{style_of(index)}")
    size = 'viewBox="0 0 40 16" width="40" height="16"'
    return f'<svg class="key" {size} aria-hidden="true">{line}{mark(index, 20, 8)}</svg>'


def sample(index: int) -> str:
    """The sample of a line that carries no marks."""
    line = element("line", x1=1, y1=8, x2=39, y2=8, class_=f"line s{style_of(index)}")
    return f'<svg class="key" viewBox="0 0 40 16" width="40" height="16" aria-hidden="true">{line}</svg>'
