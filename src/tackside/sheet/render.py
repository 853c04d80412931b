"""From the plan to pixels. The plan alone decides: the same plan gives the same bytes."""

from __future__ import annotations

from tackside.records import SheetPlan, Target
from tackside.sheet.blocks import bleed, edges, lines, ruler, scene, smudge, specimen
from tackside.sheet.canvas import Canvas, Image
from tackside.sheet.page import marks, tags
from tackside.sheet.page.text import draw_caption


def render(plan: SheetPlan, own: Image | None = None) -> Image:
    """A sheet of one page as (h, w, 3) bytes, in the plan's space or as bare device numbers.

    ``own``: the picture of one's own that the plan keeps a place for, in that space, no larger than the place.
    """
    canvas = Canvas(*plan.size_px, plan.ppi)
    for bar in plan.bars:
        canvas.fill(bar.box_mm, (bar.grey,) * 3)
    for patch in plan.patches:
        canvas.fill(patch.box_mm, patch.rgb)
    for target in plan.targets:
        _draw_target(canvas, target, plan, own)
    for caption in plan.captions:
        draw_caption(canvas, caption)
    for mark in plan.marks:
        marks.draw(canvas, mark)
    for tag in plan.tags:
        tags.draw(canvas, tag)
    return canvas.pixels


def _draw_target(canvas: Canvas, target: Target, plan: SheetPlan, own: Image | None) -> None:
    match target.kind:
        case "line":
            lines.draw(canvas, target)
        case "edge":
            edges.draw(canvas, target)
        case "text":
            specimen.draw(canvas, target)
        case "bleed":
            bleed.draw(canvas, target)
        case "smudge":
            smudge.draw(canvas, target)
        case "scene":
            scene.draw(canvas, target, plan.space, own)
        case "ruler":
            ruler.draw(canvas, target, plan.size_mm)
