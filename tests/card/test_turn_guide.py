"""The second-side guide has room on every sheet down to the smallest, its words clear of its marks."""

from __future__ import annotations

from itertools import combinations

import pytest

from tackside.card.views.turn_guide import SMALLEST_MM, guide
from tackside.errors import DoesNotFit
from tackside.records import Feed, Printer
from tackside.units import Box

SIZES = [
    (SMALLEST_MM, SMALLEST_MM), (89.0, 127.0), (127.0, 89.0), (100.0, 100.0), (105.0, 148.0), (148.0, 105.0),
    (SMALLEST_MM, 297.0), (297.0, SMALLEST_MM), (148.0, 210.0), (210.0, 297.0),
]  # fmt: skip


def _printer(name: str = "Tern 8") -> Printer:
    feed = Feed(name="rear", min_size_mm=(50, 50), max_size_mm=(330, 330))
    return Printer(name=name, grid_ppi=600, feeds=(feed,))


def _apart(one: Box, other: Box) -> bool:
    return one.right <= other.x or other.right <= one.x or one.bottom <= other.y or other.bottom <= one.y


@pytest.mark.parametrize("size_mm", SIZES)
@pytest.mark.parametrize(
    "name", ["Tern 8", "The long old printer that stands in the hall of the upper floor"]
)
def test_the_guide_has_room_and_its_texts_stand_apart(size_mm: tuple[float, float], name: str) -> None:
    laid = guide(_printer(name), "rear", size_mm)
    for face in laid.faces:
        printable = face.fit.panels[0].printable
        for text in face.texts:
            assert printable.contains(text.box_mm)
        for one, other in combinations(face.texts, 2):
            assert _apart(one.box_mm, other.box_mm), (one.asked.text, other.asked.text)
        (foot, head) = face.rules[0].start, face.rules[0].end
        assert foot[1] > head[1]  # the arrow points to the top


def test_a_smaller_sheet_is_refused() -> None:
    with pytest.raises(DoesNotFit) as caught:
        guide(_printer(), "rear", (SMALLEST_MM - 1, 120.0))
    assert caught.value.message.code == "card.guide-without-room"
