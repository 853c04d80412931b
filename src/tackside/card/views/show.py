"""A card's preview or its folded view, written as a PNG."""

from __future__ import annotations

from pathlib import Path

import pyvips

from tackside.card.file.design import Card
from tackside.card.layout.layout import SIDES
from tackside.card.layout.zones import cut_panels
from tackside.card.make import LaidOut, refuse_broken_pictures
from tackside.card.views.folded import folded_view
from tackside.card.views.preview import preview, save_png
from tackside.fit.fold.panels import panels, with_outside
from tackside.records import Stock


def save_preview(card: Card, laid: LaidOut, stock: Stock, path: Path, *, folded: bool) -> None:
    """Draw the sheets as they are fed, or the finished card as it is held. Raises BadImage, StorageTrouble."""
    try:
        if folded:
            trim = laid.faces[0].trim
            stock = with_outside(stock, laid.outside_on)
            every = {
                side: cut_panels(panels(stock.open_size_mm, stock.creases, side, card.fold), trim)
                for side in SIDES
            }
            image = folded_view(laid.faces, every, laid.colour)
        else:
            image = preview(laid.faces, laid.colour)
    except pyvips.Error:
        refuse_broken_pictures(laid.faces)
        raise
    save_png(image, path)
