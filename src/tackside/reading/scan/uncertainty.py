"""How far a scan's colours can be trusted, and with which other readings they may be compared."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tackside.messages.message import Message
from tackside.reading.scan.image_file import ScanImage
from tackside.records import Uncertainty
from tackside.units import MM_PER_INCH

# One standard uncertainty of a colour read by a scanner that nobody has characterised. Its filters are not the eye's;
# errors of 3 to 6 ΔE00 on prints are commonly reported. Common practice (docs/sources.md, S43).
PROFILED_DE00, ASSUMED_DE00 = 3.0, 5.0
# A file's word for its resolution is believed unless the marks gainsay it by more than any print is scaled by: a small
# card "fitted" into its margins shrinks by 7 %. Programs that lose the word write 72 or 96.
PPI_DISAGREES = 0.12


@dataclass(frozen=True)
class ScanSettings:
    """What two scans must share to be comparable, apart from the scanner itself."""

    ppi: int
    bits: int
    profile: str | None

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
    return ScanSettings(10 * round(ppi / 10), scan.bits, scan.profile_name)


def uncertainty_of(settings: ScanSettings, device: str | None, sha256: Sequence[str]) -> Uncertainty:
    """Trust in a reading from scans with these hashes.

    Two scans are alike only when the user says, by the same device label, that scanner and settings are the same;
    sheets in one scan always are.
    """
    if settings.profile is None:
        de00, basis = ASSUMED_DE00, Message("uncertainty.scan-no-profile")
    else:
        de00, basis = PROFILED_DE00, Message("uncertainty.scan-profile")
    source = f"device {device}" if device else "file " + "+".join(sorted(sha256))
    return Uncertainty(de00=de00, basis=basis, comparable_with=f"scan | {source} | {settings}")
