"""A card says so where it is printed on a side whose latest test print is no better than a draft."""

from __future__ import annotations

from datetime import UTC, datetime
from types import SimpleNamespace
from typing import cast

import pytest

from tackside.bench.repositories.catalogue import StandingTrial
from tackside.bench.store import Bench
from tackside.card.layout.layout import CardFace
from tackside.messages.message import Message
from tackside.records.sheet_plan import Side
from tackside.records.verdict import Grade
from tackside.workflow.cards.make import judged_faces


def bench(**grades: Grade) -> Bench:
    standing = tuple(
        StandingTrial(cast(Side, side), f"T-{side}", datetime.now(UTC), grade, "none")
        for side, grade in grades.items()
    )
    return cast(
        Bench, SimpleNamespace(catalogue=SimpleNamespace(standing=lambda stocks: {stocks[0]: standing}))
    )


def faces(*sides: Side) -> list[CardFace]:
    names = {"front": "outside", "back": "inside"}
    return [
        cast(CardFace, SimpleNamespace(side=each, name=names[each], panels=(1, 2), is_empty=False))
        for each in sides
    ]


@pytest.mark.parametrize(
    ("outside", "grades", "told"),
    [
        ("front", {"front": "draft"}, [("outside", "front", "draft")]),
        ("back", {"front": "reject"}, [("inside", "front", "reject")]),
        ("back", {"back": "sell", "front": "send"}, []),
        ("front", {}, []),
    ],
)
def test_what_is_printed_on_a_poor_side_is_told(
    outside: Side, grades: dict[str, Grade], told: list[tuple[str, str, str]]
) -> None:
    found = judged_faces(bench(**grades), "S", faces("front", "back"), outside)
    assert [(each.value("face"), each.value("side"), each.value("grade")) for each in found] == [
        (Message(f"panel.{face}"), Message(f"fit.face-{side}"), Message(f"verdict.grade.{grade}"))
        for face, side, grade in told
    ]
