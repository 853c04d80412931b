"""Scans as files: TIFF, PNG or JPEG, by the file name's suffix."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pyvips

from tackside.errors import BadRequest, StorageTrouble
from tackside.files.atomic import atomic_path
from tackside.press.scanner.scanning import Scan
from tackside.units import MM_PER_INCH


def write_scan(scan: Scan, path: Path) -> None:
    """Write ``scan`` to ``path`` with its resolution and profile; ``.tif``, ``.png`` or ``.jpg`` (8 bits)."""
    suffix = path.suffix.lower()
    if suffix not in {".tif", ".tiff", ".png", ".jpg", ".jpeg"}:
        raise BadRequest("press.scan-suffix", file=path.name)
    pixels = scan.image
    if suffix in {".jpg", ".jpeg"} and pixels.dtype == np.uint16:
        pixels = np.round(pixels / 257.0).astype(np.uint8)
    picture = _with_tags(pixels, scan)
    with atomic_path(path) as temporary:
        try:
            _save(picture, str(temporary), suffix, scan)
        except pyvips.Error as error:
            raise StorageTrouble("press.scan-not-written", file=str(path)) from error


def _with_tags(pixels: np.ndarray, scan: Scan) -> pyvips.Image:
    height, width, bands = pixels.shape
    kind, colours = ("uchar", "srgb") if pixels.dtype == np.uint8 else ("ushort", "rgb16")
    picture = pyvips.Image.new_from_memory(np.ascontiguousarray(pixels).data, width, height, bands, kind)
    per_mm = scan.ppi / MM_PER_INCH
    picture = picture.copy(interpretation=colours, xres=per_mm, yres=per_mm)
    if scan.profile is not None:
        picture.set_type(pyvips.GValue.blob_type, "icc-profile-data", scan.profile)
    return picture


def _save(picture: pyvips.Image, name: str, suffix: str, scan: Scan) -> None:
    if suffix in {".tif", ".tiff"}:
        compression = scan.scanner.compression
        predictor = "none" if compression == "none" else "horizontal"
        picture.tiffsave(name, compression=compression, predictor=predictor, resunit="inch")
    elif suffix == ".png":
        picture.pngsave(name, compression=3)
    else:
        picture.jpegsave(name, Q=scan.scanner.quality)
