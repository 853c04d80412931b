"""Pictures of where a scan shows that a program changed it: for its page, or as one file."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

import numpy as np
import pyvips
from numpy.typing import NDArray

from tackside.bench.store import Bench
from tackside.files.atomic import atomic_path
from tackside.reading.scan.image_file import ScanImage, open_scan
from tackside.reading.spoilt.pictures import one_below_another, picture_of
from tackside.records import Reading
from tackside.records.reading import Spoiling


def picture_in(place: Path, code: str) -> Path:
    """The picture of what a message with this code tells of, in the folder of a prepared scan."""
    return place / f"spoilt-{code}.png"


def add_pictures(place: Path, scan: Path | ScanImage, spoilt: Iterable[Spoiling]) -> None:
    """A picture for each, in the folder of the prepared scan, where it is not there yet."""
    lacking = [each for each in spoilt if not picture_in(place, each.code).exists()]
    if not lacking:
        return
    opened = scan if isinstance(scan, ScanImage) else open_scan(scan)
    for each in lacking:
        _write(picture_in(place, each.code), picture_of(opened, each))


def write_spoilt_picture(bench: Bench, readings: Sequence[Reading], out: Path) -> bool:
    """All that the scans of some readings show of it, one below another, as a PNG; False, and nothing written, where
    they show nothing. Raises StorageTrouble, and BadImage for a scan that can't be opened.
    """
    pictures = []
    found = dict.fromkeys(each for reading in readings for each in reading.spoilt)
    for sha256 in dict.fromkeys(each.source_sha256 for each in found):
        scan = open_scan(bench.file(sha256))
        pictures += [picture_of(scan, each) for each in found if each.source_sha256 == sha256]
    if pictures:
        _write(out, one_below_another(pictures))
    return bool(pictures)


def _write(path: Path, pixels: NDArray[np.uint8]) -> None:
    image = pyvips.Image.new_from_array(np.ascontiguousarray(pixels))
    with atomic_path(path) as temporary:
        temporary.write_bytes(image.pngsave_buffer(compression=6, keep="none"))
