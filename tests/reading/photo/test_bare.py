"""Bare card is sought where nothing is printed."""

from __future__ import annotations

import numpy as np

from tackside.reading.photo.bare import PLACE_MM, bare_places
from tests.sheet import sheets


def test_places_of_bare_card_are_white_on_the_drawn_sheet_and_lie_all_over_it() -> None:
    plan, image = sheets.plan("a5-folded"), sheets.image("a5-folded")
    places = bare_places(plan)
    assert len(places) > 60
    per_mm = plan.ppi / 25.4
    for x, y in places:
        left, top, right, bottom = (
            round(edge * per_mm)
            for edge in (x - PLACE_MM / 2, y - PLACE_MM / 2, x + PLACE_MM / 2, y + PLACE_MM / 2)
        )
        assert image[top:bottom, left:right].min() == 255, (x, y)
    for crease in plan.creases:
        assert np.abs(places[:, 1] - crease.at_mm).min() > 2.0
    width, height = plan.size_mm
    quarters = {(bool(x > width / 2), bool(y > height / 2)) for x, y in places}
    assert len(quarters) == 4
