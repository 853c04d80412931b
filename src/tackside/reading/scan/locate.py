"""The trial's sheet in a scan: found by its marks, told from others by its tag."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from tackside.errors import BadScan
from tackside.messages.message import Message
from tackside.reading.scan.geometry.mapping import FEWEST_MARKS
from tackside.reading.scan.image_file import ScanImage, open_scan, scan_sha256
from tackside.reading.scan.marks.detections import Seen, is_mirrored, look_again, see
from tackside.reading.scan.marks.sheets import FoundSheet, find_sheets, steadied
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
    notices: tuple[Message, ...]


def locate(path: Path, plan: SheetPlan, trial: str) -> Located:
    """Open a scan and find the trial's sheet in it, or its first page there. Raises BadImage, BadScan."""
    return locate_pages(path, plan, trial)[0]


def locate_pages(
    path: Path, plan: SheetPlan, trial: str, hashing: Callable[[Path], str] = scan_sha256
) -> tuple[Located, ...]:
    """Open a scan and find each page of the trial's sheet that it shows, with that page's plan; one at least.

    Pages are told by their marks, which share no id. Raises BadImage, BadScan.
    """
    scan = open_scan(path, hashing)
    seen = see(scan)
    shown = [
        (page, [_tagged(sheet, scan, page) for sheet in find_sheets(seen, page)]) for page in plan.by_page
    ]
    told = {name for _, found in shown for sheet in found for name in sheet.trials}
    shown = [(page, found) for page, found in shown if found] or [(plan, [])]
    return tuple(_located(scan, page, found, told, seen, trial) for page, found in shown)


def _located(
    scan: ScanImage, plan: SheetPlan, found: Sequence[FoundSheet], told: set[str], seen: Seen, trial: str
) -> Located:
    sheet, notices = _choose(found, told, seen, trial, scan)
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
    found: Sequence[FoundSheet], told: set[str], seen: Seen, trial: str, scan: ScanImage
) -> tuple[FoundSheet, tuple[Message, ...]]:
    """The sheet whose tag names the trial; else the only one that no tag gives to another.

    ``told``: the trials that tags on this or another page's sheets name.
    """
    named = [sheet for sheet in found if trial in sheet.trials]
    if named:
        best = min(named, key=lambda sheet: (-len(sheet.marks), sheet.residual_um))
        more = Message("scan.several-of-this-trial", file=scan.name, count=len(named))
        return best, (more,) if len(named) > 1 else ()
    loose = {tag.trial for tag in seen.tags if tag.trial is not None} - told
    untold = [sheet for sheet in found if not sheet.trials]
    # A loose tag lies where this sheet has none: it may be all that is read of a sheet laid out otherwise.
    if len(untold) == 1 and not loose:
        return untold[0], (Message("scan.tag-unread", file=scan.name, trial=trial),)
    if told | loose and trial not in loose:
        raise _another_trial(sorted(told | loose), trial, scan)
    if untold:
        raise BadScan("scan.tag-not-read", file=scan.name, trial=trial, count=len(untold))
    raise _no_sheet(scan, seen)


def _another_trial(shown: Sequence[str], trial: str, scan: ScanImage) -> BadScan:
    code = "scan.another-trial" if len(shown) == 1 else "scan.several-trials"
    return BadScan(code, file=scan.name, shown=tuple(shown), first=shown[0], trial=trial)


def _no_sheet(scan: ScanImage, seen: Seen) -> BadScan:
    count = len({mark.id for mark in seen.marks})
    if is_mirrored(scan, len(seen.marks)):
        return BadScan("scan.mirrored", file=scan.name)
    if count == 0:
        return BadScan("scan.no-marks", file=scan.name)
    if count < FEWEST_MARKS:
        return BadScan("scan.few-marks", file=scan.name, count=count)
    return BadScan("scan.other-sheet", file=scan.name)


def _refuse_bent(sheet: FoundSheet, scan: ScanImage) -> None:
    if sheet.residual_um > MOST_RESIDUAL_UM:
        raise BadScan(
            "scan.not-flat", file=scan.name, residual_um=sheet.residual_um, limit_um=MOST_RESIDUAL_UM
        )
