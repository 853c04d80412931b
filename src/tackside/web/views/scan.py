"""A scan as its page shows it: where it is, its size, and outlines of what was found in it."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from tackside.errors import NotFound
from tackside.files.outside import suffix_of
from tackside.messages.message import Message
from tackside.records import Reading, Trial
from tackside.records.reading import Source
from tackside.web.views.evidence import keys_of_patch, keys_of_target
from tackside.web.workbench import Workbench
from tackside.workflow.prepared.scan_view import is_ready, place_of
from tackside.workflow.prepared.spoilt import picture_in

IMAGES = (".tif", ".png", ".jpg", ".heic")


@dataclass(frozen=True)
class Outline:
    """A found thing: its corners as SVG takes them, the reasons it speaks for, and what it says when pointed at."""

    points: str
    keys: str
    told: str
    kind: str


@dataclass(frozen=True)
class Spoilt:
    """What a program did to the scan, in a sentence, and the picture of where it shows."""

    told: Message
    picture: str


@dataclass(frozen=True)
class ScanView:
    """One scan. ``ready`` False: it is yet to be prepared, and the rest is empty."""

    sha256: str
    name: str
    ready: bool
    base: str = ""
    width: int = 0
    height: int = 0
    levels: int = 0
    tile_px: int = 0
    px_to_mm: str = ""
    marks: tuple[Outline, ...] = ()
    outlines: tuple[Outline, ...] = ()
    shown: tuple[Outline, ...] = ()
    edges: tuple[str, ...] = ()
    spoilt: tuple[Spoilt, ...] = ()


@dataclass(frozen=True)
class ScansView:
    """The scans of a reading, one of them open; none where it came from an instrument or was never kept."""

    all: tuple[Source, ...]
    open: ScanView | None


def sources_of(reading: Reading) -> tuple[Source, ...]:
    return (Source(name=reading.source_name, sha256=reading.source_sha256), *reading.further_sources)


def scans_of(workbench: Workbench, trial: Trial, reading: Reading, show: str, wanted: str) -> ScansView:
    """The scans behind a reading that the bench still holds, the wanted one (else the first) open."""
    if reading.kind == "photo":  # no scan: its sheets lie askew in it, and are found in another way
        return ScansView((), None)
    images = tuple(source for source in sources_of(reading) if _is_image(workbench, source.sha256))
    if not images:
        return ScansView((), None)
    chosen = next((source for source in images if source.sha256 == wanted), images[0])
    return ScansView(images, scan_view(workbench, trial, reading, chosen, show))


def scan_view(workbench: Workbench, trial: Trial, reading: Reading, source: Source, show: str) -> ScanView:
    place = place_of(workbench.bench.folder / "cache", source.sha256, trial.id)
    if not is_ready(place):
        return ScanView(source.sha256, source.name, ready=False)
    found = found_in(place)
    labs = {patch.name: patch.lab for patch in reading.patches}
    outlines = [
        *(_patch(each, labs.get(each["name"])) for each in found["patches"] if each["name"] in labs),
        *(
            Outline(_points(each["at"]), " ".join(keys_of_target(each["kind"])), each["name"], "target")
            for each in found["targets"]
        ),
    ]
    marks = tuple(Outline(_points(mark["at"]), "", f"mark {mark['id']}", "mark") for mark in found["marks"])
    width, height = found["size_px"]
    return ScanView(
        sha256=source.sha256,
        name=source.name,
        ready=True,
        base=f"/trials/{trial.id}/scans/{source.sha256}",
        width=width,
        height=height,
        levels=found["levels"],
        tile_px=found["tile_px"],
        px_to_mm=" ".join(f"{value:.8g}" for value in found["px_to_mm"]),
        marks=marks,
        outlines=tuple(outlines),
        shown=tuple(each for each in outlines if show and show in each.keys.split()),
        edges=tuple(_edge(each, width + height) for each in found["edges"]),
        spoilt=tuple(_spoilt(place, trial, reading, source.sha256)),
    )


def _spoilt(place: Path, trial: Trial, reading: Reading, sha256: str) -> Iterator[Spoilt]:
    """Of each thing that was done to the scan the notice that tells of it, and its picture where one was made."""
    told = {notice.code: notice for notice in reading.notices}
    for each in reading.spoilt:
        if each.source_sha256 == sha256 and each.code in told and picture_in(place, each.code).is_file():
            yield Spoilt(told[each.code], f"/trials/{trial.id}/scans/{sha256}/spoilt/{each.code}.png")


def found_in(place: Path) -> dict[str, Any]:
    """What the worker wrote down. Raises NotFound."""
    try:
        found = json.loads((place / "found.json").read_bytes())
    except (OSError, ValueError) as error:
        raise NotFound("this scan is not prepared", "open its trial's page again") from error
    assert isinstance(found, dict)
    return found


def _is_image(workbench: Workbench, sha256: str) -> bool:
    try:
        return suffix_of(workbench.bench.file(sha256)) in IMAGES
    except (NotFound, OSError):
        return False


def _patch(each: dict[str, Any], lab: tuple[float, float, float] | None) -> Outline:
    read = "" if lab is None else f": L* {lab[0]:.1f}, a* {lab[1]:.1f}, b* {lab[2]:.1f}".replace("-", "−")
    return Outline(
        _points(each["at"]), " ".join(keys_of_patch(each["roles"])), f"{each['name']}{read}", "patch"
    )


def _points(corners: list[list[float]]) -> str:
    return " ".join(f"{x:g},{y:g}" for x, y in corners)


def _edge(each: dict[str, Any], far: float) -> str:
    (x, y), (dx, dy) = each["point"], each["direction"]
    return f'x1="{x - far * dx:.1f}" y1="{y - far * dy:.1f}" x2="{x + far * dx:.1f}" y2="{y + far * dy:.1f}"'
