"""The open sheet drawn in letters: panels, crease and what the printer does not reach."""

from __future__ import annotations

from rich.text import Text

from tackside.fit.model import Fit, Panel

# A character cell is about twice as high as wide.
_CELL_ASPECT = 2.0
_MOST_COLUMNS = 30
_MOST_ROWS = 16
_FEWEST = 6

_TURNED = {0: "", 90: "turned right", 180: "upside down", 270: "turned left"}


def sheet_diagram(fit: Fit) -> Text:
    """The sheet as fed, its leading edge up. Dots: margin. Dashes: crease."""
    columns, rows = _cells(fit.size_mm)
    picture = [["·"] * columns for _ in range(rows)]
    scale = columns / fit.size_mm[0], rows / fit.size_mm[1]
    for panel in fit.panels:
        _clear(picture, panel, scale)
    for crease in fit.creases:
        if crease.direction == "horizontal":
            row = min(rows - 1, round(crease.at_mm * scale[1]))
            picture[row] = ["╌"] * columns
        else:
            column = min(columns - 1, round(crease.at_mm * scale[0]))
            for line in picture:
                line[column] = "╎"
    for panel in fit.panels:
        _label(picture, panel, scale)
    edge = "─" * columns
    body = "\n".join(f"│{''.join(line)}│" for line in picture)
    arrow = "▲ goes in first".center(columns + 2).rstrip()
    drawn = Text(f"{arrow}\n┌{edge}┐\n{body}\n└{edge}┘", no_wrap=True)
    drawn.highlight_regex(r"[·╌╎]+|▲ goes in first|turned \w+|upside down", "dim")
    drawn.highlight_regex(
        "|".join(part for panel in fit.panels for part in (panel.name, *panel.name.split("-"))), "bold"
    )
    return drawn


def _cells(size_mm: tuple[float, float]) -> tuple[int, int]:
    """Columns and rows in the sheet's proportions, as large as the limits allow."""
    width, height = size_mm
    per_column = max(width / _MOST_COLUMNS, height / (_MOST_ROWS * _CELL_ASPECT))
    return (
        max(_FEWEST, round(width / per_column)),
        max(_FEWEST // 2, round(height / per_column / _CELL_ASPECT)),
    )


def _clear(picture: list[list[str]], panel: Panel, scale: tuple[float, float]) -> None:
    """Blank what is printable; a margin is drawn at least a cell wide, as it would not show else."""
    box = panel.printable
    if not panel.is_reached:
        return
    right, bottom = len(picture[0]) / scale[0], len(picture) / scale[1]
    left = _first(box.x, scale[0])
    top = _first(box.y, scale[1])
    last_column = len(picture[0]) - _first(right - box.right, scale[0])
    last_row = len(picture) - _first(bottom - box.bottom, scale[1])
    if abs(box.right - panel.trim.right) < 1e-6:  # nothing is bare there: as far as the next panel begins
        last_column = round(box.right * scale[0])
    if abs(box.bottom - panel.trim.bottom) < 1e-6:
        last_row = round(box.bottom * scale[1])
    for line in picture[top:last_row]:
        line[left:last_column] = " " * max(0, last_column - left)


def _first(distance_mm: float, scale: float) -> int:
    """How many cells a distance from the edge covers: none for none, else one at least."""
    return 0 if distance_mm < 1e-6 else max(1, round(distance_mm * scale))


def _label(picture: list[list[str]], panel: Panel, scale: tuple[float, float]) -> None:
    x, y = panel.trim.centre
    room = round(panel.trim.w * scale[0]) - 1
    name = [panel.name] if len(panel.name) <= room else panel.name.replace("-", "-\n").split("\n")
    words = [*name, *filter(None, [_TURNED[panel.turn_deg]])]
    row = round(y * scale[1]) - len(words) // 2
    for number, word in enumerate(words):
        shown = word[: max(0, room)]
        start = max(0, round(x * scale[0] - len(shown) / 2))
        line = picture[min(len(picture) - 1, max(0, row + number))]
        line[start : start + len(shown)] = shown[: len(line) - start]
