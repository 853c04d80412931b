"""What a person waits for: whole commands, start and imports included, by processor time, beside named peers.

    .venv/bin/python benchmarks/commands.py [RUNS]

Each command runs in a process of its own, as often as RUNS says (5), on an invented bench of four trials. ``first``:
its first run, before anything of that picture or card was kept; the median of the others is ``again``. The peers are a
script and a process each: Pillow's proof of the same file of 24 megapixels, libvips' decoding of the same scan, its
plain reduction, and bare Python. Pillow's proof is written as ours is: JPEG of quality 94, colour not subsampled.
Bytecode is kept, as by a program that was installed. The pictures are scikit-image's photograph of coffee, repeated to
6000 × 4000.
"""

from __future__ import annotations

import os
import resource
import shlex
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pyvips
from skimage import data

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.doc_world import CARD, World

from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import with_profile
from tackside.sheet.render import render

ROOT = Path(__file__).parents[1]
SRGB = working_space_profile("srgb")
# Trials of the invented bench: a good print and one on bare card.
GOOD, BARE = "7K3M9QPA", "2HX8R4TD"
PEOPLE = "name,table\n" + "".join(f"Guest {number},{number % 6}\n" for number in range(1, 41))
RUN_FILE = """
name = "Harbour fair"
currency = "GBP"

[[cards]]
name = "Boats"
file = "card.toml"
recipients = "people.csv"
label = "{name}"

[inks."Tern 8"]
ml = 112
price = "128.00"
currency = "GBP"
"""
PILLOW = """
import io, sys
from PIL import Image, ImageCms
picture, card, out = sys.argv[1:]
image = Image.open(picture)
screen = ImageCms.ImageCmsProfile(io.BytesIO(image.info["icc_profile"]))
how = ImageCms.Intent.RELATIVE_COLORIMETRIC
flags = ImageCms.Flags.SOFTPROOFING | ImageCms.Flags.BLACKPOINTCOMPENSATION
way = ImageCms.buildProofTransform(screen, screen, ImageCms.getOpenProfile(card), "RGB", "RGB", how, how, flags)
ImageCms.applyTransform(image, way).save(out, quality=94, subsampling=0)
"""
DECODE = "import sys, pyvips; pyvips.Image.new_from_file(sys.argv[1]).avg()"
REDUCE = "import sys, pyvips; pyvips.Image.new_from_file(sys.argv[1]).resize(0.4).write_to_file(sys.argv[2])"


def seconds(command: Sequence[str], place: Path) -> float:
    """Processor time (s) of a process and those that it waited for. Raises where it fails."""
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    around = {name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    done = subprocess.run(command, cwd=place, env=around, capture_output=True, text=True, check=False)
    if done.returncode != 0:
        raise SystemExit(f"{' '.join(command)}\n{done.stderr}")
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return (after.ru_utime - before.ru_utime) + (after.ru_stime - before.ru_stime)


class Timing:
    """Commands run one after the other in one place; each a row of the table."""

    def __init__(self, world: World, runs: int) -> None:
        self.world, self.runs = world, runs

    def ours(self, *words: str) -> tuple[float, float]:
        """The first run, and the median of those after it, in seconds of the processor."""
        command = [sys.executable, "-m", "tackside", *words, "--bench", str(self.world.home / "Tackside")]
        first = seconds(command, self.world.desk)
        return first, statistics.median(seconds(command, self.world.desk) for _ in range(self.runs))

    def peer(self, script: str, *words: str) -> float:
        command = [sys.executable, "-c", script, *words]
        return statistics.median(seconds(command, self.world.desk) for _ in range(self.runs))

    def row(self, line: str, limit: str, peer: tuple[str, float]) -> None:
        first, again = self.ours(*shlex.split(line))
        beside = f"{peer[0]} {peer[1]:.2f} s | {first / peer[1]:.2f}, {again / peer[1]:.2f}"
        print(f"| `{line}` | {first:.2f} s | {again:.2f} s | {beside} | {limit} |", flush=True)


def lay_out(world: World) -> None:
    """The files that the commands name."""
    tile = data.coffee()
    pixels = np.tile(tile, (10, 10, 1))[:4000, :6000].copy()
    with_profile(pyvips.Image.new_from_array(pixels), SRGB).jpegsave(str(world.desk / "large.jpg"), Q=92)
    world.profile(world.desk / "satin.icc")
    (world.desk / "card.toml").write_text(
        CARD.replace("boats.jpg", "large.jpg").replace("{for}", " for {name}")
    )
    (world.desk / "people.csv").write_text(PEOPLE)
    (world.desk / "fair.toml").write_text(RUN_FILE)


def scan(world: World) -> None:
    """The good print's sheet on the glass of an A4 scanner: 600 ppi, 16 bits, noisy, LZW."""
    plan = world.bench.trials.get(GOOD).sheet
    sheet = pyvips.Image.new_from_array(render(plan)).resize(600 / plan.ppi, kernel="nearest")
    grain = [pyvips.Image.gaussnoise(sheet.width, sheet.height, mean=0, sigma=1) for _ in range(3)]
    noisy = (20 + sheet * (224 / 255) + grain[0].bandjoin(grain[1:])) * 257
    glass = noisy.gravity("centre", 4961, 7016, extend="background", background=[64000] * 3)
    glass = glass.cast("ushort").copy(interpretation="rgb16", xres=600 / 25.4, yres=600 / 25.4)
    glass.tiffsave(str(world.desk / "a4.tif"), compression="lzw", predictor="horizontal")


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    with tempfile.TemporaryDirectory() as place:
        templates = Path(place) / "templates"
        templates.mkdir()
        world = World(ROOT / "README.md", Path(place), templates, empty=False)
        lay_out(world)
        scan(world)
        timing = Timing(world, runs)
        print("| command | first | again | peer | ratio: first, again | asked |")
        print("| --- | --- | --- | --- | --- | --- |")
        bare = ("bare Python", timing.peer("pass"))
        for line in (f"judge {GOOD}", f"judge {GOOD} {BARE}", "fit 'Plover Matt 230' 'Tern 8'", "stock list",
                     "stock show 'Plover Matt 230'", "trial list", f"trial show {GOOD}", "run list"):  # fmt: skip
            timing.row(line, "0.6 s", bare)
        decoding = ("libvips decoding", timing.peer(DECODE, "a4.tif"))
        timing.row(f"read {GOOD} a4.tif", "1.8 ×, the first no slower", decoding)
        pillow = ("Pillow's proof", timing.peer(PILLOW, "large.jpg", "satin.icc", "theirs.jpg"))
        timing.row(
            "proof large.jpg --profile satin.icc --intent relative --out ours.jpg --force", "0.9 ×", pillow
        )
        timing.row(
            f"proof large.jpg --card {GOOD} --intent relative --out card.jpg --force", "0.9 × again", pillow
        )
        reducing = ("libvips' reduction", timing.peer(REDUCE, "large.jpg", "small.jpg"))
        timing.row("picture check large.jpg", "1.2 s", reducing)
        timing.row("run cost fair.toml", "2 s first", bare)
        timing.row("run labels fair.toml --out labels.pdf --force", "1 s", bare)
        timing.row("run picklist fair.toml --out list.pdf --force", "1 s", bare)


if __name__ == "__main__":
    main()
