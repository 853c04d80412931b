"""Learning a scanner: the patches that it saw beside what an instrument read of the same patches."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from tackside.colour.spaces import Floats
from tackside.errors import BadRequest, BadScan
from tackside.reading.instrument.file import read_instrument_file
from tackside.reading.quality.edges import slanted_edge
from tackside.reading.scan.colours import numbers_to_xyz
from tackside.reading.scan.image_file import open_scan
from tackside.reading.scan.read import read_one_scan, require_patches
from tackside.reading.scanners.choosing import FEWEST_PATCHES, choose
from tackside.reading.scanners.drift import strip_of
from tackside.records import PatchReading, SheetPlan
from tackside.records.scanner import Characterisation, Scanner, Sharpness, Way
from tackside.units import MM_PER_INCH

# A regression that leaves more than this was fed patches that do not belong together.
WORST_MEDIAN = 6.0


def learn_from_sheet(
    scan: Path, data: Path, plan: SheetPlan, trial: str, *, inks: str, surface: str, stock: str
) -> Characterisation:
    """From a sheet of one's own: its scan, and the instrument's file of the same print.

    Raises BadScan, BadImage, BadInstrumentFile, and BadRequest where the two do not belong together.
    """
    seen = read_one_scan(scan, plan, trial, None)
    require_patches(seen.reading.patches, [seen.name])
    if seen.faults:
        raise BadScan("scanner.scan-not-fit", file=scan.name, why=seen.faults[0].message)
    measured = read_instrument_file(data, plan)
    true = {patch.name: patch.lab for patch in measured.patches}
    shared = [patch for patch in seen.reading.patches if patch.name in true]
    return characterise(
        shared,
        np.array([true[patch.name] for patch in shared]).reshape(-1, 3),
        np.array(seen.primaries),
        way="own-inks",
        inks=inks,
        surface=surface,
        stock=stock,
        settings=seen.settings.colours,
        hashes=(seen.reading.source_sha256, measured.source_sha256),
    )


def characterise(
    seen: Sequence[PatchReading],
    true_lab: Floats,
    primaries: Floats,
    *,
    way: Way,
    inks: str,
    surface: str,
    stock: str,
    settings: str,
    hashes: tuple[str, str] = ("", ""),
) -> Characterisation:
    """The best regression from ``seen`` to ``true_lab`` (n, 3), with its cross-validated error."""
    if len(seen) < FEWEST_PATCHES:
        raise BadRequest("scanner.too-few-shared", patches=len(seen), least=FEWEST_PATCHES)
    chosen = choose(np.array([patch.lab for patch in seen]), true_lab, primaries)
    errors = chosen.held_out
    if float(np.median(errors)) > WORST_MEDIAN:
        raise BadRequest("scanner.no-agreement", de00=float(np.median(errors)))
    return Characterisation(
        way=way,
        inks=inks,
        surface=surface,
        stock=stock,
        settings=settings,
        learned_at=datetime.now(UTC),
        patches=len(seen),
        model=chosen.model,
        de00_median=float(np.median(errors)),
        de00_p95=float(np.percentile(errors, 95)),
        de00_rms=float(np.sqrt(np.mean(errors**2))),
        others=chosen.others,
        strip=strip_of(seen),
        scan_sha256=hashes[0],
        data_sha256=hashes[1],
    )


# An edge of 30 mm at 2400 ppi, twice as wide: what is larger was not cropped, and would be taken apart in memory.
MOST_EDGE_PIXELS = 16_000_000


def learn_sharpness(path: Path) -> Sharpness:
    """The scanner's response on a known sharp edge: a scan cropped to one straight edge, a few degrees askew.

    Raises BadScan where there is no such edge or the file does not say its resolution.
    """
    scan = open_scan(path)
    if scan.stated_ppi is None:
        raise BadScan("scanner.no-resolution", file=path.name)
    height, width = scan.pixels.shape[:2]
    if width * height > MOST_EDGE_PIXELS:
        raise BadScan("scanner.edge-too-large", file=path.name, width=width, height=height)
    light = numbers_to_xyz(scan, scan.pixels)[..., 1]
    per_mm = scan.stated_ppi / MM_PER_INCH
    found = slanted_edge(light, per_mm), slanted_edge(np.ascontiguousarray(light.T), per_mm)
    axis = "x" if found[0] is not None else "y"
    best = found[0] or found[1]
    if best is None or not np.isfinite(best.half_cycles_mm):
        raise BadScan("scanner.no-edge", file=path.name)
    keep = best.cycles_mm <= per_mm / 2  # beyond Nyquist there is only aliasing
    step = max(int(keep.sum()) // 200, 1)
    return Sharpness(
        axis="x" if axis == "x" else "y",
        ppi=scan.stated_ppi,
        cycles_mm=tuple(float(value) for value in best.cycles_mm[keep][::step]),
        response=tuple(float(value) for value in best.mtf[keep][::step]),
        half_cycles_mm=best.half_cycles_mm,
    )


def with_characterisation(scanner: Scanner, new: Characterisation) -> Scanner:
    """The scanner with ``new`` in place of what it knew of the same inks, surface, stock and settings."""
    kept = [one for one in scanner.characterisations if _what_for(one) != _what_for(new)]
    return scanner.model_copy(update={"characterisations": (*kept, new)})


def with_sharpness(scanner: Scanner, new: Sharpness) -> Scanner:
    """The scanner with ``new`` in place of what it knew of the same axis and resolution."""
    kept = [one for one in scanner.sharpness if (one.axis, round(one.ppi)) != (new.axis, round(new.ppi))]
    return scanner.model_copy(update={"sharpness": (*kept, new)})


def _what_for(one: Characterisation) -> tuple[str, str, str, str, str]:
    return one.way, one.inks, one.surface, one.stock, one.settings
