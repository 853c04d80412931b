"""One card: design, placement, print-ready output."""

from tackside.card.design import Card, CardPicture, CardText
from tackside.card.layout import CardFace
from tackside.card.load import load_card
from tackside.card.make import CardSheet, boxes_mm, make_card

__all__ = ["Card", "CardFace", "CardPicture", "CardSheet", "CardText", "boxes_mm", "load_card", "make_card"]
