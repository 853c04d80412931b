"""An A4 sheet at 600 ppi from a JPEG of 24 megapixels beside a bare libvips pipeline, alternately, in the same run.

    python3 do.py tackside --version    # makes the environment, once
    .venv/bin/python benchmarks/card.py [SHEETS]

The picture is scikit-image's photograph of coffee, repeated to 6000 × 4000 and saved as JPEG. It fills an invented A4
stock to the edges, so that it is cropped to 2828 × 4000 and enlarged. Ours: layout, conversion to the tests'
table-based profile of an invented cotton stock (relative colorimetric, black point compensation), sharpening,
resampling, sheet, safe writing. The bare pipeline: decode, crop, resize, convert, save, with the same compression. For
PDF, which libvips does not write, it saves a PNG: the same filters and deflate; ours holds as many pixels as the
picture has there, as a PDF may. "Reduced" is the same picture on a panel of A6 at 300 ppi: ours in linear light, and
sharpened; by processor time, which tells more where other work runs, and by the clock.

Aims: at most 1.3 times the bare pipeline, at most 400 MB of memory; a run of SHEETS (50) TIFFs with all cores at work
and no more memory at its end than after its first tenth.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from pathlib import Path

import numpy as np
import pyvips
from skimage import data

sys.path.insert(0, str(Path(__file__).parents[1]))

from tackside.card.file.design import Card, CardPicture
from tackside.card.make import make_card
from tackside.card.pixels.conversion import Output
from tackside.records import Feed, Printer, Stock

RUNS = 5
SIZE = (210.0, 297.0)
SAVE: dict[str, dict[str, object]] = {
    ".tif": {"compression": "lzw", "predictor": "horizontal"},
    ".jpg": {"Q": 95, "subsample_mode": "off"},
    ".png": {"compression": 6, "filter": "sub"},
}


def stock(size: tuple[float, float]) -> Stock:
    return Stock(name="Dune Cotton 310", base="cotton", open_size_mm=size, coated="both")


def printer(ppi: float) -> Printer:
    feed = Feed(
        name="rear", min_size_mm=(50, 50), max_size_mm=(330, 500), borderless_sizes_mm=(SIZE, (105, 148))
    )
    return Printer(name="Tern 8", grid_ppi=ppi, feeds=(feed,))


def ours(folder: Path, out: Path, size: tuple[float, float] = SIZE, ppi: float = 600) -> object:
    card = Card(
        stock="Dune Cotton 310",
        printer="Tern 8",
        pictures=(CardPicture(panel="front", file="picture.jpg"),),
        folder=folder,
    )
    output = Output(profile=(folder / "card.icc").read_bytes())
    return make_card(card, stock(size), printer(ppi), out, output=output)


def bare(folder: Path, out: Path, size: tuple[float, float] = SIZE, ppi: float = 600) -> None:
    wide, tall = (round(mm / 25.4 * ppi) for mm in size)
    image = pyvips.Image.new_from_file(str(folder / "picture.jpg"), access="sequential")
    part = round(image.height * wide / tall)
    image = image.crop((image.width - part) // 2, 0, part, image.height)
    image = image.resize(wide / part, vscale=tall / image.height, kernel="lanczos3")
    image = image.icc_transform(
        str(folder / "card.icc"), input_profile="srgb", intent="relative", black_point_compensation=True
    )
    image.write_to_file(str(out), **SAVE[out.suffix])


def prepare(folder: Path) -> None:
    from tests.profile.card_profiles import press_profile

    from tackside.press.printer.stock_model import cotton_etching

    tile = data.coffee()
    pixels = np.tile(tile, (10, 10, 1))[:4000, :6000]
    pyvips.Image.new_from_array(pixels).write_to_file(str(folder / "picture.jpg"), Q=92)
    (folder / "card.icc").write_bytes(press_profile(cotton_etching()))


def timed(work: Callable[[], object], clock: Callable[[], float] = time.perf_counter) -> float:
    start = clock()
    work()
    return clock() - start


def reduced(folder: Path) -> None:
    """Both by turns, the least of each."""
    for name, clock in (("processor time", time.process_time), ("the clock", time.perf_counter)):
        theirs, mine = [], []
        for _ in range(3 * RUNS):
            theirs.append(timed(partial(bare, folder, folder / "bare.tif", (105, 148), 300), clock))
            mine.append(timed(partial(ours, folder, folder / "ours.tif", (105, 148), 300), clock))
        low, high = min(theirs), min(mine)
        print(f"| A6, 300 ppi, tif, reduced, {name} | {low:.3f} s | {high:.3f} s | {high / low:.2f} | |")


def peak_mb() -> float:
    """This process's own peak, MiB (Linux)."""
    return int(Path("/proc/self/status").read_text().split("VmHWM:")[1].split()[0]) / 1024


def now_mb() -> float:
    return int(Path("/proc/self/status").read_text().split("VmRSS:")[1].split()[0]) / 1024


def alone(folder: Path, *arguments: str) -> str:
    return subprocess.run(
        [sys.executable, __file__, "--part", str(folder), *arguments],
        check=True,
        capture_output=True,
        text=True,
    ).stdout


def many(folder: Path, count: int) -> None:
    start, cpu = time.perf_counter(), time.process_time()

    def make(number: int) -> float:
        ours(folder, folder / f"many-{number % 4}.tif")
        return now_mb()

    with ThreadPoolExecutor(os.cpu_count()) as threads:  # as a short run is made
        memory = list(threads.map(make, range(count)))
    wall = time.perf_counter() - start
    cores = (time.process_time() - cpu) / wall
    early = max(memory[: max(count // 10, 1)])
    print(f"| {count} | {wall / count:.2f} s | {cores:.2f} of {os.cpu_count()}", end=" | ")
    print(f"{early:.0f} MB | {memory[-1]:.0f} MB | {peak_mb():.0f} MB |")


def part(folder: Path, what: str) -> None:
    if what.startswith("."):
        ours(folder, folder / f"alone{what}")
        print(f"{peak_mb():.0f}")
    else:
        many(folder, int(what))


def main(count: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        prepare(folder)
        ours(folder, folder / "warm.tif", (105, 148), 300)
        print("| sheet | bare libvips | tackside | ratio | peak memory |")
        print("| --- | --- | --- | --- | --- |")
        for suffix in (".tif", ".jpg", ".pdf"):
            theirs, mine = [], []
            saved = ".png" if suffix == ".pdf" else suffix
            for _ in range(RUNS):
                theirs.append(timed(partial(bare, folder, folder / f"bare{saved}")))
                mine.append(timed(partial(ours, folder, folder / f"ours{suffix}")))
            low, high = statistics.median(theirs), statistics.median(mine)
            peak = alone(folder, suffix).strip()
            print(
                f"| A4, 600 ppi, {suffix[1:]} | {low:.2f} s | {high:.2f} s | {high / low:.2f} | {peak} MB |"
            )
        reduced(folder)
        print()
        print("| sheets in a run | a sheet | cores at work | memory after a tenth | at the end | peak |")
        print("| --- | --- | --- | --- | --- | --- |")
        print(alone(folder, str(count)).strip())


if __name__ == "__main__":
    if sys.argv[1:2] == ["--part"]:
        part(Path(sys.argv[2]), sys.argv[3])
    else:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 50)
