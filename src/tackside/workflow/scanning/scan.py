"""One sheet scanned from here: the scanner chosen, asked for what a reading needs, its file looked into."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from tackside.bench.repositories.used_scanners import UsedScanners
from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.reading.scanning.delivered import delivered
from tackside.reading.scanning.escl_job import PATIENT, Patience, scan_by_escl
from tackside.reading.scanning.sane import scan_by_sane
from tackside.reading.scanning.wish import PPI, ScanAsked, ScanWish
from tackside.records.reading import Scanned
from tackside.records.scanner import UsedScanner
from tackside.workflow.progress import Progress, unheard
from tackside.workflow.scanning.address import SANE, address_of, require_own_device, scanner_at
from tackside.workflow.scanning.left_job import noted_job
from tackside.workflow.scanning.made import MadeScan
from tackside.workflow.sent_files import SentFile

Stop = Callable[[], bool]
_DOING = {
    "asking": Message("progress.asking-scanner"),
    "waiting": Message("progress.waiting-for-scanner"),
    "scanning": Message("progress.scanning"),
}


@dataclass(frozen=True)
class ScanOrder:
    """How a person wants to scan. ``scanner``: its address, or the name of one that was used before; None: the last.

    ``name`` is what it announced itself as. ``new_certificate``: the person says that it is the same scanner though it
    shows another certificate than before.
    """

    scanner: str | None = None
    name: str | None = None
    ppi: int = 300
    whole_glass: bool = False
    new_certificate: bool = False

    def as_data(self) -> dict[str, Any]:
        return asdict(self)


def never() -> bool:
    """Nobody stops it."""
    return False


def used_scanners(bench: Bench) -> tuple[UsedScanner, ...]:
    """The scanners that were scanned from, the last used first."""
    return UsedScanners(bench.folder).list()


def scan_sheet(
    bench: Bench,
    order: ScanOrder,
    folder: Path,
    *,
    trial: str | None = None,
    progress: Progress = unheard,
    stop: Stop = never,
    nearby_only: bool = False,
    patience: Patience = PATIENT,
) -> MadeScan:
    """Scan what lies on the glass into ``folder``, and remember the scanner for the next time.

    Of a ``trial`` the area of its sheet is scanned, else the whole glass. ``nearby_only``: for whoever asks by a page.
    Raises BadRequest, NotFound, ScannerTrouble; then no file is left.
    """
    if order.ppi not in PPI:
        raise BadRequest("scanning.no-ppi", ppi=order.ppi)
    sheet_mm = None if trial is None or order.whole_glass else bench.trials.standing(trial).sheet.size_mm
    chosen = _chosen(bench, order)
    wish = ScanWish(order.ppi, sheet_mm)
    into = folder / "scan.part"

    def hear(doing: str, share: float) -> None:
        progress(share, _DOING[doing])

    certificate: str | None = None
    asked: ScanAsked
    if chosen.address.startswith(SANE):
        device = chosen.address.removeprefix(SANE)
        if nearby_only:
            require_own_device(device)
        asked, model = scan_by_sane(device, wish, into, hear, stop), ""
    else:
        known = None if order.new_certificate else chosen.certificate
        scanner = scanner_at(chosen.address, certificate=known, nearby_only=nearby_only)
        with noted_job(bench.folder, scanner) as note:
            asked, offers = scan_by_escl(scanner, wish, into, hear, stop, patience, note)
        certificate, model = scanner.seen_certificate, offers.model
    name = chosen.name or model or chosen.address
    try:
        found = delivered(into, asked, name)
        now = datetime.now(UTC)
        file = into.with_name(f"scan-{now:%H%M%S}{found.suffix}")
        into.rename(file)
    finally:
        into.unlink(missing_ok=True)
    UsedScanners(bench.folder).keep(
        UsedScanner(name=name, address=chosen.address, certificate=certificate, used_at=now)
    )
    scanned = Scanned(
        scanner=name, via="sane" if chosen.address.startswith(SANE) else "escl",
        asked_ppi=asked.ppi, asked_bits=asked.bits, asked_format=asked.format, asked_mm=asked.area_mm,
        ppi=found.ppi, bits=found.bits, format=found.format, width_px=found.width_px, height_px=found.height_px,
    )  # fmt: skip
    return MadeScan(SentFile.at(file), scanned, found.remarks)


@dataclass(frozen=True)
class _Chosen:
    name: str
    address: str
    certificate: str | None


def _chosen(bench: Bench, order: ScanOrder) -> _Chosen:
    """Raises BadRequest where none is named and none was used before, or what is named is neither."""
    used = used_scanners(bench)
    if not order.scanner:
        if not used:
            raise BadRequest("scanning.which-scanner")
        return _Chosen(used[0].name, used[0].address, used[0].certificate)
    wanted = order.scanner.strip()
    for each in used:
        if wanted.casefold() == each.name.casefold():
            return _Chosen(each.name, each.address, each.certificate)
    address = address_of(wanted)
    known = next((each for each in used if each.address == address), None)
    name = " ".join((order.name or "").split())[:100] or (known.name if known else "")
    return _Chosen(name, address, known.certificate if known else None)
