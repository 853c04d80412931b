"""What the bench knows of the faces that a card is printed on: how test prints on them were judged."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.bench.store import Bench
from tackside.card.checks.face_remarks import face_called, stock_side
from tackside.card.layout.layout import CardFace
from tackside.messages.message import Message
from tackside.records.sheet_plan import Side

POOR = ("draft", "reject")


def judged_faces(bench: Bench, stock: str, faces: Sequence[CardFace], outside: Side) -> tuple[Message, ...]:
    """A remark for each face that holds something and lies on a side whose latest test print is no better than a
    draft."""
    standing = {each.side: each for each in bench.catalogue.standing([stock]).get(stock, ())}
    found = []
    for face in faces:
        judged = standing.get(stock_side(face, outside))
        if judged is None or judged.grade not in POOR or face.is_empty:
            continue
        found.append(
            Message(
                "card-remark.on-poor-side",
                face=face_called(face),
                side=Message(f"fit.face-{judged.side}"),
                trial=judged.id,
                grade=Message(f"verdict.grade.{judged.grade}"),
            )
        )
    return tuple(found)
