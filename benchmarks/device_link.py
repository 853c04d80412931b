"""How far a device link strays from LittleCMS' exact chain, ΔE00 at the 99th percentile, worst way to each card.

    python3 do.py tackside --version    # makes the environment, once
    .venv/bin/python benchmarks/device_link.py

Table-based profiles that the tests build (two invented RGB stocks, CMYK from the data of FOGRA39L), photographs that
scikit-image ships, 20 000 pixels of each; every intent with and without black point compensation. The reference is
LittleCMS from 16 bits to double precision, its shortcuts switched off. Beside it: what libvips and its LittleCMS, with
shortcuts, make of the same chain in 16 bits. Aim: at most 0.5.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

import numpy as np
import pyvips

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.profile.card_profiles import fogra39_profile, press_profile
from tests.profile.littlecms import printed_lab
from tests.profile.test_link import PHOTOGRAPHS, SOURCE, WAYS, pixels_of

from tackside.colour.difference import delta_e_2000
from tackside.press.printer.stock_model import cotton_etching, semi_gloss
from tackside.profile.device.device import ProfileDevice
from tackside.profile.link.convert import with_profile
from tackside.profile.link.link import link_to_lab


def by_libvips(pixels: np.ndarray, card: bytes, file: str, intent: str, bpc: bool) -> np.ndarray:
    image = pyvips.Image.new_from_array(pixels[np.newaxis].astype(np.uint16) * 257).copy(
        interpretation="rgb16"
    )
    printed = with_profile(image, SOURCE).icc_transform(
        file, intent=intent, black_point_compensation=bpc, embedded=True, depth=16
    )
    return with_profile(printed, card).icc_import(pcs="lab", intent="relative", embedded=True).numpy()[0]


def main() -> None:
    cards = {
        "semi-gloss": press_profile(semi_gloss()),
        "cotton etching": press_profile(cotton_etching()),
        "FOGRA39L": fogra39_profile(),
    }
    print("| card | tackside | by | libvips |")
    print("| --- | --- | --- | --- |")
    with tempfile.TemporaryDirectory() as folder:
        for number, (name, card) in enumerate(cards.items()):
            file = Path(folder) / f"{number}.icc"
            file.write_bytes(card)
            rows = []
            for intent, bpc in WAYS:
                link = link_to_lab(SOURCE, ProfileDevice(card), intent, bpc=bpc)
                for photograph in PHOTOGRAPHS:
                    pixels = pixels_of(photograph)
                    exact = printed_lab(pixels.astype(np.uint16) * 257, SOURCE, card, intent, bpc=bpc)
                    ours = delta_e_2000(link.apply(pixels[np.newaxis])[0], exact)
                    theirs = delta_e_2000(by_libvips(pixels, card, str(file), intent, bpc), exact)
                    way = f"{intent}{', bpc' if bpc else ''}, {photograph}"
                    rows.append((np.percentile(ours, 99), way, np.percentile(theirs, 99)))
            ours_99, way, _ = max(rows)
            print(f"| {name} | {ours_99:.2f} | {way} | {max(row[2] for row in rows):.2f} |")


if __name__ == "__main__":
    main()
