"""A file that states no resolution is said to state none, though libvips takes 72 ppi for granted."""

from __future__ import annotations

import io
import struct
from pathlib import Path

import numpy as np
import pytest
import pyvips
from PIL import Image

from tackside.errors import BadImage
from tackside.reading.document.picture import with_statements
from tackside.reading.scan.image_file import open_scan
from tests.refusals import refused

RESOLUTION, UNIT, MAKE = 282, 296, 271


@pytest.fixture
def image() -> Image.Image:
    return Image.fromarray(np.random.default_rng(2).integers(0, 255, (240, 260, 3), dtype=np.uint8))


def stated(path: Path) -> float | None:
    return open_scan(path).stated_ppi


def test_silent_files_state_none(image: Image.Image, tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[MAKE] = "an invented maker"
    image.save(tmp_path / "a.jpg")
    image.save(tmp_path / "b.jpg", exif=exif)
    image.save(tmp_path / "c.png")
    image.save(tmp_path / "d.tif")
    bare = (tmp_path / "a.jpg").read_bytes()
    assert bare[2:4] == b"\xff\xe0"
    (tmp_path / "e.jpg").write_bytes(bare[:2] + bare[4 + int.from_bytes(bare[4:6], "big") :])
    assert {path.name: stated(path) for path in sorted(tmp_path.iterdir())} == dict.fromkeys(
        ("a.jpg", "b.jpg", "c.png", "d.tif", "e.jpg")
    )


@pytest.mark.parametrize("ppi", [72, 150, 300])
@pytest.mark.parametrize("name", ["a.jpg", "a.png", "a.tif"])
def test_what_is_stated_counts_72_too(image: Image.Image, tmp_path: Path, name: str, ppi: int) -> None:
    image.save(tmp_path / name, dpi=(ppi, ppi))
    assert stated(tmp_path / name) == pytest.approx(ppi, abs=0.05)


def test_exif_states_it_as_well(image: Image.Image, tmp_path: Path) -> None:
    exif = Image.Exif()
    exif[RESOLUTION], exif[RESOLUTION + 1], exif[UNIT] = 72.0, 72.0, 2
    image.save(tmp_path / "a.jpg", exif=exif)
    assert stated(tmp_path / "a.jpg") == pytest.approx(72)


def test_a_jpeg_without_a_density_unit_states_none(image: Image.Image, tmp_path: Path) -> None:
    held = io.BytesIO()
    image.save(held, "JPEG", dpi=(300, 300))
    (tmp_path / "a.jpg").write_bytes(with_statements(held.getvalue(), None, None))
    assert stated(tmp_path / "a.jpg") is None
    (tmp_path / "b.jpg").write_bytes(with_statements(held.getvalue(), 600, None))
    assert stated(tmp_path / "b.jpg") == pytest.approx(600)


def test_what_no_scanner_has_is_not_believed(tmp_path: Path) -> None:
    """TIFF 6.0: XResolution and YResolution are fractions of two numbers of 32 bits, of any size."""
    image = pyvips.Image.black(300, 300, bands=3).copy(interpretation="srgb", xres=11.811, yres=11.811)
    data = bytearray(image.tiffsave_buffer(resunit="inch"))
    (first,) = struct.unpack_from("<I", data, 4)
    for entry in range(first + 2, first + 2 + 12 * struct.unpack_from("<H", data, first)[0], 12):
        if struct.unpack_from("<H", data, entry)[0] in (282, 283):
            struct.pack_into("<II", data, struct.unpack_from("<I", data, entry + 8)[0], 4_000_000_000, 1)
    (tmp_path / "scan.tif").write_bytes(data)
    assert open_scan(tmp_path / "scan.tif").stated_ppi is None


def test_more_than_a_command_may_hold_is_refused_by_the_header(tmp_path: Path) -> None:
    """A plain colour packs 1000 to 1: 15,000 by 15,000 pixels are 675 MB of memory."""
    pyvips.Image.black(15_000, 15_000, bands=3).copy(interpretation="srgb").pngsave(
        str(tmp_path / "scan.png")
    )
    with refused(BadImage, "scan.too-many-pixels", width=15_000, height=15_000, bits=8, most_million=200.0):
        open_scan(tmp_path / "scan.png")
