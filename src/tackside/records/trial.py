"""Trial: one test print, with every setting that could have changed it."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, ClassVar, Literal

from pydantic import Field, StringConstraints

from tackside.records.base import Record
from tackside.records.sheet_plan import SheetPlan, Side, Space

ColourManagedBy = Literal["application", "driver", "nobody"]
Intent = Literal["perceptual", "relative", "saturation", "absolute"]
ShortText = Annotated[str, StringConstraints(strip_whitespace=True, max_length=200)]


class Settings(Record):
    """How the sheet was printed. None: the user has not said (yet)."""

    KIND: ClassVar[str] = "settings"

    media_setting: ShortText | None = None
    quality: ShortText | None = None
    colour_managed_by: ColourManagedBy | None = None
    profile: ShortText | None = None
    intent: Intent | None = None
    black_point_compensation: bool | None = None
    source_space: Space | None = None
    lamp: ShortText | None = None
    drying_hours: Annotated[float, Field(ge=0, le=10_000)] | None = None
    notes: Annotated[str, StringConstraints(max_length=10_000)] = ""


class Trial(Record):
    """One test print. ``stock_revision`` and ``printer_revision`` pin the records as they were that day."""

    id: str
    stock: str
    stock_revision: int
    printer: str
    printer_revision: int
    feed: str
    side: Side
    settings: Settings = Settings()
    sheet: SheetPlan
    made_at: datetime
