"""How long ``choose`` takes beside decoding the same pictures reduced with libvips, each in a fresh process, in turn.

    python3 do.py test                  # makes the environment with what the tests need, once
    .venv/bin/python benchmarks/choose.py [--pictures 200] [--stocks 20]

The pictures are the photographs that scikit-image ships, enlarged to 24 megapixels with noise of their own, as JPEG,
in the temporary folder, kept for the next run. The stocks are invented. The peer is ``thumbnail`` of libvips, to the
same size, in as many threads. Aims: at most 1.5 times the peer; memory that does not grow with the pictures; a stock
more costs a few per cent. "Prepared" is the first choice of these pictures among cards whose tables were worked out
before, by the workbench or an earlier choice; what that took is told by itself. "Fresh" is the first choice among cards
that nobody has chosen from, so that it works each out. The cores' time tells more than the clock where other work runs
on the machine.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import shutil
import statistics
import subprocess
import sys
import tempfile
import time
import warnings
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, datetime
from pathlib import Path

FOLDER = Path(tempfile.gettempdir()) / "tackside-benchmark" / "choose"
CACHE = FOLDER / "cache"
NAMES = (
    "retina.jpg",
    "chelsea.png",
    "coffee.png",
    "rocket.jpg",
    "motorcycle_left.png",
    "hubble_deep_field.jpg",
)
SIZE_PX = (6000, 4000)
RUNS = 3


def make_pictures(count: int) -> None:
    import pyvips

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        import skimage
    FOLDER.mkdir(parents=True, exist_ok=True)
    for number, path in enumerate(paths(count)):
        if path.exists():
            continue
        source = Path(skimage.__file__).parent / "data" / NAMES[number % len(NAMES)]
        image = pyvips.Image.new_from_file(str(source))[:3]
        image = image.resize(SIZE_PX[0] / image.width, vscale=SIZE_PX[1] / image.height)
        noise = pyvips.Image.gaussnoise(*SIZE_PX, sigma=5, seed=number)
        lighter = 1 + 0.1 * ((number % 7) - 3) / 3
        made = path.with_suffix(".part")  # whole or not at all: a run may be stopped
        made.write_bytes(
            (image * lighter + noise).cast("uchar").copy(interpretation="srgb").jpegsave_buffer(Q=90)
        )
        made.replace(path)


def paths(count: int) -> list[Path]:
    return [FOLDER / f"{number:03}-{Path(NAMES[number % len(NAMES)]).stem}.jpg" for number in range(count)]


def ways(count: int) -> list[object]:
    """Every way to so many invented stocks, by readings of a cube of 216 patches."""
    import numpy as np

    from tackside.picture.choose.cards import CardReading
    from tackside.picture.proof.ways import ways_of
    from tackside.press.printer.printer_model import PrinterModel
    from tackside.press.printer.printing import print_sheet
    from tackside.press.printer.stock_model import cotton_etching, craft_card, matt_coated, semi_gloss
    from tackside.records import PatchReading, Reading, Uncertainty

    kinds = (semi_gloss(), cotton_etching(), matt_coated(), craft_card())
    steps = np.linspace(0, 1, 6)
    rgb = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)
    cards = []
    for number in range(count):
        kind = kinds[number % 4]
        model = replace(kind, name=f"Invented {number}", black_l=kind.black_l + 0.5 * (number // 4))
        printed = print_sheet(np.full((60, 60, 3), 255, np.uint8), 600, model, PrinterModel())
        reading = Reading(
            kind="instrument",
            source_name=model.name,
            source_sha256="0" * 64,
            made_at=datetime(2026, 1, 5, tzinfo=UTC),
            patches=tuple(
                PatchReading(name=str(n), rgb=tuple(numbers), lab=tuple(lab))
                for n, (numbers, lab) in enumerate(
                    zip(rgb.tolist(), printed.lab_of(rgb).tolist(), strict=True)
                )
            ),
            uncertainty=Uncertainty(de00=0.2, basis="invented", comparable_with="colorimetric"),
        )
        cards.append((CardReading(model.name, reading), True))
    return list(ways_of(cards, [])[0])


def peer(pictures: int, _: int) -> tuple[float, float]:
    """Seconds, by the clock and of all cores, for libvips to decode the pictures, reduced, in a pool of threads."""
    import pyvips

    from tackside.picture.file.colours import REDUCED_PX

    def decode(path: Path) -> None:
        pyvips.Image.thumbnail(str(path), REDUCED_PX, height=REDUCED_PX, size="down").copy_memory()

    start, cores = time.perf_counter(), time.process_time()
    with ThreadPoolExecutor(os.cpu_count()) as pool:
        list(pool.map(decode, paths(pictures)))
    return time.perf_counter() - start, time.process_time() - cores


def ours(pictures: int, stocks: int) -> tuple[float, float]:
    """Seconds, by the clock and of all cores, from readings and pictures to the ranking."""
    from tackside.picture.choose.choose import choose

    readings = ways(stocks)
    shutil.rmtree(CACHE / "choose", ignore_errors=True)  # what an earlier run found of the same pictures
    start, cores = time.perf_counter(), time.process_time()
    choice = choose(paths(pictures), readings, cache=CACHE)  # type: ignore[arg-type]
    taken = time.perf_counter() - start, time.process_time() - cores
    if len(choice.ranking) != len(readings) or any(each.fault for each in choice.pictures):
        raise SystemExit("something was left out")
    return taken


def fresh(pictures: int, stocks: int) -> tuple[float, float]:
    shutil.rmtree(CACHE, ignore_errors=True)
    return ours(pictures, stocks)


def preparing(_: int, stocks: int) -> tuple[float, float]:
    """What working the cards out takes by itself."""
    from tackside.picture.work_out import work_out

    shutil.rmtree(CACHE, ignore_errors=True)
    cards = {id(way.card): way.card.reading for way in ways(stocks)}  # type: ignore[attr-defined]
    start, cores = time.perf_counter(), time.process_time()
    for card in cards.values():
        work_out(card, CACHE)
    return time.perf_counter() - start, time.process_time() - cores


STEPS = {"peer": peer, "fresh": fresh, "preparing": preparing, "prepared": ours}


def afresh(step: str, pictures: int, stocks: int) -> tuple[float, float, float]:
    """Seconds, seconds of all cores together, and peak memory (MB) of one step in a process of its own."""
    command = [sys.executable, __file__, "--step", step, "--pictures", str(pictures), "--stocks", str(stocks)]
    as_called = os.environ | {"OPENBLAS_NUM_THREADS": "1"}  # as the command line sets it
    shown = subprocess.run(command, check=True, capture_output=True, text=True, env=as_called).stdout
    seconds, cores, megabytes = json.loads(shown)
    return seconds, cores, megabytes


def alone(step: str, pictures: int, stocks: int) -> None:
    seconds, cores = STEPS[step](pictures, stocks)
    unit = 1 if sys.platform == "darwin" else 1024  # macOS counts bytes, Linux KiB
    print(json.dumps([seconds, cores, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * unit / 1e6]))


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else None)
    parser.add_argument("--pictures", type=int, default=200)
    parser.add_argument("--stocks", type=int, default=20)
    parser.add_argument("--runs", type=int, default=RUNS)
    parser.add_argument("--step", choices=STEPS, help="run one step alone; for this program's own use")
    asked = parser.parse_args()
    if asked.step:
        alone(asked.step, asked.pictures, asked.stocks)
        return
    make_pictures(asked.pictures)
    found: dict[str, list[tuple[float, float, float]]] = {step: [] for step in STEPS}
    for _ in range(asked.runs):
        for step in STEPS:
            found[step].append(afresh(step, asked.pictures, asked.stocks))
    memory = max(megabytes for step in ("prepared", "fresh") for *_, megabytes in found[step])
    print(f"{asked.pictures} pictures, {asked.stocks} stocks")
    print(
        "| measured by | libvips, reduced | prepared | ratio | fresh | ratio | working a card out | peak memory |"
    )
    print("| --- | --- | --- | --- | --- | --- | --- | --- |")
    for column, name in enumerate(("the clock", "the cores' time")):
        low, cold, preparing_s, warm = (
            statistics.median(run[column] for run in found[step]) for step in STEPS
        )
        print(
            f"| {name} | {low:.2f} s | {warm:.2f} s | {warm / low:.2f} | {cold:.2f} s | {cold / low:.2f} "
            f"| {preparing_s / asked.stocks:.2f} s | {memory:.0f} MB |"
        )


if __name__ == "__main__":
    main()
