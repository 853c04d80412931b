"""What is to be said of a card's two faces: on which face of the stock each is printed, and how the sheet is turned."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from tackside.card.layout.layout import CardFace
from tackside.fit.advice import WRONG_SIDE
from tackside.fit.fold.outside import OTHER
from tackside.fit.model import Fit
from tackside.fit.placement.measured import PrintPath
from tackside.messages.message import Message
from tackside.records import Stock
from tackside.records.sheet_plan import Side


def of_fit(fit: Fit) -> tuple[Message, ...]:
    """What the fit warns of, but for the coating: of that ``on_faces`` speaks, which knows what is printed."""
    return tuple(each for each in fit.warnings if each not in WRONG_SIDE.values())


def on_faces(faces: Sequence[CardFace], stock: Stock, outside: Side, path: PrintPath) -> tuple[Message, ...]:
    """Remarks on the faces that hold something. ``stock`` and ``path`` are as the card sees them."""
    return tuple(_on_faces(faces, stock, outside, path))


def _on_faces(faces: Sequence[CardFace], stock: Stock, outside: Side, path: PrintPath) -> Iterator[Message]:
    for face in faces:
        if stock.coated == OTHER[face.side]:
            yield Message(
                "card-remark.on-bare-side",
                face=face_called(face),
                side=Message(f"fit.face-{stock_side(face, outside)}"),
            )
    if path.tried is False and {face.side for face in faces} == {"front", "back"}:
        second = next(face for face in faces if face.side == "back")
        yield Message("card-remark.second-side-untried", face=face_called(second))


def stock_side(face: CardFace, outside: Side) -> Side:
    """Which face of the stock a face of the card is printed on."""
    return outside if face.side == "front" else OTHER[outside]


def face_called(face: CardFace) -> Message:
    """A face of the card in words; of a flat card, its front or its back."""
    flat = len(face.panels) == 1
    return Message("panel.front" if flat and face.side == "front" else f"panel.{face.name}")
