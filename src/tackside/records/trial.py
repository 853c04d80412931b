"""Trial: one test print, with every setting that could have changed it."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, ClassVar, Literal

from pydantic import Field, StringConstraints

from tackside.records.base import Record
from tackside.records.reading import Lab
from tackside.records.sheet_plan import Rgb, SheetPlan, Side, Space

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


class SentThrough(Record):
    """The profile that the sheet's own numbers were converted with when it was drawn, and what it promised.

    ``profile`` is its description, ``sha256`` that of its file. Of each patch, in the plan's order: ``numbers`` are
    those in the sheet's file, 0 to 1, and ``promised`` is its colour by the profile, CIELAB D50 2°, paper included.
    """

    profile: str
    sha256: str
    intent: Intent
    black_point_compensation: bool
    numbers: tuple[Rgb, ...]
    promised: tuple[Lab, ...]


class OwnPicture(Record):
    """The picture of one's own on a sheet: ``name`` as it came, ``sha256`` of its file, which the bench keeps."""

    name: str
    sha256: str


class Trial(Record):
    """One test print. ``stock_revision`` and ``printer_revision`` pin the records as they were that day.

    ``through``: the sheet's file holds numbers for the printer, converted by a profile; None where it holds the plan's.
    ``own_picture`` stands in the place that the plan keeps for it; None where the sheet has pictures of its own alone.
    ``practice``: printed by the virtual press to practise on, so that it is evidence of nothing.
    """

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
    through: SentThrough | None = None
    own_picture: OwnPicture | None = None
    practice: bool = False
