"""A photograph of two sheets side by side on a table, to try a phone's page with: rendered, a little askew."""

from __future__ import annotations

from collections.abc import Sequence

import cv2
import numpy as np
from numpy.typing import NDArray

from tackside.records import SheetPlan
from tackside.sheet.render import render

PX_PER_MM = 9.0
TABLE = (168, 150, 128)


def photo_of(
    plans: Sequence[SheetPlan], *, px_per_mm: float = PX_PER_MM, lift: float = 0.0
) -> NDArray[np.uint8]:
    """(h, w, 3), sRGB: the sheets 15 mm apart, turned by up to 2°, light falling off by a fifth to the right.

    ``lift``: how far black is lifted, 0 to 1, as a poor card would.
    """
    gap, rim = 15.0, 22.0
    sizes = [plan.by_page[0].size_mm for plan in plans]
    width = sum(size[0] for size in sizes) + gap * (len(plans) - 1) + 2 * rim
    height = max(size[1] for size in sizes) + 2 * rim
    shape = round(height * px_per_mm), round(width * px_per_mm)
    seen = np.empty((*shape, 3), np.float32)
    seen[:] = TABLE
    left = rim
    for number, (plan, size) in enumerate(zip(plans, sizes, strict=True)):
        drawn = np.ascontiguousarray(render(plan)).astype(np.float32)
        if drawn.max() > 255:
            drawn /= 257
        drawn = 250 * (lift + (1 - lift) * drawn / 255) if number == 0 else 0.98 * drawn
        corners = np.float32([(0, 0), (size[0], 0), size, (0, size[1])])  # type: ignore[arg-type]
        angle = np.radians((1.6, -1.1)[number % 2])
        turn = np.array([[np.cos(angle), -np.sin(angle)], [np.sin(angle), np.cos(angle)]])
        middle = np.array(size) / 2
        there = ((corners - middle) @ turn.T + middle + (left, rim)) * px_per_mm
        there[:2, 0] += np.float32([6, -6])  # the far edge is a little shorter
        own = corners * plan.ppi / 25.4
        way = cv2.getPerspectiveTransform(own.astype(np.float32), there.astype(np.float32))
        flags = cv2.INTER_AREA
        laid = cv2.warpPerspective(drawn, way, shape[::-1], flags=flags)
        inside = cv2.warpPerspective(np.ones(drawn.shape[:2], np.float32), way, shape[::-1])
        seen = np.where(inside[..., None] > 0.5, laid, seen)
        left += size[0] + gap
    light = np.linspace(1.0, 0.8, shape[1], dtype=np.float32)[None, :, None]
    rng = np.random.default_rng(4)
    noisy = cv2.GaussianBlur(seen * light * 0.93, (0, 0), 0.8) + rng.normal(0, 1.5, (*shape, 1))
    return np.clip(noisy, 0, 255).astype(np.uint8)
