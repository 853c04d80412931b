"""One image of a PDF as a file of its own: JPEG as it is, all else as TIFF, with the page's resolution and colours.

JPEG's segments: ITU-T T.81 (ISO/IEC 10918-1), annex B; the density in JFIF's: ITU-T T.871 (ISO/IEC 10918-5), 10.1; the
profile's: ICC.1:2010, annex B.4. Images of a PDF: ISO 32000-1, 8.9.
"""

from __future__ import annotations

import struct
import zlib
from collections.abc import Iterator

import numpy as np
import pikepdf
import pyvips
from PIL import UnidentifiedImageError

from tackside.errors import BadImage, BadScan
from tackside.files.pdf import unpacking_at_most
from tackside.profile.icc.inspect import LARGEST_BYTES
from tackside.reading.document.painted import require_no_lzw
from tackside.units import MM_PER_INCH

_JFIF, _ICC, _ADOBE = b"JFIF\0", b"ICC_PROFILE\0", b"Adobe"
_APP0, _APP2, _APP14, _SOS = 0xE0, 0xE2, 0xEE, 0xDA
_BARE_MARKERS = (0x01, *range(0xD0, 0xD9))
_ICC_PART = 65519  # 65533 bytes of a segment less the name, and the two numbers of the part
_CHUNK = 1 << 20


def picture_of(image: pikepdf.Stream, name: str, page: int, ppi: int | None) -> tuple[bytes, str]:
    """A file's bytes and its suffix. Raises BadScan for what no colour scan holds, BadImage for what is damaged."""
    stored = pikepdf.PdfImage(image)
    if stored.image_mask or stored.bits_per_component == 1:
        raise BadScan("scan.pdf-black-and-white", file=name, page=page)
    profile = _profile(stored)
    if stored.filters == ["/DCTDecode"]:
        return with_statements(image.read_raw_bytes(), ppi, profile, _as_rgb(stored)), ".jpg"
    _require_size(image, stored, name, page)
    if stored.filters == ["/FlateDecode", "/DCTDecode"]:
        unpacked = zlib.decompress(image.read_raw_bytes())
        return with_statements(unpacked, ppi, profile, _as_rgb(stored)), ".jpg"
    try:
        return _tiff(_decoded(image, stored), ppi, profile), ".tif"
    except (OSError, UnidentifiedImageError, NotImplementedError, pyvips.Error) as error:
        raise BadImage("scan.pdf-page-damaged", file=name, page=page) from error
    except pikepdf.UnsupportedImageTypeError as error:
        raise BadScan("scan.pdf-strange-image", file=name, page=page) from error


def with_statements(jpeg: bytes, ppi: int | None, profile: bytes | None, as_rgb: bool = False) -> bytes:
    """The same JPEG that states this resolution and this profile, and no other.

    ``as_rgb``: its three numbers are red, green and blue, where a reader would take them for luma and chroma.
    Raises ValueError where it is no JPEG.
    """
    made = bytearray(b"\xff\xd8")
    density = (1, ppi, ppi) if ppi else (0, 1, 1)
    if not as_rgb:  # with JFIF's word, they would be luma and chroma
        made += _segment(_APP0, _JFIF + struct.pack(">HBHHBB", 0x0102, *density, 0, 0))
    else:
        made += _segment(_APP14, _ADOBE + struct.pack(">HHHB", 100, 0, 0, 0))
    parts = [profile[at : at + _ICC_PART] for at in range(0, len(profile), _ICC_PART)] if profile else []
    for number, part in enumerate(parts, 1):
        made += _segment(_APP2, _ICC + bytes((number, len(parts))) + part)
    for marker, body in _segments(jpeg):
        is_said = marker == _APP0 or (marker == _APP2 and body[4:].startswith(_ICC))
        if not (is_said or (as_rgb and marker == _APP14)):
            made += body
    return bytes(made)


def _segment(marker: int, body: bytes) -> bytes:
    return bytes((0xFF, marker)) + struct.pack(">H", len(body) + 2) + body


def _segments(jpeg: bytes) -> Iterator[tuple[int, bytes]]:
    """Each marker after the first, with its whole segment; the last is all from the first scan on."""
    if not jpeg.startswith(b"\xff\xd8"):
        raise ValueError("no JPEG")
    at = 2
    while at + 4 <= len(jpeg):
        if jpeg[at] != 0xFF:
            raise ValueError("no marker")
        marker = jpeg[at + 1]
        if marker == 0xFF:  # a fill byte
            at += 1
            continue
        if marker in _BARE_MARKERS:
            at += 2
            continue
        if marker == _SOS:
            yield marker, jpeg[at:]
            return
        end = at + 2 + struct.unpack_from(">H", jpeg, at + 2)[0]
        yield marker, jpeg[at:end]
        at = end
    raise ValueError("no picture")


def _profile(stored: pikepdf.PdfImage) -> bytes | None:
    """The ICC profile of its colour space, three numbers a pixel."""
    space = stored.obj.get("/ColorSpace")
    if isinstance(space, pikepdf.Array) and len(space) == 2 and space[0] == "/ICCBased":
        stream = space[1]
        if isinstance(stream, pikepdf.Stream) and int(stream.get("/N", 0)) == 3:
            require_no_lzw(stream)
            with unpacking_at_most(LARGEST_BYTES):
                return stream.read_bytes()
    return None


def _as_rgb(stored: pikepdf.PdfImage) -> bool:
    """Whether the document says that a JPEG's numbers were not turned into luma and chroma."""
    told = stored.obj.get("/DecodeParms")
    if isinstance(told, pikepdf.Array):  # one for each filter, JPEG being the last
        told = told[-1] if len(told) else None
    return isinstance(told, pikepdf.Dictionary) and told.get("/ColorTransform") == 0


def _require_size(image: pikepdf.Stream, stored: pikepdf.PdfImage, name: str, page: int) -> None:
    """Refuse what unpacks to more than the picture that it says it is: a few bytes may stand for gigabytes."""
    if not stored.filters or stored.filters[0] != "/FlateDecode":
        return
    across = stored.width * 4 * max(stored.bits_per_component, 8) // 8 + 1
    most, unpacked = across * stored.height + _CHUNK, 0
    unpacker, packed = zlib.decompressobj(), memoryview(image.get_raw_stream_buffer())
    for at in range(0, len(packed), _CHUNK):
        rest: bytes = bytes(packed[at : at + _CHUNK])
        while rest:
            try:
                unpacked += len(unpacker.decompress(rest, _CHUNK))
            except zlib.error as error:
                raise BadImage("scan.pdf-page-damaged", file=name, page=page) from error
            if unpacked > most:
                raise BadImage("scan.pdf-page-damaged", file=name, page=page)
            rest = unpacker.unconsumed_tail


def _decoded(image: pikepdf.Stream, stored: pikepdf.PdfImage) -> pyvips.Image:
    """Its pixels: 8 or 16 bits; RGB, CMYK or grey, which the reader of scans refuses in its own words."""
    if stored.bits_per_component == 16 and stored.colorspace in ("/DeviceRGB", "/CalRGB", "/ICCBased"):
        numbers = np.frombuffer(image.read_bytes(), ">u2")
        shape = (stored.height, stored.width, -1)
        deep = numbers.reshape(shape).astype(np.uint16)
        return pyvips.Image.new_from_array(deep, interpretation="rgb16" if deep.shape[2] == 3 else "cmyk")
    shown = stored.as_pil_image()
    if shown.mode not in ("RGB", "L", "CMYK"):
        shown = shown.convert("RGB")
    kinds = {"RGB": "srgb", "L": "b-w", "CMYK": "cmyk"}
    return pyvips.Image.new_from_array(np.asarray(shown), interpretation=kinds[shown.mode])


def _tiff(pixels: pyvips.Image, ppi: int | None, profile: bytes | None) -> bytes:
    per_mm = ppi / MM_PER_INCH if ppi else 1.0
    stated = pixels.copy(xres=per_mm, yres=per_mm)
    if profile is not None:
        stated = stated.copy()
        stated.set_type(pyvips.GValue.blob_type, "icc-profile-data", profile)
    return bytes(stated.tiffsave_buffer(compression="deflate", predictor="horizontal", keep="icc"))
