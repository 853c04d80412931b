"""The pages of a chart: marks and rulers, a head with the tag, and the rows with their letters and numbers."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from tackside.errors import DoesNotFit
from tackside.profile.device.device_model import DeviceModel
from tackside.records import Bar, Caption, Patch, SheetPanel
from tackside.sheet.canvas import Grid
from tackside.sheet.chart.choice import chosen
from tackside.sheet.chart.cut import GAP_MM, ChartCut, columns_of, cut, holds, row_name, shared
from tackside.sheet.chart.order import arranged, repeats_for
from tackside.sheet.colours import Colour
from tackside.sheet.layout import Layout
from tackside.sheet.page import frame, marks, tags
from tackside.sheet.page.header import Head, head_with_tag
from tackside.sheet.page.headings import outline
from tackside.sheet.placed import Placed
from tackside.units import MM_PER_POINT, Box, Size

LEAST_PATCHES, MOST_PATCHES = 120, 1500  # docs/sources.md, S112
MOST_PAGES = 6
MARKS_A_PANEL = 4
_LETTERS_MM, _NUMBERS_MM = 4.4, 2.8
_LABEL_PT = 5.0
_LABEL_GAP_MM = 0.9
_LEAST_INNER_MM = 20.0
MOST_STRETCHED = 1.35  # a patch's sides, where rows have room to spare
_FAINT = 232  # of 255: patches so light get a hairline, else nobody sees where they are


@dataclass(frozen=True)
class ChartAsked:
    """``patches`` in all, repeats among them; ``least_mm``: how small their sides may be.

    ``known``: the printer with the stock as an earlier reading shows it.
    """

    patches: int
    least_mm: float
    known: DeviceModel | None = None


def lay_out_chart(
    panels: Sequence[SheetPanel], size: Size, grid: Grid, trial_id: str, head: Head, asked: ChartAsked
) -> Layout:
    """All pages of the chart, the fewest that hold it. Raises DoesNotFit where these are more than make sense."""
    grounds = [frame.ground(panel, size, grid) for panel in _in_reading_order(panels)]
    grounds = [on for on in grounds if min(on.inner.w, on.inner.h) > _LEAST_INNER_MM]
    bodies = [_body(on, on is _main(grounds), grid, trial_id, head) for on in grounds]
    found = _fewest([Size(body.w, body.h) for body in bodies], size, asked)
    ordered = iter(_patches(asked, found, trial_id))
    layout, row = Layout(pages=found.pages), 0
    for number, rows_on in enumerate(found.rows):
        page = Placed()
        page_head = _of_page(head, number + 1, found.pages)
        mark_ids = _mark_ids(number, found.pages, len(grounds))
        for on, body, lengths, (first, spare) in zip(grounds, bodies, rows_on, mark_ids, strict=True):
            its_marks = frame.place_marks(on, first, spare, grid)
            layout.marks += [mark.model_copy(update={"page": number + 1}) for mark in its_marks]
            page += Placed(targets=frame.place_rulers(on, its_marks, grid))
            if on is _main(grounds):
                words, tag, _ = head_with_tag(
                    on.inner, page_head, _tag(trial_id, number + 1), on.panel.name, grid
                )
                page += words
                layout.tags += [] if tag is None else [tag.model_copy(update={"page": number + 1})]
            page += _rows(body, lengths, row, ordered, on.panel.name, found.patch_mm, grid)
            row += len(lengths)
        layout.placed += _on_page(page, number + 1)
    return layout


def _in_reading_order(panels: Sequence[SheetPanel]) -> list[SheetPanel]:
    return sorted(panels, key=lambda panel: (panel.trim.y, panel.trim.x))


def _main(grounds: Sequence[frame.PanelGround]) -> frame.PanelGround:
    """The panel that bears head and tag: the largest, the first among equals."""
    return max(grounds, key=lambda on: round(on.inner.w * on.inner.h, 1))


def _tag(trial_id: str, page: int) -> str:
    return tags.tag_text(trial_id, page)


def _body(on: frame.PanelGround, is_main: bool, grid: Grid, trial_id: str, head: Head) -> Box:
    """The room for patches, without letters and numbers."""
    inner = on.inner
    if is_main:
        _, _, inner = head_with_tag(inner, head, _tag(trial_id, MOST_PAGES), on.panel.name, grid)
    return inner.inset(_LETTERS_MM, _NUMBERS_MM, 0, 0)


def _fewest(rooms: Sequence[Size], size: Size, asked: ChartAsked) -> ChartCut:
    most = max(MOST_PAGES if len(rooms) == 1 else marks.IDS // (MARKS_A_PANEL * max(len(rooms), 1)), 1)
    most = min(most, MOST_PAGES)
    for pages in range(1, most + 1):
        found = cut(rooms, shared(asked.patches, pages), asked.least_mm)
        if found is not None:
            return found
    hold = most * holds(rooms, asked.least_mm)
    raise DoesNotFit(
        "sheet.chart-too-large",
        patches=asked.patches, size_mm=size, least_mm=asked.least_mm, pages=most, most=hold,
    )  # fmt: skip


def _patches(asked: ChartAsked, found: ChartCut, trial_id: str) -> list[Colour]:
    repeats = repeats_for(found.pages)
    stretches = found.patches_on if found.pages > 1 else shared(asked.patches, 2)
    rows = [length for page in found.rows for panel in page for length in panel]
    return arranged(chosen(asked.patches - repeats.extra, asked.known), repeats, rows, stretches, trial_id)


def _mark_ids(page: int, pages: int, panels: int) -> list[tuple[int, int]]:
    """For each panel the first id of its marks, and how many it may have beyond the corners'."""
    each = marks.IDS // pages // panels
    return [((page * panels + panel) * each, each - MARKS_A_PANEL) for panel in range(panels)]


def _of_page(head: Head, page: int, pages: int) -> Head:
    return head if pages == 1 else replace(head, subtitle=f"{head.subtitle}, page {page} of {pages}")


def _on_page(placed: Placed, page: int) -> Placed:
    here = {"page": page}
    return Placed(
        patches=tuple(each.model_copy(update=here) for each in placed.patches),
        targets=tuple(each.model_copy(update=here) for each in placed.targets),
        captions=tuple(each.model_copy(update=here) for each in placed.captions),
        bars=tuple(each.model_copy(update=here) for each in placed.bars),
    )


def _rows(
    body: Box,
    lengths: Sequence[int],
    first_row: int,
    colours: Iterator[Colour],
    panel: str,
    patch_mm: float,
    grid: Grid,
) -> Placed:
    """The rows from the top of ``body``, letters before them and numbers above; full ones end flush at the right."""
    if not lengths:
        return Placed()
    columns = columns_of(body.w, patch_mm)
    across = (body.w + GAP_MM) / columns
    down = min((body.h + GAP_MM) / len(lengths), patch_mm * MOST_STRETCHED + GAP_MM)
    wide, tall = (_whole_dots(pitch - GAP_MM, grid) for pitch in (across, down))
    patches: list[Patch] = []
    bars: list[Bar] = []
    captions = [
        _label(str(column + 1), body.x + column * across + wide / 2, body.y - _LABEL_GAP_MM, "centre")
        for column in range(max(lengths))
    ]
    half_cap = 0.35 * _LABEL_PT * MM_PER_POINT
    for row, length in enumerate(lengths):
        letters, y = row_name(first_row + row), body.y + row * down
        captions.append(_label(letters, body.x - _LABEL_GAP_MM, y + tall / 2 + half_cap, "right"))
        for column in range(length):
            colour = next(colours)
            box = grid.box(body.x + column * across, y, wide, tall)
            patches.append(
                Patch(
                    name=f"{letters}{column + 1}", rgb=colour.rgb, box_mm=box, roles=colour.roles, panel=panel
                )
            )
            if min(colour.numbers) >= _FAINT:
                bars += outline(box, grid)
    return Placed(patches=tuple(patches), captions=tuple(captions), bars=tuple(bars))


def _whole_dots(length_mm: float, grid: Grid) -> float:
    """At most so long, and no part of a dot."""
    return grid.mm(int(length_mm / grid.mm(1) + 1e-6))


def _label(text: str, x_mm: float, y_mm: float, align: str) -> Caption:
    return Caption.model_validate(
        {"text": text, "x_mm": x_mm, "y_mm": y_mm, "size_pt": _LABEL_PT, "align": align, "grey": 0.25}
    )
