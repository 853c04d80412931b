"""A scan prepared to be looked at: tiles down to the pixel, a thumbnail, and where things were found.

A worker decodes; a server hands out small files that we wrote ourselves. All of it lies in ``cache/`` and can be made
again.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterable
from pathlib import Path
from typing import Any

import numpy as np
import pyvips

from tackside.errors import BadImage
from tackside.files.atomic import write_atomically
from tackside.profile.link.convert_picture import convert_image_rgb
from tackside.reading.scan.geometry.placement import find_edges
from tackside.reading.scan.image_file import ScanImage
from tackside.reading.scan.locate import Located, locate
from tackside.records import SheetPlan, Trial
from tackside.records.reading import Spoiling
from tackside.tasks.cache import note_use
from tackside.units import Box
from tackside.workflow.prepared.spoilt import add_pictures

TILE_PX = 512
THUMBNAIL_PX = 320
WHOLE_PX = 1600
# Raised when the form of what lies in the cache changes; older entries are made anew.
FORM = 2


def place_of(cache: Path, sha256: str, trial: str) -> Path:
    """The folder of one scan as seen for one trial. Both are our own words: a hash and an id from the bench."""
    return cache / "scans" / f"{sha256}-{trial}"


def prepare_scan(cache: Path, path: Path, sha256: str, trial: Trial, spoilt: Iterable[Spoiling] = ()) -> Path:
    """Tiles, thumbnail and ``found.json`` of a scan, and pictures of how it was ``spoilt``; nothing to do where they
    are there already.
    """
    place = place_of(cache, sha256, trial.id)
    its = [each for each in spoilt if each.source_sha256 == sha256]
    if is_ready(place):
        add_pictures(place, path, its)
        return place
    located = locate(path, trial.sheet, trial.id)
    making = place.with_name(f".{place.name}.part")
    shutil.rmtree(making, ignore_errors=True)
    making.mkdir(parents=True)
    try:
        _write_tiles(located.scan, making)
        found = where_found(located)
        add_pictures(making, located.scan, its)
        write_atomically(making / "found.json", json.dumps({"form": FORM, **found}).encode())
        shutil.rmtree(place, ignore_errors=True)
        making.rename(place)
    finally:
        shutil.rmtree(making, ignore_errors=True)
    return place


def is_ready(place: Path) -> bool:
    try:
        ready = bool(json.loads((place / "found.json").read_bytes()).get("form") == FORM)
    except (OSError, ValueError):
        return False
    if ready:
        note_use(place)
    return ready


def _write_tiles(scan: ScanImage, folder: Path) -> None:
    """A pyramid of sRGB tiles, ``tiles_files/<level>/<column>_<row>.jpg``, level 0 the smallest; and two pictures."""
    height, width = scan.pixels.shape[:2]
    form, space = ("uchar", "srgb") if scan.bits == 8 else ("ushort", "rgb16")
    pixels = np.ascontiguousarray(scan.pixels)
    try:
        image = pyvips.Image.new_from_memory(pixels.data, width, height, 3, form).copy(interpretation=space)
        shown = convert_image_rgb(image, scan.profile, "srgb")
        if shown.format != "uchar":
            shown = shown.cast("uchar", shift=True)
        shown = shown.copy_memory()
        shown.dzsave(
            str(folder / "tiles"), layout="dz", tile_size=TILE_PX, overlap=0, suffix=".jpg[Q=90,keep=none]"
        )
        for name, side, quality in (("thumbnail", THUMBNAIL_PX, 82), ("whole", WHOLE_PX, 86)):
            small = shown.thumbnail_image(side, height=side, size="down")
            small.jpegsave(str(folder / f"{name}.jpg"), Q=quality, keep="none")
    except pyvips.Error as error:
        raise BadImage("scan.not-shown", file=scan.name) from error


def where_found(located: Located) -> dict[str, Any]:
    """Where marks, patches, targets and edges lie in the scan, in its pixels; and the way back to millimetres."""
    to_px, plan = located.sheet.map.to_px, located.plan
    height, width = located.scan.pixels.shape[:2]

    def outline(box: Box) -> list[list[float]]:
        corners = [[box.x, box.y], [box.right, box.y], [box.right, box.bottom], [box.x, box.bottom]]
        return [[round(float(x), 1), round(float(y), 1)] for x, y in to_px(corners)]

    return {
        "size_px": [width, height],
        "levels": int(np.ceil(np.log2(max(width, height)))) + 1,
        "tile_px": TILE_PX,
        "px_per_mm": located.sheet.map.px_per_mm,
        # x' = a·x + c·y + e, y' = b·x + d·y + f, from pixels to millimetres on the sheet, as SVG writes it.
        "px_to_mm": _px_to_mm(located, plan),
        "marks": [
            {"id": mark.id, "at": [[round(float(x), 1), round(float(y), 1)] for x, y in seen.corners]}
            for mark, seen in located.sheet.marks
        ],
        "patches": [
            {
                "name": patch.name,
                "roles": list(patch.roles),
                "panel": patch.panel,
                "at": outline(patch.box_mm),
            }
            for patch in plan.patches
        ],
        "targets": [
            {"name": target.name, "kind": target.kind, "at": outline(target.box_mm)}
            for target in plan.targets
        ],
        "edges": [
            {
                "name": name,
                "point": [float(each) for each in edge.point],
                "direction": [float(each) for each in edge.direction],
            }
            for name, edge in find_edges(located.scan, located.sheet.map, plan).items()
        ],
        "sheet_mm": list(plan.size_mm),
    }


def _px_to_mm(located: Located, plan: SheetPlan) -> list[float]:
    """The affine map that comes nearest to undoing the sheet's map, through a grid of points over the sheet."""
    width, height = plan.size_mm
    mm = np.array([[x, y] for y in np.linspace(0, height, 7) for x in np.linspace(0, width, 7)])
    px = located.sheet.map.to_px(mm)
    solved, *_ = np.linalg.lstsq(np.column_stack([px, np.ones(len(px))]), mm, rcond=None)
    (a, b), (c, d), (e, f) = solved.tolist()
    return [a, b, c, d, e, f]
