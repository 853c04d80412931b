"""A run as its file tells it: which cards, how many, what everything costs, and the rule for the price."""

from __future__ import annotations

from datetime import date, time
from decimal import Decimal
from pathlib import Path
from typing import Annotated, Any, ClassVar, Literal, Self

from pydantic import BeforeValidator, Field, StringConstraints, field_validator, model_validator

from tackside.files.record_faults import Inconsistent
from tackside.files.record_faults import Path as FieldPath
from tackside.records import Pack, Record
from tackside.records.stock import Name
from tackside.records.trial import ShortText

MOST_CARDS = 1_000_000


def _exact(given: Any) -> Any:
    if isinstance(given, float):
        raise Inconsistent("run.money-without-quotes", example=f"{given:.2f}")
    return given


Currency = Annotated[str, StringConstraints(pattern=r"^[A-Z]{3}$")]
Amount = Annotated[Decimal, BeforeValidator(_exact), Field(ge=0, max_digits=12, decimal_places=4)]
Minutes = Annotated[float, Field(ge=0, le=10_000)]
Share = Annotated[float, Field(ge=0, lt=1)]
FileName = Annotated[str, StringConstraints(strip_whitespace=True, min_length=1, max_length=500)]
Quantity = Annotated[int, Field(gt=0, le=MOST_CARDS)]
LengthMm = Annotated[float, Field(gt=0, le=2000)]
Gap = Annotated[float, Field(ge=0, le=500)]
Day = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]


class RunCard(Record):
    """One design in the run.

    Either ``file`` (a card file beside the run file) or ``stock``, ``printer`` and ``ink_ml`` (ml a sheet, all faces).
    ``recipients`` is a CSV file beside the run file for a personalised card: a row a card. ``setting`` is the media
    setting and quality in the driver; cards that share stock, printer and setting are printed together. ``label`` is
    what stands on each card's label: ``{card}``, ``{price}``, and ``{name}`` for any column of the list.
    """

    name: Name
    quantity: Quantity | None = None
    file: FileName | None = None
    recipients: FileName | None = None
    stock: Name | None = None
    printer: Name | None = None
    ink_ml: Annotated[float, Field(ge=0, le=1000)] | None = None
    setting: ShortText = "as usual"
    faces: Annotated[int, Field(ge=1, le=2)] | None = None
    cards_per_sheet: Annotated[int, Field(ge=1, le=100)] = 1
    label: Annotated[str, StringConstraints(max_length=500)] | None = None

    @model_validator(mode="after")
    def _is_whole(self) -> Self:
        if (self.quantity is None) == (self.recipients is None):
            raise Inconsistent("run.quantity-or-list", at=("quantity",), card=self.name)
        missing = next((name for name in ("ink_ml", "stock", "printer") if getattr(self, name) is None), None)
        if self.file is None and missing is not None:
            raise Inconsistent("run.design-or-ink", at=(missing,), card=self.name)
        return self


class Ink(Record):
    """What ink costs: a cartridge, or a set of them, of ``ml`` millilitres in all."""

    ml: Annotated[float, Field(gt=0, le=100_000)]
    price: Amount
    currency: Currency


class Labour(Record):
    """Working time: ``rate`` is money an hour. The minutes' defaults are assumptions of this program."""

    rate: Amount
    setup_minutes: Minutes = 15.0
    minutes_per_sheet: Minutes = 1.0
    minutes_per_card: Minutes = 2.0


class Equipment(Record):
    """A machine's price, spread over the sheets of its life."""

    price: Amount
    lifetime_sheets: Annotated[int, Field(gt=0, le=100_000_000)]


class Postage(Record):
    """What the post takes for one card, as it stood on a day; ``service`` is the post's own name for it.

    It is held against the limits that ``tackside fit`` knows (``post.toml``), of ``country`` or of any.
    """

    service: ShortText
    price: Amount
    dated: date
    country: Name | None = None


class Extra(Record):
    """Anything else: a stall, ribbon, a card board box."""

    name: ShortText
    price: Amount
    per: Literal["card", "sheet", "run"] = "run"


class Waste(Record):
    """Spoilage and set-up sheets by the user's own say; None: from the log, else the usual figures."""

    spoiled_share: Annotated[float, Field(ge=0, le=0.9)] | None = None
    setup_sheets: Annotated[int, Field(ge=0, le=1000)] | None = None


class Pricing(Record):
    """The rule: wholesale = cost × (1 + profit), retail = wholesale × factor × (1 + tax), each raised to ``step``."""

    profit: Annotated[float, Field(ge=0, le=100)] = 0.2
    retail_factor: Annotated[float, Field(ge=1, le=100)] = 2.0
    tax: Annotated[float, Field(ge=0, le=1)] = 0.0
    step: Annotated[Decimal, BeforeValidator(_exact), Field(gt=0, max_digits=12, decimal_places=4)] | None = (
        None
    )


class WorkingHours(Record):
    """When someone is there to print, and how printing goes. Defaults are assumptions of this program, but for drying:
    touch-dry after 5 to 30 minutes, 24 to 48 hours before sleeving (docs/sources.md, S58)."""

    start: date
    days: tuple[Day, ...] = ("mon", "tue", "wed", "thu", "fri")
    from_time: time = time(9)
    to_time: time = time(17)
    print_minutes: Annotated[float, Field(gt=0, le=600)] = 3.0
    touch_dry_minutes: Annotated[float, Field(ge=0, le=1440)] = 30.0
    sleeve_after_hours: Annotated[float, Field(ge=0, le=1000)] = 24.0
    drying_places: Annotated[int, Field(gt=0, le=100_000)] | None = None

    @model_validator(mode="after")
    def _there_is_time(self) -> Self:
        if not self.days or self.to_time <= self.from_time:
            raise Inconsistent("run.no-working-time", at=("to_time",) if self.days else ("days",))
        return self


class LabelSheet(Record):
    """A sheet of labels, as its pack says: A4 with 3 × 8 labels of 70 × 37 mm where nothing is said
    (docs/sources.md, S12).

    ``margin_mm`` is [left, top] to the first label, ``pitch_mm`` from one label to the next; None: side by side.
    ``fonts`` are files beside the run file, for what the shipped fonts lack.
    """

    page_mm: tuple[LengthMm, LengthMm] = (210.0, 297.0)
    columns: Annotated[int, Field(ge=1, le=20)] = 3
    rows: Annotated[int, Field(ge=1, le=50)] = 8
    size_mm: tuple[LengthMm, LengthMm] = (70.0, 37.0)
    margin_mm: tuple[Gap, Gap] = (0.0, 0.5)
    pitch_mm: tuple[LengthMm, LengthMm] | None = None
    fonts: tuple[Annotated[str, Field(min_length=1, max_length=500)], ...] = ()

    @model_validator(mode="after")
    def _fits_its_page(self) -> Self:
        counts = (self.columns, self.rows)
        pitch = self.pitch_mm or self.size_mm
        codes = (
            ("columns", "run.labels-too-wide", "run.labels-overlap-across"),
            ("rows", "run.labels-too-high", "run.labels-overlap-down"),
        )
        for axis, (count, too_far, overlap) in enumerate(codes):
            reach = self.margin_mm[axis] + (counts[axis] - 1) * pitch[axis] + self.size_mm[axis]
            if reach > self.page_mm[axis] + 0.01:
                raise Inconsistent(too_far, at=(count,), needed_mm=reach, page_mm=self.page_mm[axis])
            if pitch[axis] < self.size_mm[axis]:
                raise Inconsistent(
                    overlap, at=("pitch_mm", axis), pitch_mm=pitch[axis], label_mm=self.size_mm[axis]
                )
        return self


class Run(Record):
    """A production order. ``folder`` is where its file lies; card files and lists are looked for there and below.

    ``stock_prices`` stand in for the packs of the stock records; ``on_hand`` are sheets in the drawer, of each stock;
    ``inks`` and ``equipment`` go by the printer's name. ``instead`` names stocks for the question "what if?".
    """

    KIND: ClassVar[str] = "run"

    name: Name
    currency: Currency
    cards: Annotated[tuple[RunCard, ...], Field(min_length=1, max_length=1000)]
    inks: dict[Name, Ink] = Field(default_factory=dict)
    stock_prices: dict[Name, Pack] = Field(default_factory=dict)
    on_hand: dict[Name, Annotated[int, Field(ge=0, le=MOST_CARDS)]] = Field(default_factory=dict)
    envelopes: Pack | None = None
    sleeves: Pack | None = None
    labour: Labour | None = None
    equipment: dict[Name, Equipment] = Field(default_factory=dict)
    postage: Postage | None = None
    extras: tuple[Extra, ...] = ()
    waste: Waste = Waste()
    pricing: Pricing = Pricing()
    calendar: WorkingHours | None = None
    labels: LabelSheet = LabelSheet()
    instead: tuple[Name, ...] = ()
    folder: Path = Path()

    @field_validator("cards")
    @classmethod
    def _names_differ(cls, cards: tuple[RunCard, ...]) -> tuple[RunCard, ...]:
        names: set[str] = set()
        for number, card in enumerate(cards):
            if card.name in names:
                raise Inconsistent("run.cards-alike", at=(number, "name"), name=card.name)
            names.add(card.name)
        return cards

    @model_validator(mode="after")
    def _one_currency(self) -> Self:
        priced: list[tuple[str, FieldPath, Pack | Ink]] = [
            *(("ink", ("inks", name), ink) for name, ink in self.inks.items()),
            *(("pack", ("stock_prices", name), pack) for name, pack in self.stock_prices.items()),
            *((word, (word,), pack) for word in ("envelopes", "sleeves") if (pack := getattr(self, word))),
        ]
        for what, at, price in priced:
            if price.price is None:
                raise Inconsistent(f"run.{what}-without-a-price", at=(*at, "price"), name=at[-1])
            if price.currency != self.currency:
                raise Inconsistent(
                    f"run.{what}-in-another-currency", at=(*at, "currency"),
                    name=at[-1], currency=price.currency, run_currency=self.currency,
                )  # fmt: skip
        return self
