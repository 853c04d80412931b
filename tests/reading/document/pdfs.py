"""PDFs for the tests, built object by object: what scanners write, and what they do not."""

from __future__ import annotations

import io
import zlib
from collections.abc import Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
from numpy.typing import NDArray
from PIL import Image

Pixels = NDArray[np.uint8] | NDArray[np.uint16]


def speckled(width: int = 240, height: int = 320, bits: int = 8) -> Pixels:
    """Pixels (h, w, 3) of which none is like its neighbours."""
    numbers = np.random.default_rng(5).integers(0, 2**bits, (height, width, 3))
    return numbers.astype(np.uint8 if bits == 8 else np.uint16)


def jpeg(pixels: Pixels, quality: int = 90) -> bytes:
    held = io.BytesIO()
    Image.fromarray(pixels).save(held, "JPEG", quality=quality)
    return held.getvalue()


def as_jpeg(document: pikepdf.Pdf, data: bytes, size_px: tuple[int, int], **more: Any) -> pikepdf.Stream:
    return image(document, data, size_px, Filter=pikepdf.Name.DCTDecode, **more)


def as_flate(document: pikepdf.Pdf, pixels: Pixels, **more: Any) -> pikepdf.Stream:
    height, width = pixels.shape[:2]
    data = zlib.compress(pixels.astype(">u2" if pixels.itemsize == 2 else "u1").tobytes())
    more = {"BitsPerComponent": 8 * pixels.itemsize, **more}
    return image(document, data, (width, height), Filter=pikepdf.Name.FlateDecode, **more)


def image(document: pikepdf.Pdf, data: bytes, size_px: tuple[int, int], **more: Any) -> pikepdf.Stream:
    held = {
        "Type": pikepdf.Name.XObject,
        "Subtype": pikepdf.Name.Image,
        "Width": size_px[0],
        "Height": size_px[1],
        "ColorSpace": pikepdf.Name.DeviceRGB,
        "BitsPerComponent": 8,
        **more,
    }
    return pikepdf.Stream(document, data, **held)


def add_page(
    document: pikepdf.Pdf,
    images: Sequence[pikepdf.Stream],
    size_pt: tuple[float, float],
    content: str | None = None,
    **more: Any,
) -> None:
    """A page that shows its images over its whole, or as ``content`` says (``/Im0``, ``/Im1``)."""
    width, height = size_pt
    drawn = content
    if drawn is None:
        drawn = "".join(f"q {width} 0 0 {height} 0 0 cm /Im{at} Do Q\n" for at in range(len(images)))
    document.add_blank_page(page_size=(width, height))
    page = document.pages[-1].obj
    page.Resources = pikepdf.Dictionary(
        XObject=pikepdf.Dictionary({f"/Im{at}": each for at, each in enumerate(images)}),
        Font=pikepdf.Dictionary(
            F0=pikepdf.Dictionary(
                Type=pikepdf.Name.Font, Subtype=pikepdf.Name.Type1, BaseFont=pikepdf.Name.Helvetica
            )
        ),
    )
    page.Contents = pikepdf.Stream(document, drawn.encode())
    for name, value in more.items():
        page[f"/{name}"] = value


def scanned_pdf(path: Path, sheets: Sequence[Pixels], ppi: float) -> Path:
    """A page for each sheet, packed as JPEG, with the text that programs lay over a scan without painting it."""
    document = pikepdf.new()
    for pixels in sheets:
        height, width = pixels.shape[:2]
        size = width / ppi * 72, height / ppi * 72
        drawn = f"q {size[0]} 0 0 {size[1]} 0 0 cm /Im0 Do Q BT 3 Tr /F0 9 Tf (found) Tj ET"
        add_page(document, [as_jpeg(document, jpeg(pixels, 95), (width, height))], size, drawn)
    document.save(path)
    return path
