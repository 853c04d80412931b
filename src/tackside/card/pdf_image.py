"""A placed picture as a PDF image: lossless, never finer than the printer's grid."""

from __future__ import annotations

import struct

import pikepdf
import pyvips
from pikepdf import Dictionary, Name

from tackside.bench.records.sheet_plan import Space
from tackside.card.pictures import PlacedPicture
from tackside.picture import pixels_for
from tackside.units import mm_to_px


def embed_picture(
    pdf: pikepdf.Pdf, placed: PlacedPicture, ppi: float, space: Space, colours: pikepdf.Object
) -> pikepdf.Object:
    """The part of the picture that shows, upright, as an image XObject (clause 8.9.5)."""
    width, height = _size_px(placed, ppi)
    pixels = pixels_for(placed.picture, placed.part_px, (width, height), space)
    return pdf.make_indirect(
        pikepdf.Stream(
            pdf,
            _filtered(pixels.tobytes(), width, height),
            Dictionary(
                Type=Name.XObject,
                Subtype=Name.Image,
                Width=width,
                Height=height,
                ColorSpace=colours,
                BitsPerComponent=8,
                Filter=Name.FlateDecode,
                DecodeParms=Dictionary(Predictor=15, Colors=3, BitsPerComponent=8, Columns=width),
            ),
        )
    )


def _size_px(placed: PlacedPicture, ppi: float) -> tuple[int, int]:
    """As many pixels as the picture has there, at most as many as the grid has dots."""
    box = placed.box_mm
    wide, tall = (box.w, box.h) if placed.frame.turn_deg in (0, 180) else (box.h, box.w)
    share = min(1.0, ppi / placed.ppi)
    part = placed.part_px
    return (
        max(1, min(round(part.w * share), round(mm_to_px(wide, ppi)))),
        max(1, min(round(part.h * share), round(mm_to_px(tall, ppi)))),
    )


def _filtered(pixels: bytes, width: int, height: int) -> bytes:
    """The pixels deflated behind PNG's row filters, which PDF reads as they are (clause 7.4.4.4)."""
    image = pyvips.Image.new_from_memory(pixels, width, height, 3, "uchar").copy(interpretation="srgb")
    png: bytes = image.pngsave_buffer(compression=6, filter="all", keep="none")
    data, at = b"", 8
    while at < len(png):
        length, kind = struct.unpack_from(">I4s", png, at)
        if kind == b"IDAT":
            data += png[at + 8 : at + 8 + length]
        at += 12 + length
    return data
