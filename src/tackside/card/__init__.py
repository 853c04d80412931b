"""One card: design, placement, print-ready output."""

from tackside.card.boxes import boxes_mm
from tackside.card.design import Card, CardPicture, CardText
from tackside.card.layout import CardFace
from tackside.card.load import load_card
from tackside.card.make import CardSheet, PrintPath, make_card
from tackside.card.output import Output

__all__ = [
    "Card",
    "CardFace",
    "CardPicture",
    "CardSheet",
    "CardText",
    "Output",
    "PrintPath",
    "boxes_mm",
    "load_card",
    "make_card",
]
