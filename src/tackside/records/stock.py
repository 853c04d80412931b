"""Stock: one card stock as bought."""

from __future__ import annotations

from decimal import Decimal
from typing import Annotated, ClassVar, Literal, Self

from pydantic import Field, StringConstraints, model_validator

from tackside.files.record_faults import Inconsistent
from tackside.records.base import Record

Name = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=80)]
LengthMm = Annotated[float, Field(gt=0, le=2000)]
SizeMm = tuple[LengthMm, LengthMm]

Base = Literal["photo", "matt", "cotton", "plain", "unknown"]
CoatedSides = Literal["front", "back", "both", "none", "unknown"]
CoatingFoundBy = Literal["damp-fingertip", "maker", "two-sided-trial", "not-checked"]
Direction = Literal["horizontal", "vertical"]
Folds = Literal["in", "out"]


class Crease(Record):
    """A crease right across the open sheet.

    A horizontal crease is parallel to the width and ``at_mm`` counts from the top edge; a vertical
    one is parallel to the height and ``at_mm`` counts from the left edge. It folds ``in`` where the inside faces
    meet; every other crease of an accordion folds ``out``.
    """

    direction: Direction
    at_mm: LengthMm
    folds: Folds = "in"


class Pack(Record):
    """How the stock is sold: how many sheets for what money."""

    count: Annotated[int, Field(gt=0, le=100_000)]
    price: Annotated[Decimal, Field(ge=0, max_digits=10, decimal_places=4)] | None = None
    currency: Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")] | None = None

    @model_validator(mode="after")
    def _price_has_a_currency(self) -> Self:
        if self.price is not None and self.currency is None:
            raise Inconsistent("record.price-without-currency", at=("currency",))
        if self.currency is not None and self.price is None:
            raise Inconsistent("record.currency-without-price", at=("price",))
        return self


class Stock(Record):
    """One card stock as bought: what the pack says and what a tester found out.

    ``open_size_mm`` is [width, height] as fed, before folding. ``caliper_mm`` is measured with a
    caliper, never inferred from the weight.
    """

    KIND: ClassVar[str] = "stock"

    name: Name
    base: Base = "unknown"
    surface: Annotated[str, StringConstraints(strip_whitespace=True, max_length=40)] = "unknown"
    weight_gsm: Annotated[float, Field(gt=0, le=2000)] | None = None
    caliper_mm: Annotated[float, Field(gt=0, le=5)] | None = None
    coated: CoatedSides = "unknown"
    coated_found_by: CoatingFoundBy = "not-checked"
    open_size_mm: SizeMm
    creases: tuple[Crease, ...] = ()
    pack: Pack | None = None
    sheets_on_hand: Annotated[int, Field(ge=0, le=1_000_000)] | None = None
    sold_for_inkjet: bool | None = None
    notes: Annotated[str, StringConstraints(max_length=10_000)] = ""

    @model_validator(mode="after")
    def _creases_cross_the_sheet(self) -> Self:
        width, height = self.open_size_mm
        for number, crease in enumerate(self.creases):
            limit = height if crease.direction == "horizontal" else width
            if crease.at_mm >= limit:
                raise Inconsistent(
                    f"record.{crease.direction}-crease-outside",
                    at=("creases", number, "at_mm"), at_mm=crease.at_mm, limit_mm=limit,
                )  # fmt: skip
        return self
