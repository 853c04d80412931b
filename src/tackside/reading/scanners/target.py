"""A scanner characterised by a target of ISO 12641-1: 22 columns and 12 rows of patches, and its data file.

The patches A1 to L22 stand on an even grid; the grey scale below them is left out. The target carries no marks that a
program could be sure of, so the centres of its four corner patches are given. Its colours are photographic dyes:
print inks differ, and a scanner that is right on the target can be wrong on a print (docs/sources.md, S46).
"""

from __future__ import annotations

from pathlib import Path

import cv2
import numpy as np

from tackside.colour.spaces import Floats
from tackside.errors import BadRequest, BadScan
from tackside.reading.instrument.file import read_instrument_file
from tackside.reading.scan.colours import primaries, sample_boxes
from tackside.reading.scan.geometry.mapping import SheetMap
from tackside.reading.scan.image_file import open_scan
from tackside.reading.scan.uncertainty import settings_of
from tackside.reading.scanners.learn import characterise
from tackside.records import PatchReading
from tackside.records.scanner import Characterisation
from tackside.units import Box

ROWS, COLUMNS = "ABCDEFGHIJKL", 22
PATCH_SHARE = 0.8  # of the grid's pitch that is surely patch
LEAST_LIKENESS = 0.9


def learn_from_target(scan_path: Path, data: Path, corners_px: Floats) -> Characterisation:
    """``corners_px`` (4, 2): the centres of A1, A22, L22 and L1 in pixels of the scan, counted from its top left.

    Raises BadScan where the patches do not run as the data file says: corners in another order, or another target.
    """
    measured = {_plain(patch.name): patch.lab for patch in read_instrument_file(data).patches}
    names = [f"{row}{column}" for row in ROWS for column in range(1, COLUMNS + 1)]
    known = [name for name in names if name in measured]
    if len(known) < len(names) // 2:
        raise BadRequest("scanner.target-names", file=data.name, named=len(known), patches=len(names))
    scan = open_scan(scan_path)
    if corners_px.shape != (4, 2) or np.any(corners_px < 0) or np.any(corners_px >= scan.pixels.shape[1::-1]):
        raise BadRequest("scanner.corners-outside")
    grid = np.array([[0, 0], [COLUMNS - 1, 0], [COLUMNS - 1, len(ROWS) - 1], [0, len(ROWS) - 1]], np.float32)
    at = np.array([[int(name[1:]) - 1, ROWS.index(name[0])] for name in known], dtype=np.float64)
    turn = cv2.getPerspectiveTransform(grid, corners_px.astype(np.float32))
    px = cv2.perspectiveTransform(at[:, None, :], turn)[:, 0, :]
    pitch = float(np.hypot(*(corners_px[1] - corners_px[0]))) / (COLUMNS - 1)
    side = pitch * PATCH_SHARE
    still = SheetMap(np.array([[0.0, 0.0], [1.0, 0.0], [0.0, 1.0]]), np.zeros(2))
    boxes = [Box(float(x) - side / 2, float(y) - side / 2, side, side) for x, y in px]
    sampled = sample_boxes(scan, still, boxes)
    true = np.array([measured[name] for name in known])
    if float(np.corrcoef(sampled.lab[:, 0], true[:, 0])[0, 1]) < LEAST_LIKENESS:
        raise BadScan("scanner.target-unlike", file=scan_path.name, data=data.name)
    seen = [
        PatchReading(name=name, rgb=None, lab=(float(lab[0]), float(lab[1]), float(lab[2])))
        for name, lab in zip(known, sampled.lab, strict=True)
    ]
    return characterise(
        seen,
        true,
        primaries(scan),
        way="target",
        inks="a photographic target",
        surface="photographic",
        stock=data.stem,
        settings=settings_of(scan, scan.stated_ppi or 300.0).colours,
        hashes=(scan.sha256, ""),
    )


def _plain(name: str) -> str:
    """A01 and a1 as A1."""
    letter, number = name[:1].upper(), name[1:].lstrip("0")
    return f"{letter}{number}"
