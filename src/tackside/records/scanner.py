"""Scanner: what was learnt of one scanner: its colours on given inks, a target, and its own sharpness."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from pydantic import Field

from tackside.records.base import Record
from tackside.records.reading import Lab
from tackside.records.sheet_plan import Rgb

ModelKind = Literal["polynomial", "root-polynomial", "lab-polynomial", "table"]
Way = Literal["own-inks", "target"]
Row = tuple[float, float, float]


class ColourModel(Record):
    """A regression from a scan's linear channels to colour; ``tackside.reading.scanners.model`` says how it works.

    ``primaries``: (3, 3) rows X, Y, Z of the channels' full strength; ``tone``: exponents that straighten the
    channels; ``terms``: (n, 3) coefficients; ``centres`` (m, 3) and ``weights`` (m, 3) only for a table.
    """

    kind: ModelKind
    degree: int
    primaries: tuple[Row, Row, Row]
    tone: Row
    terms: tuple[Row, ...]
    centres: tuple[Row, ...] = ()
    weights: tuple[Row, ...] = ()
    smoothing: float = 0.0


class StripPatch(Record):
    """A patch of the control strip: the device numbers asked for, and what the scanner made of it then."""

    rgb: Rgb
    lab: Lab


class Characterisation(Record):
    """A colour model with what it holds for. ``de00_*``: cross-validated error; ``others`` its rivals' medians.

    ``trial``: the trial whose print it was learnt from; None for a target, and where it was not kept yet.

    ``settings`` are those of the scan (resolution left out: it does not change colours). ``strip`` shows drift.
    """

    way: Way
    inks: str
    surface: str
    stock: str
    settings: str
    learned_at: datetime
    patches: Annotated[int, Field(ge=1)]
    model: ColourModel
    de00_median: float
    de00_p95: float
    de00_rms: float
    de00_held_out: tuple[float, ...] = ()
    others: dict[str, float] = Field(default_factory=dict)
    strip: tuple[StripPatch, ...] = ()
    scan_sha256: str = ""
    data_sha256: str = ""
    trial: str | None = None


class Sharpness(Record):
    """The scanner's own response on a known sharp edge, along one axis of its files.

    ``axis``: ``x`` along the rows of the file, ``y`` along its columns. ``response`` at ``cycles_mm``, from 1 on.
    """

    axis: Literal["x", "y"]
    ppi: float
    cycles_mm: tuple[float, ...]
    response: tuple[float, ...]
    half_cycles_mm: float


class Scanner(Record):
    """One scanner by the name that its owner gives it; it counts only with the settings it was learnt with."""

    name: Annotated[str, Field(min_length=1, max_length=60)]
    characterisations: tuple[Characterisation, ...] = ()
    sharpness: tuple[Sharpness, ...] = ()


class UsedScanner(Record):
    """A scanner that was scanned from: where it is (``https://host/eSCL`` or ``sane:DEVICE``), and the SHA-256 of the
    certificate that it showed, None where it showed none."""

    name: str
    address: str
    certificate: str | None = None
    used_at: datetime
