"""Forty named cards as one PDF: how long, how large, how much memory, beside one such card alone.

    .venv/bin/python benchmarks/series.py [CARDS]

An invented studio's greeting: a picture of 24 megapixels in a border on the front of an A4 stock with one crease, a
name inside, a credit on the back, at 600 ppi. Two pictures: ``smooth``, the demo's drawn harbour enlarged to 24
megapixels, and ``busy``, scikit-image's photograph of coffee repeated to as many, whose every pixel is detail: hardly
any photograph is harder to compress. The busy one also with its picture as JPEG (``--jpeg-pictures``, quality 95). For
comparison the size of as many single files.

Aims: at most 30 s on two cores, and under 20 MB.
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
import pyvips
from skimage import data

from tackside.card.file.design import Card, CardCredit, CardPicture, CardText
from tackside.card.make import make_card
from tackside.card.pixels.conversion import Output
from tackside.card.series.one_file import make_one_file
from tackside.card.series.row_faults import ListRow, Rows
from tackside.card.series.rows import personalised
from tackside.cli.demo.picture import draw_picture
from tackside.records import Crease, Feed, Margins, Printer, Stock

STOCK = Stock(
    name="Dune Satin 300", base="photo", surface="semi-gloss", coated="front", open_size_mm=(210, 297),
    creases=(Crease(direction="horizontal", at_mm=148.5),),
)  # fmt: skip
PRINTER = Printer(
    name="Tern 8", grid_ppi=600,
    feeds=(Feed(name="rear", min_size_mm=(89, 127), max_size_mm=(329, 1000),
                margins_mm=Margins(top=3, bottom=5, left=3.4, right=3.4)),),
)  # fmt: skip
PIXELS = (6000, 4000)


def prepare(folder: Path) -> None:
    busy = np.tile(data.coffee(), (10, 10, 1))[: PIXELS[1], : PIXELS[0]]
    pyvips.Image.new_from_array(busy).write_to_file(str(folder / "busy.jpg"), Q=92)
    draw_picture(folder / "small.png")
    smooth = pyvips.Image.thumbnail(str(folder / "small.png"), PIXELS[0], height=PIXELS[1], crop="centre")
    smooth.write_to_file(str(folder / "smooth.jpg"), Q=92)


def greeting(folder: Path, picture: str) -> Card:
    return Card(
        stock=STOCK.name, printer=PRINTER.name, folder=folder, credit=CardCredit(text="Printed at the harbour"),
        pictures=(CardPicture(panel="front", file=f"{picture}.jpg", border_mm=12),),
        texts=(CardText(panel="inside-right", text="Dear {name}", face="serif", size_pt=30, smallest_pt=16),),
    )  # fmt: skip


def guests(count: int) -> Rows:
    names = ["Ada Bell", "Émile Roux", "Bartholomew Featherstonehaugh", "Zoë Ng"]
    rows = (ListRow(n, n + 1, {"name": f"{names[n % len(names)]} {n}"}) for n in range(1, count + 1))
    return Rows("guests.csv", ("name",), tuple(rows))


def peak_mb() -> float:
    """This process's own peak, MiB (Linux)."""
    return int(Path("/proc/self/status").read_text().split("VmHWM:")[1].split()[0]) / 1024


def part(folder: Path, picture: str, count: int) -> None:
    output = Output(jpeg_in_pdf=picture.endswith("-jpeg"))
    card, rows, out = greeting(folder, picture.removesuffix("-jpeg")), guests(count), folder / "all.pdf"
    start, cpu = time.perf_counter(), time.process_time()
    make_one_file(card, rows, STOCK, PRINTER, out, output=output)
    took, used = time.perf_counter() - start, time.process_time() - cpu
    memory = peak_mb()
    make_card(personalised(card, rows)[0], STOCK, PRINTER, folder / "one.pdf", output=output)
    one, whole = ((folder / name).stat().st_size / 1e6 for name in ("one.pdf", "all.pdf"))
    print(
        f"| {picture} | {took:.1f} s | {used:.1f} s | {whole:.1f} MB | {one * count:.0f} MB | {memory:.0f} MB |",
        flush=True,
    )


def main(count: int) -> None:
    with tempfile.TemporaryDirectory() as name:
        prepare(Path(name))
        print(f"{count} cards, {os.cpu_count()} cores")
        print("| picture | by the clock | processor | one PDF | single files | peak memory |")
        print("| --- | --- | --- | --- | --- | --- |", flush=True)
        for picture in ("smooth", "busy", "busy-jpeg"):
            subprocess.run([sys.executable, __file__, "--part", name, picture, str(count)], check=True)


if __name__ == "__main__":
    if sys.argv[1:2] == ["--part"]:
        part(Path(sys.argv[2]), sys.argv[3], int(sys.argv[4]))
    else:
        main(int(sys.argv[1]) if len(sys.argv) > 1 else 40)
