"""Scanners: what each makes of your inks learnt, used, and watched for change."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tackside.bench.repositories.scanners import Scanners
from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.reading.scanners.use import ScannerUse
from tackside.records import Trial
from tackside.records.scanner import Characterisation, Scanner, Sharpness

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True)
class Watched:
    """How far a scanner has moved since it was learnt: ΔE00 in the middle of the sheet's patches."""

    drift_de00: float
    is_steady: bool


def scanner_names(bench: Bench) -> tuple[str, ...]:
    """The learnt scanners, by name."""
    return tuple(one.name for one in Scanners(bench.folder).list())


def scanner_use(bench: Bench, scanner: str | Scanner, trial: Trial) -> ScannerUse:
    """A learnt scanner on the inks and the surface of a trial. Raises NotFound."""
    one = Scanners(bench.folder).get(scanner) if isinstance(scanner, str) else scanner
    stock = bench.stocks.get(trial.stock, trial.stock_revision)
    return ScannerUse(one, inks=trial.printer, surface=stock.surface or stock.base, stock=trial.stock)


def learn_on_sheet(bench: Bench, name: str, trial: str, scan: Path, data: Path) -> Characterisation:
    """What the scanner makes of your own inks, from a sheet that was scanned and measured; both files are kept.

    Raises NotFound, BadImage, BadScan, BadInstrumentFile, BadRequest.
    """
    from tackside.reading.scanners.learn import learn_from_sheet

    found = bench.trials.get(trial)
    use = scanner_use(bench, Scanner(name=name), found)
    new = learn_from_sheet(
        scan, data, found.sheet, found.id, inks=use.inks, surface=use.surface, stock=use.stock
    )
    for file in (scan, data):
        bench.keep_file(file)
    return _kept(bench, name, new)


def learn_on_target(
    bench: Bench, name: str, scan: Path, data: Path, corners: NDArray[np.float64]
) -> Characterisation:
    """The same from a photographic target by ISO 12641; ``corners`` (4, 2): centres of A1, A22, L22, L1 in pixels."""
    from tackside.reading.scanners.target import learn_from_target

    return _kept(bench, name, learn_from_target(scan, data, corners))


def learn_edge(bench: Bench, name: str, scan: Path) -> Sharpness:
    """The scanner's own sharpness, from a scan cropped to one sharp, slanted edge."""
    from tackside.reading.scanners.learn import learn_sharpness, with_sharpness

    shelf = Scanners(bench.folder)
    new = learn_sharpness(scan)
    shelf.keep(with_sharpness(shelf.find(name), new))
    return new


def watch_scanner(bench: Bench, name: str, trial: str, scan: Path) -> Watched:
    """How a new scan of the sheet that the scanner was learnt from differs. Raises NotFound, BadRequest, BadScan."""
    from tackside.reading.scan.read import read_one_scan
    from tackside.reading.scanners.correct import DRIFTED
    from tackside.reading.scanners.drift import drift_of

    found = bench.trials.get(trial)
    use = scanner_use(bench, name, found)
    seen = read_one_scan(scan, found.sheet, found.id, None)
    drifts = [
        drift
        for known in use.scanner.characterisations
        if known.stock == use.stock and known.inks == use.inks and known.settings == seen.settings.colours
        if (drift := drift_of(known, seen.reading.patches)) is not None
    ]
    if not drifts:
        raise BadRequest("scanner.not-learnt-from-this", scanner=use.scanner.name)
    return Watched(drifts[-1], drifts[-1] <= DRIFTED / 2)


def _kept(bench: Bench, name: str, new: Characterisation) -> Characterisation:
    from tackside.reading.scanners.learn import with_characterisation

    shelf = Scanners(bench.folder)
    shelf.keep(with_characterisation(shelf.find(name), new))
    return new
