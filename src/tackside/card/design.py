"""A card as its file tells it: which picture and which text stands on which panel."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated, Literal, Self

from pydantic import Field, StringConstraints, field_validator, model_validator

from tackside.bench.records import Record
from tackside.bench.records.sheet_plan import Space
from tackside.bench.records.stock import Name
from tackside.fit.model import Fold

# front, back, inside-left, inside-right; stocks with more creases have more (see the fit of the stock).
PanelName = Name
Share = Annotated[float, Field(ge=0, le=1)]


class CardPicture(Record):
    """A picture on a panel. ``fit = "fill"`` crops, ``"fit"`` keeps all of it.

    ``border_mm`` is measured from each of the panel's four edges, the crease being one of them. ``focus`` is
    the point [x, y], as shares of the upright picture's width and height, that a crop keeps nearest the
    middle.
    """

    panel: PanelName
    file: Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=500)]
    fit: Literal["fill", "fit"] = "fill"
    border_mm: Annotated[float, Field(ge=0, le=200)] = 0.0
    focus: tuple[Share, Share] = (0.5, 0.5)


class CardText(Record):
    """A few lines of text on a panel, centred across it; ``place`` says where along its height.

    Line breaks in ``text`` are kept; longer lines are broken between words.
    """

    panel: PanelName
    text: Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=2000)]
    size_pt: Annotated[float, Field(ge=3, le=200)] = 10.0
    face: Literal["sans", "serif"] = "sans"
    place: Literal["head", "middle", "foot"] = "middle"


class Card(Record):
    """One card design. ``folder`` is where its file lies; pictures are looked for there and below.

    ``fold`` says how the finished card stands: with its fold at the left or at the top. None: as the crease
    lies (vertical: left; horizontal: top). ``space`` is the working space that the output is written in.
    """

    stock: Name
    printer: Name
    fold: Fold | None = None
    space: Space = "srgb"
    pictures: tuple[CardPicture, ...] = ()
    texts: tuple[CardText, ...] = ()
    folder: Path = Path()

    @field_validator("pictures")
    @classmethod
    def _one_picture_a_panel(cls, pictures: tuple[CardPicture, ...]) -> tuple[CardPicture, ...]:
        panels = [picture.panel for picture in pictures]
        twice = next((panel for panel in panels if panels.count(panel) > 1), None)
        if twice:
            raise ValueError(f"the panel {twice} has two pictures, keep one of them")
        return pictures

    @model_validator(mode="after")
    def _something_to_print(self) -> Self:
        if not self.pictures and not self.texts:
            raise ValueError("the card holds neither a picture nor a text; add [[pictures]] or [[texts]]")
        return self
