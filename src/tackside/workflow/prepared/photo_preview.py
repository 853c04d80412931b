"""A photograph before it is opened: whether it may be; and one that a browser cannot draw, small, as JPEG in sRGB."""

from __future__ import annotations

import numpy as np
import pyvips

from tackside.errors import BadImage
from tackside.files.heic import MOST_PIXELS
from tackside.files.image import BYTES_OF_FORMAT, image_in
from tackside.files.outside import SCAN, is_heic
from tackside.profile.link.convert_picture import convert_image_rgb
from tackside.reading.photo.picture import open_photo
from tackside.reading.scan.image_file import most_pixels
from tackside.workflow.sent_files import SentFile, under_their_names

WIDTH_PX = 1200


def require_size(file: SentFile) -> None:
    """Raises BadImage for more pixels than a phone takes: a server opens it, for whoever has the password."""
    try:
        if is_heic(file.path):
            return  # which is bounded where it is opened
        header = image_in(file.path, SCAN, access="sequential")
    except (pyvips.Error, BadImage):
        return  # what is no picture is said where it is opened
    bits = 8 * BYTES_OF_FORMAT.get(header.format, 1)
    most = min(MOST_PIXELS, most_pixels(bits))
    if header.width * header.height > most:
        raise BadImage(
            "scan.too-many-pixels",
            file=file.name,
            width=header.width,
            height=header.height,
            bits=bits,
            most_million=most / 1e6,
        )


def jpeg_preview(file: SentFile) -> bytes:
    """Raises BadImage, BadScan for what is no picture."""
    with under_their_names([file]):
        photo = open_photo(file.path)
    height, width = photo.pixels.shape[:2]
    form, space = ("uchar", "srgb") if photo.bits == 8 else ("ushort", "rgb16")
    pixels = np.ascontiguousarray(photo.pixels)
    image = pyvips.Image.new_from_memory(pixels.data, width, height, 3, form).copy(interpretation=space)
    small = image.resize(min(1.0, WIDTH_PX / max(width, height)))
    shown = convert_image_rgb(small, photo.profile, "srgb")
    if shown.format != "uchar":
        shown = shown.cast("uchar", shift=True)
    return bytes(shown.jpegsave_buffer(Q=80, keep="none"))
