"""Scanners: what each makes of your inks learnt, used, and watched for change."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from tackside.bench.repositories.scanners import Scanners
from tackside.bench.store import Bench
from tackside.errors import BadRequest
from tackside.reading.scanners.use import ScannerUse
from tackside.records import Reading, Trial
from tackside.records.scanner import Characterisation, Scanner, Sharpness
from tackside.workflow.practice.guard import require_real

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
    """A learnt scanner on the inks and the surface of a trial, without what it learnt from prints that were withdrawn.

    Raises NotFound, and BadRequest where it learnt all of it from such.
    """
    one = _standing(bench, scanner) if isinstance(scanner, str) else scanner
    stock = bench.stocks.get(trial.stock, trial.stock_revision)
    return ScannerUse(one, inks=trial.printer, surface=stock.surface or stock.base, stock=trial.stock)


def what_is_withdrawn(bench: Bench, scanner: Scanner) -> tuple[Characterisation, ...]:
    """What a scanner learnt from prints that were withdrawn: the trial, or each reading of those files."""
    if bench.withdrawals.last() == 0:
        return ()
    return tuple(one for one in scanner.characterisations if _is_withdrawn(bench, one))


def scanners_resting_on(bench: Bench, trial: str, reading: str | None) -> tuple[str, ...]:
    """The scanners that learnt from a trial's print, or from the files of one reading of it, by name."""
    readings = bench.readings.list(trial, withdrawn=True)
    files = _files([each for each in readings if reading in (None, each.id)])
    return tuple(
        scanner.name
        for scanner in Scanners(bench.folder).list()
        if any(
            files & {one.scan_sha256, one.data_sha256} or (reading is None and one.trial == trial)
            for one in scanner.characterisations
        )
    )


def _standing(bench: Bench, name: str) -> Scanner:
    scanner = Scanners(bench.folder).get(name)
    away = what_is_withdrawn(bench, scanner)
    stands = tuple(one for one in scanner.characterisations if one not in away)
    if away and not stands:
        raise BadRequest("scanner.learnt-from-withdrawn", scanner=scanner.name)
    return scanner.model_copy(update={"characterisations": stands})


def _is_withdrawn(bench: Bench, one: Characterisation) -> bool:
    trials = (
        [one.trial]
        if one.trial is not None
        else [each.id for each in bench.trials.list(stock=one.stock, withdrawn=True)]
    )
    if one.trial is not None and bench.withdrawals.of("trial", [one.trial]):
        return True
    ever = _files([each for trial in trials for each in bench.readings.list(trial, withdrawn=True)])
    stand = _files([each for trial in trials for each in bench.readings.list(trial)])
    return bool((ever - stand) & {one.scan_sha256, one.data_sha256})


def _files(readings: Sequence[Reading]) -> set[str]:
    """The hashes of all files that readings came from."""
    return {each.source_sha256 for each in readings} | {
        source.sha256 for each in readings for source in each.further_sources
    }


def learn_on_sheet(bench: Bench, name: str, trial: str, scan: Path, data: Path) -> Characterisation:
    """What the scanner makes of your own inks, from a sheet that was scanned and measured; both files are kept.

    Raises NotFound, BadImage, BadScan, BadInstrumentFile, BadRequest.
    """
    from tackside.reading.scanners.learn import learn_from_sheet

    found = require_real(bench.trials.standing(trial))
    use = scanner_use(bench, Scanner(name=name), found)
    new = learn_from_sheet(
        scan, data, found.sheet, found.id, inks=use.inks, surface=use.surface, stock=use.stock
    )
    for file in (scan, data):
        bench.keep_file(file)
    return _kept(bench, name, new.model_copy(update={"trial": found.id}))


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

    found = require_real(bench.trials.get(trial))
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
