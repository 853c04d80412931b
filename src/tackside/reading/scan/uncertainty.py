"""How far a scan's colours can be trusted, and with which other readings they may be compared."""

from __future__ import annotations

import hashlib
from collections.abc import Sequence
from dataclasses import dataclass
from math import hypot

from tackside.messages.message import Message
from tackside.profile.icc.inspect import profile_class
from tackside.reading.scan.image_file import ScanImage
from tackside.records import Reading, Uncertainty
from tackside.records.reading import FileSays
from tackside.units import MM_PER_INCH

# One standard uncertainty of a colour read by a scanner that nobody has characterised: its filters are not the eye's,
# and light strays (docs/sources.md, S43, S110). A working space says how numbers are coded, not how this scanner sees.
PROFILED_DE00, CODED_DE00, ASSUMED_DE00 = 3.0, 4.5, 5.0
# Colours that lie at the ends of the file's numbers may be richer than these can say, by up to 15 ΔE00 on photo card in
# sRGB: what that adds for each share of the patches, and at most.
ENDS_DE00, MOST_ENDS_DE00 = 20.0, 4.0
# A file's word for its resolution is believed unless the marks gainsay it by more than any print is scaled by: a small
# card "fitted" into its margins shrinks by 7 %. Programs that lose the word write 72 or 96.
PPI_DISAGREES = 0.12
# The notice of a reading whose scanner was named by what its file says.
REMEMBERED = "scan.scanner-remembered"


@dataclass(frozen=True)
class ScanSettings:
    """What two scans must share to be comparable, apart from the scanner itself.

    ``working_space``: whether the profile is no scanner's, but one of a space that pictures are kept in.
    """

    ppi: int
    bits: int
    profile: str | None
    working_space: bool = False

    @property
    def colours(self) -> str:
        """The part that colours depend on: the resolution does not change them."""
        return f"{self.bits} bits, {self.profile or 'sRGB assumed'}"

    @property
    def message(self) -> Message:
        if self.profile is None:
            return Message("scan.settings-no-profile", ppi=self.ppi, bits=self.bits)
        return Message("scan.settings", ppi=self.ppi, bits=self.bits, profile=self.profile)

    def __str__(self) -> str:
        return f"{self.ppi} ppi, {self.bits} bits, {self.profile or 'sRGB assumed'}"


def resolution(scan: ScanImage, px_per_mm: float) -> tuple[float, tuple[Message, ...]]:
    """The resolution (ppi) to reckon lengths with, and what there is to say about it.

    ``px_per_mm`` is what the marks say.
    """
    by_marks = px_per_mm * MM_PER_INCH
    if scan.stated_ppi is None:
        return by_marks, (Message("scan.no-resolution", file=scan.name, ppi=by_marks),)
    if abs(scan.stated_ppi / by_marks - 1.0) > PPI_DISAGREES:
        return by_marks, (
            Message("scan.resolution-differs", file=scan.name, stated=scan.stated_ppi, ppi=by_marks),
        )
    return scan.stated_ppi, ()


def settings_of(scan: ScanImage, ppi: float) -> ScanSettings:
    """``ppi`` is rounded to tens, since the marks' word for it carries the print's own scale."""
    working_space = scan.profile is not None and profile_class(scan.profile) != "input"
    return ScanSettings(10 * round(ppi / 10), scan.bits, scan.profile_name, working_space)


def file_says(scan: ScanImage, settings: ScanSettings) -> FileSays:
    """What the file tells of the scanner and its settings."""
    origin = scan.origin
    return FileSays(
        make=origin.make,
        model=origin.model,
        software=origin.software,
        ppi=settings.ppi,
        bits=settings.bits,
        profile=settings.profile,
        profile_sha256=None if scan.profile is None else hashlib.sha256(scan.profile).hexdigest(),
        settings=origin.settings,
    )


def uncertainty_of(
    settings: ScanSettings,
    device: str | None,
    sha256: Sequence[str],
    says: FileSays | None = None,
    *,
    at_ends: float = 0.0,
) -> Uncertainty:
    """Trust in a reading from scans with these hashes. ``at_ends``: the share of its patches, 0 to 1, that lie at the
    ends of the file's numbers.

    Two scans are alike where the user says, by the same device label, that scanner and settings are the same, or
    where their files name the scanner and say the same of everything; sheets in one scan always are.
    """
    if settings.profile is None:
        de00, basis = ASSUMED_DE00, Message("uncertainty.scan-no-profile")
    else:
        de00 = CODED_DE00 if settings.working_space else PROFILED_DE00
        basis = Message("uncertainty.scan-profile")
    de00 = round(hypot(de00, min(ENDS_DE00 * at_ends, MOST_ENDS_DE00)), 2)
    if device:
        source = f"device {device}"
    elif says is not None and says.names_scanner:
        told = hashlib.sha256(says.model_dump_json().encode()).hexdigest()[:16]
        source = f"told {says.make or ''} {says.model or ''} {told}"
    else:
        source = "file " + "+".join(sorted(sha256))
    return Uncertainty(de00=de00, basis=basis, comparable_with=f"scan | {source} | {settings}")


def under_name(reading: Reading, device: str) -> Reading:
    """A scan's reading as it would be had ``device`` been given; one with a label or a learnt scanner as it is."""
    before, found, rest = reading.uncertainty.comparable_with.partition("scan | ")
    source, _, settings = rest.partition(" | ")
    if not found or not source.startswith(("file ", "told ")):
        return reading
    trust = reading.uncertainty.model_copy(
        update={"comparable_with": f"{before}scan | device {device} | {settings}"}
    )
    note = Message(REMEMBERED, device=device)
    return reading.model_copy(
        update={"device": device, "uncertainty": trust, "notices": (*reading.notices, note)}
    )
