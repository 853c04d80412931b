"""The trial's sheet in a scan: found by its marks, told from others by its tag."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tackside.errors import BadScan
from tackside.reading.scan.geometry.anchors import steadied
from tackside.reading.scan.geometry.mapping import FEWEST_MARKS
from tackside.reading.scan.image_file import ScanImage, open_scan
from tackside.reading.scan.marks.detections import Seen, is_mirrored, see
from tackside.reading.scan.marks.sheets import FoundSheet, find_sheets
from tackside.reading.scan.marks.tags import look_again
from tackside.records import SheetPlan

# A flatbed scan of a flat sheet leaves 10 to 40 µm. A cockled sheet, a photograph or a moved sheet leaves more than
# this, and patches would then be sampled beside their place.
MOST_RESIDUAL_UM = 250.0


@dataclass(frozen=True, eq=False)
class Located:
    """A scan with the sheet that was sought, found in it; ``notices`` say what was taken on trust."""

    scan: ScanImage
    sheet: FoundSheet
    plan: SheetPlan
    notices: tuple[str, ...]


def locate(path: Path, plan: SheetPlan, trial: str) -> Located:
    """Open a scan and find the trial's sheet in it. Raises BadImage, BadScan."""
    scan = open_scan(path)
    seen = see(scan)
    found = [_tagged(sheet, scan, plan) for sheet in find_sheets(seen, plan)]
    sheet, notices = _choose(found, seen, trial, scan)
    sheet = steadied(sheet, scan.pixels, plan)
    _refuse_bent(sheet, scan)
    return Located(scan, sheet, plan, notices)


def _tagged(sheet: FoundSheet, scan: ScanImage, plan: SheetPlan) -> FoundSheet:
    """The sheet with its tags, looked for again where none was read."""
    if sheet.trials:
        return sheet
    again = (look_again(scan.pixels, sheet.map, tag) for tag in plan.tags)
    return replace(sheet, tags=tuple(tag for tag in again if tag is not None))


def _choose(
    found: Sequence[FoundSheet], seen: Seen, trial: str, scan: ScanImage
) -> tuple[FoundSheet, tuple[str, ...]]:
    """The sheet whose tag names the trial; else the only one that no tag gives to another."""
    named = [sheet for sheet in found if trial in sheet.trials]
    if named:
        best = min(named, key=lambda sheet: (-len(sheet.marks), sheet.residual_um))
        more = f"{scan.name} holds {len(named)} sheets of this trial; the one that shows best was read."
        return best, (more,) if len(named) > 1 else ()
    told = {name for sheet in found for name in sheet.trials}
    loose = {tag.trial for tag in seen.tags if tag.trial is not None} - told
    untold = [sheet for sheet in found if not sheet.trials]
    # A loose tag lies where this sheet has none: it may be all that is read of a sheet laid out otherwise.
    if len(untold) == 1 and not loose:
        return untold[0], (
            f"No tag could be read in {scan.name}: that this is the sheet of {trial} is taken on your word.",
        )
    if told | loose and trial not in loose:
        raise _another_trial(sorted(told | loose), trial, scan)
    if untold:
        raise BadScan(
            f"{scan.name} holds {'a sheet' if len(untold) == 1 else f'{len(untold)} sheets'}, "
            f"and the tag of {trial} could not be read on {'it' if len(untold) == 1 else 'any'}",
            "scan its sheet alone",
        )
    raise _no_sheet(scan, seen)


def _another_trial(shown: Sequence[str], trial: str, scan: ScanImage) -> BadScan:
    return BadScan(
        f"{scan.name} shows the sheet of trial {' and '.join(shown)}, not of {trial}",
        f"run: tackside read {shown[0]} {scan.name}, or scan the sheet of {trial}",
    )


def _no_sheet(scan: ScanImage, seen: Seen) -> BadScan:
    count = len({mark.id for mark in seen.marks})
    if is_mirrored(scan, len(seen.marks)):
        return BadScan(
            f"{scan.name} is mirrored", "scan again without mirroring, the printed side on the glass"
        )
    if count == 0:
        return BadScan(
            f"no marks of a test sheet were found in {scan.name}",
            "scan the whole sheet, printed side on the glass, at 300 ppi in colour with all corrections off",
        )
    if count < FEWEST_MARKS:
        return BadScan(
            f"{scan.name} shows {'one mark' if count == 1 else f'{count} marks'} of a test sheet",
            "scan so that at least three of the square marks of each panel are in",
        )
    return BadScan(
        f"the marks in {scan.name} do not stand as on this trial's sheet",
        "check that it is the sheet of this trial, and scan the whole of it, flat on the glass",
    )


def _refuse_bent(sheet: FoundSheet, scan: ScanImage) -> None:
    if sheet.residual_um > MOST_RESIDUAL_UM:
        raise BadScan(
            f"the marks in {scan.name} lie {sheet.residual_um:.0f} µm off a flat sheet's, "
            f"more than {MOST_RESIDUAL_UM:.0f}",
            "press the sheet flat on the glass and scan again; a photograph will not do",
        )
