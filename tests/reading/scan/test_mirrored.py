"""A mirrored scan is called one, however many of its marks look the same in a mirror."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tackside.errors import BadScan
from tackside.messages.message import Message
from tackside.reading.scan.read import read_scan
from tackside.records import SheetPlan
from tackside.sheet.render import render
from tests.reading.scan.prints import planned
from tests.reading.scan.scans import lay_pixels, save

# Of the dictionary 4X4_50 these are read as themselves in a mirror (found by trying all fifty).
SYMMETRIC = (8, 9, 17, 47)


def with_symmetric_marks(plan: SheetPlan) -> SheetPlan:
    marks = tuple(
        mark.model_copy(update={"id": SYMMETRIC[place] if place < len(SYMMETRIC) else mark.id})
        for place, mark in enumerate(plan.marks)
    )
    return plan.model_copy(update={"marks": marks})


@pytest.mark.parametrize("symmetric", [False, True])
@pytest.mark.parametrize("axis", [0, 1])
def test_mirrored_is_the_reason_given(tmp_path: Path, symmetric: bool, axis: int) -> None:
    plan = with_symmetric_marks(planned()) if symmetric else planned()
    straight = lay_pixels(render(plan), plan, 200, 2.0).pixels
    assert len(read_scan(save(straight, tmp_path / "straight.png", ppi=200), plan).patches) == len(
        plan.patches
    )
    flipped = save(np.ascontiguousarray(np.flip(straight, axis)), tmp_path / "flipped.png", ppi=200)
    with pytest.raises(BadScan) as refusal:
        read_scan(flipped, plan)
    assert refusal.value.message == Message("scan.mirrored", file="flipped.png")
