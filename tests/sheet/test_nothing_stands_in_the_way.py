"""Where blocks stand: off creases, margins and edges, never on each other, whatever the sheet."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from numpy.typing import NDArray

from tackside.fit.model import called
from tackside.records import SheetPlan
from tackside.records.stock import Direction
from tackside.sheet.page.text import width_mm
from tackside.sheet.plan import plan_sheet
from tackside.units import Box
from tests.sheet.sheets import CREASE_CLEAR_MM, EDGE_CLEAR_MM, STOCKS, TRIAL, plan, printer, stock

SLACK_MM = 0.03  # a dot at 600 ppi is 0.042 mm; sizes and places are snapped to whole dots


def blocks(sheet: SheetPlan) -> list[tuple[str, Box]]:
    """Everything that is measured or found, marks and tags with the white that they need."""
    return [
        *((patch.name, patch.box_mm) for patch in sheet.patches),
        *((target.name, target.box_mm) for target in sheet.targets),
        # One module of white round a mark (docs/sources.md, S19), four round a QR code (ISO/IEC 18004).
        *((f"mark-{mark.id}", mark.box_mm.shrunk(-mark.box_mm.w / 6)) for mark in sheet.marks),
        *(("tag", tag.box_mm.shrunk(-4 * tag.box_mm.w / 25)) for tag in sheet.tags),
    ]


def as_array(boxes: list[Box]) -> NDArray[np.float64]:
    return np.array([(box.x, box.y, box.right, box.bottom) for box in boxes])


def assert_sound(sheet: SheetPlan) -> None:
    named = blocks(sheet)
    edges = as_array([box for _, box in named])
    across = np.minimum(edges[:, None, 2], edges[None, :, 2]) - np.maximum(
        edges[:, None, 0], edges[None, :, 0]
    )
    along = np.minimum(edges[:, None, 3], edges[None, :, 3]) - np.maximum(
        edges[:, None, 1], edges[None, :, 1]
    )
    clash = (across > SLACK_MM) & (along > SLACK_MM)
    np.fill_diagonal(clash, False)
    pairs = [(named[i][0], named[j][0]) for i, j in np.argwhere(clash) if i < j]
    assert not pairs

    panels = {panel.name: panel for panel in sheet.panels}
    width, height = sheet.size_mm
    on_sheet = Box(0, 0, width, height).shrunk(EDGE_CLEAR_MM)
    for part in (*sheet.patches, *sheet.targets, *sheet.marks, *sheet.tags):
        box, panel = part.box_mm, panels[part.panel]
        assert panel.trim.contains(box, SLACK_MM)
        assert panel.printable.contains(box, SLACK_MM)
        if getattr(part, "kind", "") != "ruler":
            assert on_sheet.contains(box, SLACK_MM)
        for crease in sheet.creases:
            near, far = (box.x, box.right) if crease.direction == "vertical" else (box.y, box.bottom)
            assert (
                far <= crease.at_mm - CREASE_CLEAR_MM + SLACK_MM
                or near >= crease.at_mm + CREASE_CLEAR_MM - SLACK_MM
            )


def assert_words_keep_clear(sheet: SheetPlan) -> None:
    solid = as_array([box for _, box in blocks(sheet)])
    for caption in sheet.captions:
        length = width_mm(caption.text, caption.size_pt, caption.face, caption.spacing_em)
        left = caption.x_mm - {"left": 0, "centre": length / 2, "right": length}[caption.align]
        high = caption.size_pt * 25.4 / 72 * 0.68  # the fonts' capitals
        assert left >= EDGE_CLEAR_MM - 0.5
        assert left + length <= sheet.size_mm[0] - EDGE_CLEAR_MM + 0.5
        hit = (
            (solid[:, 0] < left + length)
            & (solid[:, 2] > left)
            & (solid[:, 1] < caption.y_mm)
            & (solid[:, 3] > caption.y_mm - high)
        )
        assert not hit.any(), caption.text


@pytest.mark.parametrize("name", STOCKS)
def test_blocks_of_common_sheets_keep_clear_of_each_other_and_of_creases(name: str) -> None:
    assert_sound(plan(name))
    assert_words_keep_clear(plan(name))


@settings(max_examples=40, deadline=None)
@given(
    width=st.integers(90, 330),
    height=st.integers(90, 490),
    folds=st.lists(
        st.tuples(st.sampled_from(["horizontal", "vertical"]), st.floats(0.15, 0.85)),
        max_size=2,
        unique_by=lambda f: f[0],
    ),
    borderless=st.booleans(),
    margin=st.floats(0, 12),
    side=st.sampled_from(["front", "back"]),
    ppi=st.sampled_from([300, 360, 600, 720]),
)
def test_blocks_of_any_sheet_keep_clear(
    width: int,
    height: int,
    folds: list[tuple[Direction, float]],
    borderless: bool,
    margin: float,
    side: str,
    ppi: float,
) -> None:
    creases = [(way, round(share * (height if way == "horizontal" else width), 1)) for way, share in folds]
    machine = printer(*([(width, height)] if borderless else []), margin=margin, tail=margin)
    sheet = plan_sheet(stock(width, height, *creases), machine, trial_id=TRIAL, side=side, ppi=ppi)  # type: ignore[arg-type]
    assert sheet.borderless == borderless
    assert_sound(sheet)
    assert_words_keep_clear(sheet)
    marked = {mark.panel for mark in sheet.marks}
    for panel in sheet.panels:
        assert panel.name in marked or any(
            each.value("panel") == called(panel.name) for each in sheet.notices
        )


def test_rulers_run_to_the_edge_of_a_borderless_sheet() -> None:
    sheet = plan_sheet(stock(210, 297), printer((210, 297)), trial_id=TRIAL)
    rulers = [target.box_mm for target in sheet.targets if target.kind == "ruler"]
    assert min(box.x for box in rulers) == 0
    assert min(box.y for box in rulers) == 0
    assert max(box.right for box in rulers) == pytest.approx(210, abs=0.05)
    assert max(box.bottom for box in rulers) == pytest.approx(297, abs=0.05)


def test_every_outer_side_of_every_panel_has_a_ruler() -> None:
    names = {target.name.rsplit("-", 1)[0] for target in plan("a4-folded").targets if target.kind == "ruler"}
    assert names == {
        *(f"ruler-back-{edge}" for edge in ("left", "top", "right")),
        *(f"ruler-front-{edge}" for edge in ("left", "bottom", "right")),
    }


def left_out(sheet: SheetPlan) -> set[str]:
    """The codes of the blocks that found no room."""
    return {each.values["block"].code for each in sheet.notices if each.code == "sheet.no-block"}  # type: ignore[union-attr]


def test_what_finds_no_room_is_left_out_with_a_notice() -> None:
    sheet = plan("small")
    assert not any(target.kind == "scene" for target in sheet.targets)
    assert "sheet.block-scene" in left_out(sheet)
    assert not any(target.kind == "bleed" for target in sheet.targets)
    assert "sheet.block-ink-on-ink" in left_out(sheet)


@pytest.mark.parametrize(
    ("width", "height", "fold"),
    [
        (210, 297, None),
        (148, 210, 105),
        (254, 178, None),
        (105, 148, None),
        (120, 250, None),
        (300, 210, 105),
    ],
)
def test_lines_of_ink_on_ink_stand_wherever_the_picture_does(
    width: int, height: int, fold: int | None
) -> None:
    creases: list[tuple[Direction, float]] = [] if fold is None else [("horizontal", fold)]
    sheet = plan_sheet(stock(width, height, *creases), printer(), trial_id=TRIAL)
    kinds = {target.kind for target in sheet.targets}
    assert {"scene", "bleed"} <= kinds
    assert "sheet.block-ink-on-ink" not in left_out(sheet)


def test_both_sides_of_a_card_have_the_same_layout() -> None:
    front, back = plan("a4-folded"), plan("a4-folded", side="back")
    assert [patch.box_mm for patch in front.patches] == [patch.box_mm for patch in back.patches]
    assert [patch.name for patch in front.patches] == [patch.name for patch in back.patches]
    assert [mark.box_mm for mark in front.marks] == [mark.box_mm for mark in back.marks]
    assert {panel.name for panel in back.panels} == {"inside-left", "inside-right"}


@pytest.mark.parametrize("size", [(90, 90), (148, 210), (210, 297)])
def test_long_names_shrink_instead_of_running_over(size: tuple[float, float]) -> None:
    long = stock(*size).model_copy(update={"name": "Büttenkarton Größe Æ " * 3 + "satin, heavy, ivory"})
    assert_words_keep_clear(plan_sheet(long, printer(), trial_id=TRIAL))
