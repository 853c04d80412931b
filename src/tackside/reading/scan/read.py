"""A scan of a printed sheet to a reading: see, find the sheet, map it, sample it, place it."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from tackside.colour.spaces import Floats
from tackside.errors import BadRequest, BadScan
from tackside.messages.message import Message
from tackside.reading.quality.all import judge_quality
from tackside.reading.scan.colours import WITHIN, Sampled, is_inside, primaries, sample_boxes
from tackside.reading.scan.fitness import ScanFlaw, colour_faults, with_faults
from tackside.reading.scan.geometry.mapping import FEWEST_MARKS
from tackside.reading.scan.geometry.placement import MOST_FLAT_UM, find_edges, place
from tackside.reading.scan.image_file import ScanImage, scan_sha256
from tackside.reading.scan.locate import Located, locate, locate_pages
from tackside.reading.scan.marks.detections import trial_named
from tackside.reading.scan.uncertainty import (
    ScanSettings,
    file_says,
    resolution,
    settings_of,
    uncertainty_of,
)
from tackside.reading.spoilt.examine import examine, refuse_what_is_no_scan
from tackside.records import Patch, PatchReading, Placement, Reading, SheetPlan
from tackside.records.reading import Flaw

if TYPE_CHECKING:  # of a scanner that was learnt
    from tackside.reading.scanners.use import ScannerUse
    from tackside.records.scanner import Sharpness

LOWEST = 3.0 / 255.0  # a number below this lies at the end, whatever noise has made of it


@dataclass(frozen=True, eq=False)
class ScanReading:
    """One scan read: the reading, with its notices held apart, and the settings that it was made with.

    ``primaries`` (3, 3): XYZ of the file's full red, green and blue, as columns. ``faults`` make it unfit.
    ``at_ends``: the share of its patches, 0 to 1, at the ends of the file's numbers.
    """

    reading: Reading
    settings: ScanSettings
    colour_notices: tuple[Message, ...]
    place_notices: tuple[Message, ...]
    primaries: Floats
    faults: tuple[ScanFlaw, ...] = ()
    at_ends: float = 0.0

    @property
    def name(self) -> str:
        return self.reading.source_name

    @property
    def marks_found(self) -> int:
        return 0 if self.reading.placement is None else self.reading.placement.marks_found


def read_scan(
    path: Path | str,
    plan: SheetPlan,
    *,
    trial: str | None = None,
    device: str | None = None,
    scanner: ScannerUse | None = None,
) -> Reading:
    """Read the sheet of ``trial`` (by default the one that the plan's tag names) back from one scan.

    ``device`` names the scanner and its settings as the user does; readings with the same label, resolution, depth
    and profile may be compared. ``scanner`` is one that was learnt. Raises BadImage, BadScan, BadRequest.
    """
    sharpness = () if scanner is None else scanner.scanner.sharpness
    one = read_one_scan(Path(path), plan, trial or trial_of(plan), device, sharpness)
    require_patches(one.reading.patches, [one.name])
    notices = (
        *one.colour_notices,
        *one.place_notices,
        *unseen_edges(one.reading.placement),
        *left_out(plan, one.reading.patches),
    )
    reading = one.reading.model_copy(update={"notices": notices})
    return finished(reading, one.settings, one.faults, scanner)


def finished(
    reading: Reading, settings: ScanSettings, faults: Sequence[ScanFlaw], scanner: ScannerUse | None
) -> Reading:
    """The reading with its colours by the scanner, where that was learnt, and no more trust than is due."""
    if scanner is not None:
        from tackside.reading.scanners.correct import corrected  # for a scanner that was learnt alone

        reading = corrected(reading, settings.colours, scanner)
    return with_faults(reading, faults)


def trial_of(plan: SheetPlan) -> str:
    """The trial's id on the plan's tag. Raises BadRequest where the sheet has no room for a tag."""
    for tag in plan.tags:
        if (named := trial_named(tag.text)) is not None:
            return named
    raise BadRequest("reading.no-tag")


def read_one_scan(
    path: Path, plan: SheetPlan, trial: str, device: str | None, sharpness: Sequence[Sharpness] = ()
) -> ScanReading:
    """Open a scan, find the sheet in it, or its first page there, and read it."""
    return read_located(locate(path, plan, trial), trial, device, sharpness)


def read_pages(
    path: Path,
    plan: SheetPlan,
    trial: str,
    device: str | None,
    sharpness: Sequence[Sharpness] = (),
    hashing: Callable[[Path], str] = scan_sha256,
) -> tuple[ScanReading, ...]:
    """Open a scan and read each page of the sheet that it shows."""
    pages = locate_pages(path, plan, trial, hashing)
    return tuple(read_located(located, trial, device, sharpness) for located in pages)


def read_located(
    located: Located, trial: str, device: str | None, sharpness: Sequence[Sharpness] = ()
) -> ScanReading:
    """Sample the patches, place the print and judge the quality of a located sheet.

    A scan of a panel without patches has none in its reading: it may still tell of lines and placement.
    """
    scan, sheet, plan = located.scan, located.sheet, located.plan
    patches = _readable(located)
    sampled = sample_boxes(scan, sheet.map, [patch.box_mm for patch in patches])
    _refuse_colourless(sampled, scan)
    refuse_what_is_no_scan(scan, patches, sampled)
    ppi, ppi_notices = resolution(scan, sheet.map.px_per_mm)
    settings = settings_of(scan, ppi)
    says = file_says(scan, settings)
    edges = find_edges(scan, sheet.map, plan)
    patch_readings = _patch_readings(patches, sampled)
    quality = judge_quality(scan, sheet.map, plan, patch_readings, ppi, sharpness)
    told = examine(scan, sheet, patches, sampled, quality.overshoot)
    faults = (*colour_faults(scan, sheet, patches), *(each.fault for each in told if each.fault is not None))
    clipping = _clipping(patches, sampled)
    at_ends = float(_at_ends(patches, sampled).mean()) if patches else 0.0
    reading = Reading(
        trial=trial,
        kind="scan",
        source_name=scan.name,
        source_sha256=scan.sha256,
        made_at=datetime.now(UTC),
        device=device,
        profile=scan.profile_name,
        patches=patch_readings,
        placement=place(sheet, edges, plan.size_mm, ppi),
        attributes=quality.attributes,
        uncertainty=uncertainty_of(settings, device, [scan.sha256], says, at_ends=at_ends),
        file_says=says,
        flaws=tuple(Flaw(code=each.code, degree=0.5, weakens_only=True) for each in clipping),
        spoilt=tuple(each.spoiling(scan.sha256) for each in told),
    )
    return ScanReading(
        reading,
        settings,
        colour_notices=(
            *(fault.message for fault in faults),
            *(each.message for each in told if each.fault is None),
            *scan.notices,
            *clipping,
        ),
        place_notices=(*located.notices, *ppi_notices, *quality.notices),
        primaries=primaries(scan),
        faults=faults,
        at_ends=at_ends,
    )


def left_out(plan: SheetPlan, patches: Sequence[PatchReading]) -> tuple[Message, ...]:
    """A notice for each page that was not read, and for each panel with patches that were not."""
    read = {patch.name for patch in patches}
    return tuple(
        notice
        for number, page in enumerate(plan.by_page, 1)
        for notice in _left_out(plan, page, number, read)
    )


def _left_out(plan: SheetPlan, page: SheetPlan, number: int, read: set[str]) -> Iterator[Message]:
    if plan.pages > 1 and not any(patch.name in read for patch in page.patches):
        yield Message("reading.page-not-shown", page=number, pages=plan.pages, count=len(page.patches))
        return
    for panel in page.panels:
        its = [patch for patch in page.patches if patch.panel == panel.name]
        missing = sum(patch.name not in read for patch in its)
        if not missing:
            continue
        from tackside.fit.model import called  # slow to import: where a panel has to be named

        if missing == len(its):
            yield Message("reading.panel-not-shown", panel=called(panel.name), count=missing)
        else:
            yield Message("reading.patches-outside", panel=called(panel.name), count=missing)


def _readable(located: Located) -> list[Patch]:
    """The patches of the panels that have marks enough, as far as they are in the scan."""
    sheet, plan, pixels = located.sheet, located.plan, located.scan.pixels
    whole = {panel.name for panel in plan.panels if sheet.marks_on(panel.name) >= FEWEST_MARKS}
    return [
        patch for patch in plan.patches if patch.panel in whole and is_inside(pixels, sheet.map, patch.box_mm)
    ]


def require_patches(patches: Sequence[PatchReading], names: Sequence[str]) -> None:
    """Raises BadScan where the scans with these names show no patch of the sheet."""
    if not patches:
        raise BadScan("reading.no-patches", files=tuple(names))


def _refuse_colourless(sampled: Sampled, scan: ScanImage) -> None:
    if sampled.colourless:
        raise BadScan("scan.grey-saved-as-rgb", file=scan.name)


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


def _clipping(patches: Sequence[Patch], sampled: Sampled) -> tuple[Message, ...]:
    """A notice where the scanner ran out of numbers, in light or in saturated patches."""
    count = int(np.sum(sampled.clipped & ~_exact(patches, sampled)))
    if count == 0:
        return ()
    return (Message("scan.clipped", count=count, patches=len(patches)),)


def _at_ends(patches: Sequence[Patch], sampled: Sampled) -> NDArray[np.bool_]:
    """Which patches (n,) lie at the ends of the numbers, those too that noise or JPEG has brought off them a little."""
    lowest = sampled.numbers.min(axis=1, initial=1.0) < LOWEST
    return np.asarray((sampled.clipped | lowest) & ~_exact(patches, sampled))


def _exact(patches: Sequence[Patch], sampled: Sampled) -> NDArray[np.bool_]:
    """Which patches (n,) read exactly as asked for: they lost nothing, and lie at the end of the numbers by rights."""
    asked = np.array([patch.rgb for patch in patches]).reshape(-1, 3)
    return np.asarray(np.abs(sampled.numbers - asked).max(axis=1, initial=0.0) <= WITHIN)


def unseen_edges(placement: Placement | None) -> tuple[Message, ...]:
    """A notice where the sheet's edges do not tell how the print lies on it."""
    if placement is None or placement.offset_mm is not None:
        return ()
    if placement.residual_um > MOST_FLAT_UM:
        return (Message("reading.not-flat", residual_um=placement.residual_um),)
    unseen = "edges" if placement.rotation_deg is None else "offset"
    return (Message(f"reading.{unseen}-unseen"),)
