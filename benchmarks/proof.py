"""A proof of 24 megapixels beside Pillow's proof transform and libvips' two conversions, in the same run.

    python3 do.py tackside --version    # makes the environment, once
    .venv/bin/python benchmarks/proof.py

The picture is scikit-image's photograph of coffee, repeated to 6000 × 4000, decoded beforehand for all. The card is
the tests' table-based profile of an invented cotton stock. All include making their transforms; relative colorimetric
with black point compensation. Aims: at most half of Pillow's time, at most libvips' time, at most 500 MB of memory for
a file of 100 megapixels.
"""

from __future__ import annotations

import contextlib
import io
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pyvips
from PIL import Image, ImageCms
from skimage import data

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.profile.card_profiles import press_profile

from tackside.cli.main import main as command_line
from tackside.press.printer.stock_model import cotton_etching
from tackside.profile.device.device import ProfileDevice
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link import link
from tackside.profile.link.convert import with_profile

RUNS = 7
SRGB = working_space_profile("srgb")


def photograph(height: int, width: int) -> np.ndarray:
    tile = data.coffee()
    return np.tile(tile, (-(-height // tile.shape[0]), -(-width // tile.shape[1]), 1))[:height, :width].copy()


def ours(pixels: np.ndarray, card: bytes) -> None:
    link._source_lab.cache_clear()
    link._printed_lab.cache_clear()
    link.device_link(SRGB, ProfileDevice(card), "relative", bpc=True).apply(pixels)


def pillows(picture: Image.Image, card: bytes) -> None:
    screen, printer = (ImageCms.ImageCmsProfile(io.BytesIO(each)) for each in (SRGB, card))
    relative = ImageCms.Intent.RELATIVE_COLORIMETRIC
    flags = ImageCms.Flags.SOFTPROOFING | ImageCms.Flags.BLACKPOINTCOMPENSATION
    transform = ImageCms.buildProofTransform(screen, screen, printer, "RGB", "RGB", relative, relative, flags)
    ImageCms.applyTransform(picture, transform)


def libvips_two(pixels: np.ndarray, card_file: str, screen_file: str) -> None:
    image = with_profile(pyvips.Image.new_from_array(pixels), SRGB)
    printed = image.icc_transform(card_file, intent="relative", black_point_compensation=True, embedded=True)
    printed.icc_transform(screen_file, intent="relative", embedded=True).numpy()


def peak_mb(suffix: str) -> float:
    """Peak memory (MiB, Linux) of ``tackside proof`` with maps on a file of 100 megapixels."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"large{suffix}"
        pyvips.Image.new_from_array(photograph(10000, 10000)).write_to_file(str(path))
        (Path(folder) / "card.icc").write_bytes(press_profile(cotton_etching()))
        run = subprocess.run(
            [sys.executable, __file__, folder, suffix], check=True, capture_output=True, text=True
        )
        return float(run.stdout)


def proof_large(folder: Path, suffix: str) -> None:
    picture, card, out = folder / f"large{suffix}", folder / "card.icc", folder / f"proof{suffix}"
    with contextlib.redirect_stdout(io.StringIO()):
        command_line(["proof", *map(str, (picture, "--profile", card, "--out", out, "--maps", folder))])
    # The process's own peak; what getrusage says includes the parent that it was forked from.
    status = Path("/proc/self/status").read_text()
    print(int(status.split("VmHWM:")[1].split()[0]) / 1024)


def timed(work: Callable[[], None]) -> float:
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


def main() -> None:
    pixels = photograph(4000, 6000)
    card = press_profile(cotton_etching())
    picture = Image.fromarray(pixels)
    times: dict[str, list[float]] = {"ours": [], "Pillow": [], "libvips": []}
    with tempfile.TemporaryDirectory() as folder:
        card_file, screen_file = Path(folder) / "card.icc", Path(folder) / "screen.icc"
        card_file.write_bytes(card)
        screen_file.write_bytes(SRGB)
        ours(pixels[:400, :400], card)  # numba's loops are loaded once a process
        for _ in range(RUNS):
            times["ours"].append(timed(lambda: ours(pixels, card)))
            times["Pillow"].append(timed(lambda: pillows(picture, card)))
            times["libvips"].append(timed(lambda: libvips_two(pixels, str(card_file), str(screen_file))))
    mine = statistics.median(times["ours"])
    print("| 24 megapixels | time | tackside | ratio |")
    print("| --- | --- | --- | --- |")
    for name in ("Pillow", "libvips"):
        theirs = statistics.median(times[name])
        print(f"| {name} | {theirs:.2f} s | {mine:.2f} s | {mine / theirs:.2f} |")
    print()
    print("| 100 megapixels | peak memory |")
    print("| --- | --- |")
    for suffix in (".jpg", ".tif"):
        print(f"| {suffix[1:]} to {suffix[1:]} | {peak_mb(suffix):.0f} MB |")


if __name__ == "__main__":
    if len(sys.argv) == 3:
        proof_large(Path(sys.argv[1]), sys.argv[2])
    else:
        main()
