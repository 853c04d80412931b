"""A placed picture as a PDF image: lossless, never finer than the printer's grid."""

from __future__ import annotations

import struct
from typing import cast

import pikepdf
import pyvips
from pikepdf import Dictionary, Name


def embed_picture(
    pdf: pikepdf.Pdf, image: pyvips.Image, data: bytes, colours: pikepdf.Object
) -> pikepdf.Object:
    """RGB of 8 bits as an image XObject (ISO 32000-1, clause 8.9.5); ``data`` is what ``deflated`` gave of it."""
    return pdf.make_indirect(
        pikepdf.Stream(
            pdf,
            data,
            Dictionary(
                Type=Name.XObject,
                Subtype=Name.Image,
                Width=image.width,
                Height=image.height,
                ColorSpace=colours,
                BitsPerComponent=8,
                Filter=Name.FlateDecode,
                DecodeParms=Dictionary(Predictor=15, Colors=3, BitsPerComponent=8, Columns=image.width),
            ),
        )
    )


def deflated(image: pyvips.Image) -> bytes:
    """The pixels deflated behind PNG's row filters, which PDF reads as they are (clause 7.4.4.4).

    Raises pyvips.Error.
    """
    png = memoryview(cast(bytes, image.pngsave_buffer(compression=6, filter="sub", keep="none")))
    parts, at = [], 8
    while at < len(png):
        length, kind = struct.unpack_from(">I4s", png, at)
        if kind == b"IDAT":
            parts.append(png[at + 8 : at + 8 + length])
        at += 12 + length
    return b"".join(parts)
