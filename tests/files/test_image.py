"""What pictures take unpacked, by their header: what is decoded stays under 1 GB, the rest is refused."""

from __future__ import annotations

import struct
import subprocess
import sys
import zlib
from pathlib import Path

import numpy as np
import pytest
import pyvips
import tifffile

from tackside.errors import BadImage
from tackside.files.image import MOST_AT_ONCE_BYTES, decoder_bytes, held_bytes, image_in, thumbnail_in
from tackside.picture.file.open import open_picture
from tackside.press.printer.stock_model import matt_coated
from tackside.reading.scan.image_file import open_scan
from tests.fuzz.targets import CORPUS
from tests.profile.card_profiles import press_profile
from tests.refusals import refused

ADAM7 = 1
# 798 bytes, 200 × 200 pixels of 8963 channels: reading it took 1.7 GB.
MANY_CHANNELS = CORPUS / "tiff" / "208a53ff0ade"


def plain(width: int, height: int, bands: int = 3) -> pyvips.Image:
    return (pyvips.Image.black(width, height, bands=bands) + 100).cast("uchar").copy(interpretation="srgb")


def png_header(width: int, height: int, interlace: int) -> bytes:
    """PNG specification, 11.2.2, and hardly any data behind it."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    start = b"\x89PNG\r\n\x1a\n" + chunk(
        b"IHDR", struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, interlace)
    )
    return start + chunk(b"IDAT", zlib.compress(b"\0" * 100)) + chunk(b"IEND", b"")


@pytest.mark.parametrize(
    ("how", "bytes_a_pixel"),
    [
        ({"interlace": True, "subsample_mode": "off"}, 6.0),
        ({"interlace": True, "subsample_mode": "on"}, 3.0),  # colours at half the width and half the height
        ({"interlace": False}, 0.0),
    ],
)
def test_a_jpeg_in_several_scans_holds_two_bytes_for_each_coefficient(
    tmp_path: Path, how: dict[str, object], bytes_a_pixel: float
) -> None:
    path = tmp_path / "a.jpg"
    plain(320, 240).jpegsave(str(path), **how)
    assert decoder_bytes(image_in(path), path) == bytes_a_pixel * 320 * 240


def test_fill_bytes_and_other_segments_before_a_jpegs_frame_are_passed_over(tmp_path: Path) -> None:
    path = tmp_path / "a.jpg"
    plain(320, 240).jpegsave(str(path), interlace=True, subsample_mode="on")
    data = path.read_bytes()
    note = b"\xff\xff\xff\xfe" + struct.pack(">H", 60_002) + b"\xff\xc2" * 30_000  # that look like frames
    path.write_bytes(data[:2] + note + data[2:])
    assert decoder_bytes(image_in(path), path) == 3 * 320 * 240


def test_an_interlaced_png_and_rows_of_tiles_are_held(tmp_path: Path) -> None:
    png, other, tiled, strips = (tmp_path / name for name in ("a.png", "b.png", "a.tif", "b.tif"))
    plain(320, 240).pngsave(str(png), interlace=True)
    plain(320, 240).pngsave(str(other))
    plain(320, 240).tiffsave(str(tiled), tile=True, tile_width=128, tile_height=64)
    plain(320, 240).tiffsave(str(strips))
    assert decoder_bytes(image_in(png), png) == held_bytes(image_in(png)) == 320 * 240 * 3
    assert decoder_bytes(image_in(tiled), tiled) == (3 * 128) * (2 * 64) * 3
    assert decoder_bytes(image_in(other), other) == decoder_bytes(image_in(strips), strips) == 0


@pytest.mark.parametrize("compression", [None, "zlib"])
def test_channels_that_lie_apart_are_held_by_strips(tmp_path: Path, compression: str | None) -> None:
    path = tmp_path / "planes.tif"
    planes = np.full((3, 240, 320), 90, np.uint8)
    for rows in (60, 240):
        tifffile.imwrite(
            path,
            planes,
            photometric="rgb",
            planarconfig="separate",
            rowsperstrip=rows,
            compression=compression,
        )
        assert decoder_bytes(image_in(path), path) == 320 * rows * (3 + 1)
    tifffile.imwrite(path, np.moveaxis(planes, 0, -1), photometric="rgb", rowsperstrip=240)
    assert decoder_bytes(image_in(path), path) == 0


@pytest.mark.parametrize(
    ("size", "interlace", "is_taken"),
    [((13_000, 13_000), ADAM7, True), ((13_500, 13_500), ADAM7, False), ((22_000, 22_000), 0, True),
     ((110_000, 1000), 0, True), ((130_000, 1000), 0, False)],
)  # fmt: skip
def test_the_header_alone_decides(
    tmp_path: Path, size: tuple[int, int], interlace: int, is_taken: bool
) -> None:
    path = tmp_path / "vast.png"
    path.write_bytes(png_header(*size, interlace))
    if is_taken:
        assert open_picture(path).size_px == size
        return
    limit_mb = MOST_AT_ONCE_BYTES // 1_000_000
    for opened in (open_picture, image_in, lambda file: thumbnail_in(file, 100)):
        with refused(BadImage, "picture.too-large-at-once", width_px=size[0], limit_mb=limit_mb):
            opened(path)


def test_a_scan_counts_its_pixels_and_what_its_decoder_holds(tmp_path: Path) -> None:
    path = tmp_path / "scan.png"
    path.write_bytes(png_header(11_000, 11_000, ADAM7))
    with refused(BadImage, "scan.too-many-pixels", most_million=100.0):
        open_scan(path)


def test_more_channels_than_memory_has_room_for_are_refused() -> None:
    with refused(BadImage, "picture.too-large-at-once", channels=8963):
        open_picture(MANY_CHANNELS)
    with refused(BadImage, "picture.too-large-at-once", channels=8963):
        open_scan(MANY_CHANNELS)


@pytest.mark.parametrize(("channels", "is_taken"), [(64, True), (65, False)])
def test_a_picture_with_more_channels_than_any_needs_is_refused(
    tmp_path: Path, channels: int, is_taken: bool
) -> None:
    path = tmp_path / "selections.tif"
    flat = pyvips.Image.black(40, 30, bands=channels).copy(interpretation="srgb")
    flat.tiffsave(str(path), compression="deflate")
    if is_taken:
        assert open_picture(path).size_px == (40, 30)
        return
    for opened in (open_picture, image_in, lambda file: thumbnail_in(file, 100)):
        with refused(BadImage, "picture.too-many-channels", channels=channels, most=64):
            opened(path)


needs_linux = pytest.mark.skipif(
    not Path("/proc/self/status").exists(), reason="asks the Linux kernel for the peak of memory"
)
# The kernel's own peak of this program: what getrusage tells begins with the peak of the process that started it.
PEAK = """
def peak_mb():
    lines = Path("/proc/self/status").read_text().splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith("VmHWM")) // 1024
"""
READ = f"""
import sys, tempfile
from pathlib import Path
from tests.fuzz.targets import targets
{PEAK}
with tempfile.TemporaryDirectory() as folder:
    targets(Path(folder))["tiff"].try_out(Path(sys.argv[1]).read_bytes(), Path(folder, "input"))
print(peak_mb())
"""
COMMAND = f"""
import sys
from pathlib import Path
from tackside.cli.main import main
{PEAK}
code = main(sys.argv[1:])
print("peak", code, peak_mb())
"""


@needs_linux
def test_a_small_tiff_of_many_channels_takes_little_memory() -> None:
    done = subprocess.run(
        [sys.executable, "-c", READ, MANY_CHANNELS], check=True, capture_output=True, text=True
    )
    assert int(done.stdout) < 400  # 190 of them what is imported


@needs_linux
@pytest.mark.slow
@pytest.mark.parametrize("kind", ["jpg", "png"])
def test_a_proof_of_what_is_gathered_whole_stays_under_1_gb(tmp_path: Path, kind: str) -> None:
    """Each near the limit, and decoded twice, one after the other: for the figures, and for the proof."""
    picture = tmp_path / f"large.{kind}"
    if kind == "jpg":
        plain(9000, 9000).jpegsave(str(picture), interlace=True, subsample_mode="off")
    else:
        plain(12_500, 12_500).pngsave(str(picture), interlace=True, compression=1, filter="none")
    (tmp_path / "card.icc").write_bytes(press_profile(matt_coated()))
    asked = ("--bench", "bench", "proof", picture, "--profile", "card.icc", "--out", "proof.jpg")
    done = subprocess.run(
        [sys.executable, "-c", COMMAND, *asked], check=True, capture_output=True, text=True, cwd=tmp_path
    )
    word, code, peak_mb = done.stdout.split()[-3:]
    assert (word, code) == ("peak", "0")
    assert int(peak_mb) < 1000
