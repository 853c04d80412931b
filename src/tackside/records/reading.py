"""Reading: what came back from a trial, or a bare instrument file."""

from __future__ import annotations

from datetime import datetime
from typing import Annotated, Literal

from pydantic import Field

from tackside.messages.message import Message
from tackside.records.base import Record
from tackside.records.sheet_plan import Rgb

Lab = tuple[float, float, float]
# The hue angle in CIELAB, in degrees, by which an answer by eye names a tint.
TINT_HUES = {"red": 30.0, "yellow": 95.0, "green": 150.0, "cyan": 220.0, "blue": 285.0, "magenta": 345.0}
ReadingKind = Literal["scan", "instrument", "photo", "eye"]
# Which kind of reading of one print stands before which.
STANDING_ORDER: tuple[ReadingKind, ...] = ("instrument", "scan", "photo", "eye")
# Kinds whose colours are estimates: no instrument measured them.
ESTIMATES: tuple[ReadingKind, ...] = ("scan", "photo")
# What the key of a photograph's reading begins with; the key of the reading that it rests on follows.
PHOTO = "photo | "
MeasurementCondition = Literal["M0", "M1", "M2", "M3"]
# What a scanning program may have done: automatic tone or colour, sharpening, smoothing (descreening, noise removal),
# packing with loss, fewer bits than the file's, pixels made up between those that were scanned.
SpoiltSetting = Literal["tone", "sharpening", "smoothing", "jpeg", "depth", "enlarged"]


class PatchReading(Record):
    """One patch read back.

    ``lab`` is CIELAB D50 2° against the perfect diffuser (the paper's own white is not scaled away).
    ``sd`` is the ΔE*ab spread inside the patch (scan, photograph) or over repeats (instrument), None where unknown.
    ``rgb`` are the device numbers asked for, 0 to 1; ``cmyk`` likewise where the file has CMYK columns.
    """

    name: str
    rgb: Rgb | None
    cmyk: tuple[float, float, float, float] | None = None
    lab: Lab
    sd: float | None = None


class Placement(Record):
    """Where the print fell on the sheet.

    ``scale_x`` and ``scale_y`` are printed length over asked-for length along the sheet's width and height.
    ``rotation_deg`` is the turn of the print against the sheet, clockwise as seen, and ``offset_mm`` the shift
    (x right, y down) of the point where the sheet's top left corner was meant to be; both None where
    the sheet's edges do not show. ``skew_deg`` is how much further clockwise the print's vertical is turned than
    its horizontal, None in readings that did not measure it. ``residual_um`` is the RMS distance of the marks from
    the fitted map.
    """

    scale_x: float
    scale_y: float
    rotation_deg: float | None = None
    skew_deg: float | None = None
    offset_mm: tuple[float, float] | None = None
    residual_um: float
    marks_found: int


class Attribute(Record):
    """One print-quality attribute: its value, unit and standard deviation."""

    value: float
    unit: str
    sd: float | None = None


class Uncertainty(Record):
    """How far to trust the colours: ``de00`` is one standard uncertainty in ΔE00, ``basis`` says on what that rests.

    ``comparable_with`` is a key: two readings whose keys are equal may be ranked against each other (the same scanner
    and settings, or both ``"colorimetric"``: instruments). ``Reading.is_read_like`` knows of others, too.
    ``added_de00``: of a photograph, what it adds (in squares) to the uncertainty of the reading that it rests on; else
    None.
    """

    de00: Annotated[float, Field(ge=0)]
    basis: Message
    comparable_with: str
    added_de00: Annotated[float, Field(ge=0)] | None = None


class FileSays(Record):
    """What a scan's file says of how it was made; None where it says nothing.

    ``ppi`` to the next ten, ``bits`` a channel, ``profile`` as it describes itself and the SHA-256 of its bytes,
    ``settings`` (name, value) by the names of Exif's tags.
    """

    make: str | None = None
    model: str | None = None
    software: str | None = None
    ppi: int
    bits: int
    profile: str | None = None
    profile_sha256: str | None = None
    settings: tuple[tuple[str, float], ...] = ()

    @property
    def names_scanner(self) -> bool:
        """Whether make or model is told: a program alone may serve any scanner."""
        return self.make is not None or self.model is not None


class Source(Record):
    """A file that a reading came from."""

    name: str
    sha256: str


class Scanned(Record):
    """How a scan was made from here: what ``scanner`` was asked for, and what its file turned out to be.

    ``via``: how it was spoken to. ``format`` and ``asked_format`` are media types; ``ppi`` None where the file does not
    say. ``bits`` a channel: 8 where 16 were written that say no more.
    """

    scanner: str
    via: Literal["escl", "sane"]
    asked_ppi: int
    asked_bits: int
    asked_format: str
    asked_mm: tuple[float, float]
    ppi: float | None
    bits: int
    format: str
    width_px: int
    height_px: int

    @property
    def label(self) -> str:
        """Scanner and settings, as a reading's ``device`` names them: two scans of one label were made alike."""
        ppi = self.asked_ppi if self.ppi is None else round(self.ppi)
        kind = self.format.rpartition("/")[2].upper()
        return f"{self.scanner}, {ppi} ppi, {self.bits} bits, {kind}"


class Flaw(Record):
    """One thing that makes a reading's evidence unfit, or only weaker.

    ``code`` is that of the notice which tells of it. ``degree``, 0 to 1: 0.5 for evidence to be trusted less, 1 for
    evidence that nothing can be concluded from. With ``weakens_only`` the colours tell causes apart less, yet what
    they do tell may be sure: a scanner that cuts off a saturated solid.
    """

    code: str
    degree: Annotated[float, Field(ge=0, le=1)]
    weakens_only: bool = False


class Spoiling(Record):
    """One thing that was done to a scan before it came here, told from its pixels or its file.

    ``code`` is that of the notice which tells of it. ``amount`` in ``unit``: how strongly, by the figure that it is
    told by; ``confidence``, 0 to 1: how sure that it is this and nothing that a print or a scanner does by itself.
    ``degree`` is that of the flaw; 0: told, and the evidence is none the worse. ``part_px`` (left, top, right,
    bottom): where in the scan ``source_sha256`` it shows best; None where it shows all over.
    """

    code: str
    setting: SpoiltSetting
    amount: float
    unit: str
    confidence: Annotated[float, Field(ge=0, le=1)]
    degree: Annotated[float, Field(ge=0, le=1)]
    source_sha256: str
    part_px: tuple[int, int, int, int] | None = None


class Reading(Record):
    """What came back. ``id`` and ``trial`` are None for a bare file that no bench holds.

    ``flaws`` say by how much, and why, the evidence is unfit; nothing is read out of ``notices``, which are for
    people. Readings kept before there were flaws have none: of these, the attribute ``unfit`` alone is gone by.
    ``further_sources`` are the other files that it was joined from: more scans of the sheet, or the scan beside an
    instrument file. ``file_says``: what a scan's file tells of scanner and settings; None for other readings, for
    several scans that don't say the same, and for scans read before it was kept. ``scanned``: of a scan that was made
    from here, how. ``beside``: the trial whose print lay in the same photograph, None for other readings. ``spoilt``:
    what a scanning program did to the scans, whether or not it makes them unfit.
    """

    id: str | None = None
    trial: str | None = None
    kind: ReadingKind
    source_name: str
    source_sha256: str
    made_at: datetime
    device: str | None = None
    condition: MeasurementCondition | None = None
    profile: str | None = None
    patches: tuple[PatchReading, ...]
    placement: Placement | None = None
    attributes: dict[str, Attribute] = Field(default_factory=dict)
    uncertainty: Uncertainty
    notices: tuple[Message, ...] = ()
    flaws: tuple[Flaw, ...] = ()
    further_sources: tuple[Source, ...] = ()
    file_says: FileSays | None = None
    scanned: Scanned | None = None
    beside: str | None = None
    spoilt: tuple[Spoiling, ...] = ()

    @property
    def by_plain_scanner(self) -> bool:
        """Whether it is a scan whose colours stand as the scanner gave them, by no scanner that was learnt; or a
        photograph whose colours rest on such a scan.
        """
        return _plain_source(self) is not None

    def is_read_like(self, other: Reading) -> bool:
        """Whether the two may be ranked against each other: by instruments both, or with the same scanner and settings,
        as their labels say or all that their files say of it. A photograph's colours are those of the reading that
        they rest on.
        """
        mine, theirs = (each.uncertainty.comparable_with.removeprefix(PHOTO) for each in (self, other))
        if mine == theirs:
            return True
        says, sources = self.file_says, {_plain_source(self), _plain_source(other)}
        if None in sources or says is None or not says.names_scanner or says != other.file_says:
            return False
        # One may have a label and the other none; two labels are two scanners.
        return sum(source.startswith("device ") for source in sources if source is not None) < 2


def _plain_source(reading: Reading) -> str | None:
    """What a scan's key says of where it came from; None where its colours are corrected, unfit, or no scan's."""
    kind, _, rest = reading.uncertainty.comparable_with.removeprefix(PHOTO).partition(" | ")
    source, found, _ = rest.partition(" | ")
    return source if kind == "scan" and found and not source.startswith("scanner ") else None
