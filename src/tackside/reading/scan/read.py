"""A scan of a printed sheet to a Reading: see, find the sheet, map it, sample it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path

import numpy as np

from tackside.bench.records import Patch, PatchReading, Reading, SheetPlan, Uncertainty
from tackside.errors import BadScan
from tackside.reading.scan.borders import find_edges
from tackside.reading.scan.colours import Sampled, is_inside, sample_boxes
from tackside.reading.scan.detections import Seen, is_mirrored, see
from tackside.reading.scan.image_file import ScanImage, open_scan
from tackside.reading.scan.lines import line_attributes
from tackside.reading.scan.mapping import FEWEST_MARKS
from tackside.reading.scan.placement import place
from tackside.reading.scan.sheets import FoundSheet, find_sheets

TAG_PREFIX = "TACKSIDE/1/"
# A flatbed scan of a flat sheet leaves 10 to 40 µm. A cockled sheet, a photograph or a moved sheet leaves more than
# this, and patches would then be sampled beside their place.
MOST_RESIDUAL_UM = 250.0
# One standard uncertainty of a colour read by a scanner that nobody has characterised. Its filters are not the eye's;
# errors of 3 to 6 ΔE00 on prints are commonly reported. Common practice, no single source.
PROFILED_DE00, ASSUMED_DE00 = 3.0, 5.0
PPI_DISAGREES = 0.05


@dataclass(frozen=True, eq=False)
class Located:
    """A scan with the sheet that was sought, found in it."""

    scan: ScanImage
    sheet: FoundSheet
    plan: SheetPlan
    notices: tuple[str, ...]


def read_scan(path: Path | str, plan: SheetPlan, *, trial: str, device: str | None = None) -> Reading:
    """Read the sheet of ``trial`` back from a scan.

    ``device`` names the scanner and its settings as the user does; readings with the same label, resolution, depth
    and profile may be compared. Raises BadImage, BadScan.
    """
    return read_located(locate(Path(path), plan, trial), trial, device)


def locate(path: Path, plan: SheetPlan, trial: str) -> Located:
    """Open a scan and find the trial's sheet in it. Raises BadImage, BadScan."""
    scan = open_scan(path)
    seen = see(scan)
    found = find_sheets(seen, plan)
    _refuse_another_trial(seen, trial, scan)
    if not found:
        raise _no_sheet(scan, seen)
    sheet, notices = _choose(found, trial)
    _refuse_bent(sheet, scan)
    return Located(scan, sheet, plan, (*scan.notices, *notices))


def read_located(located: Located, trial: str, device: str | None) -> Reading:
    """Sample the patches, place the print and judge the lines of a located sheet."""
    scan, sheet, plan = located.scan, located.sheet, located.plan
    patches, notices = _readable(located)
    sampled = sample_boxes(scan, sheet.map, [patch.box_mm for patch in patches])
    true_ppi = sheet.map.px_per_mm * 25.4
    ppi, ppi_notices = _ppi(scan, true_ppi)
    edges = find_edges(scan, sheet.map, plan.size_mm)
    attributes, line_notices = line_attributes(scan, sheet.map, plan.targets, ppi)
    return Reading(
        trial=trial,
        kind="scan",
        source_name=scan.name,
        source_sha256=scan.sha256,
        made_at=datetime.now(UTC),
        device=device,
        profile=scan.profile_name,
        patches=_patch_readings(patches, sampled),
        placement=place(sheet, edges, plan.size_mm, ppi),
        attributes=attributes,
        uncertainty=_uncertainty(scan, device, ppi),
        notices=(
            *located.notices,
            *notices,
            *ppi_notices,
            *_clipping(patches, sampled),
            *line_notices,
            *_unseen_edges(len(edges)),
        ),
    )


def _refuse_another_trial(seen: Seen, trial: str, scan: ScanImage) -> None:
    named = list(
        dict.fromkeys(t.text.removeprefix(TAG_PREFIX) for t in seen.tags if t.text.startswith(TAG_PREFIX))
    )
    if named and trial not in named:
        raise BadScan(
            f"{scan.name} shows the sheet of trial {' and '.join(named)}, not of {trial}",
            f"run: tackside read {named[0]} {scan.name}, or scan the sheet of {trial}",
        )


def _no_sheet(scan: ScanImage, seen: Seen) -> BadScan:
    if is_mirrored(scan):
        return BadScan(
            f"{scan.name} is mirrored", "scan again without mirroring, the printed side on the glass"
        )
    if len(seen.marks) == 0:
        return BadScan(
            f"no marks of a test sheet were found in {scan.name}",
            "scan the whole sheet, printed side on the glass, at 300 ppi in colour with all corrections off",
        )
    return BadScan(
        f"only {len(seen.marks)} marks that fit together were found in {scan.name}",
        "scan so that at least three of the square marks of each panel are in",
    )


def _choose(found: Sequence[FoundSheet], trial: str) -> tuple[FoundSheet, tuple[str, ...]]:
    """The sheet whose tag names the trial; else the only one that no tag assigns elsewhere."""
    named = [sheet for sheet in found if TAG_PREFIX + trial in sheet.tags]
    untold = [sheet for sheet in found if not sheet.tags]
    if named:
        notices = ()
        if len(named) > 1:
            notices = (
                f"The scan holds {len(named)} sheets of this trial; the one with the clearest marks was read.",
            )
        return min(named, key=lambda sheet: (-len(sheet.marks), sheet.residual_um)), notices
    if len(untold) == 1:
        return untold[0], (
            "No tag could be read: that this is the sheet of the trial is taken on your word.",
        )
    raise BadScan(
        f"the tag of trial {trial} could not be read on any of {len(found)} sheets in the scan",
        "scan its sheet alone",
    )


def _refuse_bent(sheet: FoundSheet, scan: ScanImage) -> None:
    if sheet.residual_um > MOST_RESIDUAL_UM:
        raise BadScan(
            f"the marks in {scan.name} are {sheet.residual_um:.0f} µm off a flat sheet, more than {MOST_RESIDUAL_UM:.0f}",
            "press the sheet flat on the glass and scan again; a photograph will not do",
        )


def _readable(located: Located) -> tuple[list[Patch], tuple[str, ...]]:
    """The patches of the panels that have marks enough, as far as they are in the scan."""
    sheet, plan = located.sheet, located.plan
    thin = [panel.name for panel in plan.panels if sheet.marks_on(panel.name) < FEWEST_MARKS]
    thin = [name for name in thin if any(patch.panel == name for patch in plan.patches)]
    on_panels = [patch for patch in plan.patches if patch.panel not in thin]
    inside = [patch for patch in on_panels if is_inside(located.scan.pixels, sheet.map, patch.box_mm)]
    if not inside:
        raise BadScan(
            f"no panel in {located.scan.name} shows three marks and its patches",
            "scan so that at least three of the square marks of each panel are in",
        )
    notices = [f"The panel {name} shows fewer than three marks; its patches are left out." for name in thin]
    if len(inside) < len(on_panels):
        notices.append(f"{len(on_panels) - len(inside)} patches lie outside the scan and are left out.")
    return inside, tuple(notices)


def _ppi(scan: ScanImage, true_ppi: float) -> tuple[float, tuple[str, ...]]:
    """The resolution to reckon lengths with, and what there is to say about it."""
    if scan.stated_ppi is None:
        return true_ppi, (
            "The scan does not say its resolution: it is taken from the marks, so scale and offset are relative.",
        )
    if abs(scan.stated_ppi / true_ppi - 1.0) > PPI_DISAGREES:
        return true_ppi, (
            f"The scan says {scan.stated_ppi:.0f} ppi, its marks say {true_ppi:.0f}: the print or the scan was "
            f"scaled. Lengths are reckoned with {true_ppi:.0f}.",
        )
    return scan.stated_ppi, ()


def _patch_readings(patches: Sequence[Patch], sampled: Sampled) -> tuple[PatchReading, ...]:
    return tuple(
        PatchReading(
            name=patch.name,
            rgb=patch.rgb,
            lab=(float(lab[0]), float(lab[1]), float(lab[2])),
            sd=float(sd),
        )
        for patch, lab, sd in zip(patches, sampled.lab, sampled.sd, strict=True)
    )


def _clipping(patches: Sequence[Patch], sampled: Sampled) -> tuple[str, ...]:
    """A notice where the scanner ran out of numbers, in light or in saturated patches."""
    count = int(np.sum(sampled.clipped))
    if count == 0:
        return ()
    return (
        f"In {count} of {len(patches)} patches the scan reaches the end of its numbers: turn off automatic exposure, or "
        "save with a wider colour space.",
    )


def _unseen_edges(count: int) -> tuple[str, ...]:
    if count:
        return ()
    return ("The sheet's edges do not show, so rotation and offset on the sheet are not known.",)


def _uncertainty(scan: ScanImage, device: str | None, ppi: float) -> Uncertainty:
    if scan.profile is None:
        de00, basis = ASSUMED_DE00, "a scan with no colour profile, its numbers taken for sRGB: an estimate"
    else:
        de00, basis = (
            PROFILED_DE00,
            "a scan through its embedded profile, the scanner itself not characterised: an estimate",
        )
    # Two scans are alike only when the user says that scanner and settings are the same; sheets in one scan always are.
    source = f"device {device}" if device else f"file {scan.sha256}"
    profile = scan.profile_name or "sRGB assumed"
    return Uncertainty(
        de00=de00,
        basis=basis,
        comparable_with=f"scan | {source} | {ppi:.0f} ppi | {scan.bits} bits | {profile}",
    )
