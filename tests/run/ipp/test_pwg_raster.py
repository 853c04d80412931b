"""PWG Raster: read back by a decoder written from the standard alone, and by Debian's own reader."""

from __future__ import annotations

import base64
import os
import re
import struct
import subprocess
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra import numpy as arrays
from numpy.typing import NDArray

from tackside.run.ipp.pwg_raster import Page, pwg_raster
from tests import services
from tests.run.ipp.real_printer import tool

A5 = Page(150, (148, 210))


def unpacked(data: bytes) -> NDArray[np.uint8]:
    """PWG 5102.4 section 4.2, one page: a line is a repeat count and runs; a run is a count and pixels."""
    width, height = struct.unpack_from(">II", data, 4 + 372)
    at, lines = 4 + 1796, []
    while len(lines) < height:
        repeats, at = data[at] + 1, at + 1
        line = b""
        while len(line) < 3 * width:
            code, at = data[at], at + 1
            if code < 128:
                line += data[at : at + 3] * (code + 1)
                at += 3
            else:
                line += data[at : at + 3 * (257 - code)]
                at += 3 * (257 - code)
        assert len(line) == 3 * width
        lines += [line] * repeats
    assert len(lines) == height
    assert at == len(data)
    return np.frombuffer(b"".join(lines), np.uint8).reshape(height, width, 3)


few = st.sampled_from([0, 255])


@settings(max_examples=60)
@given(
    arrays.arrays(
        np.uint8, st.tuples(st.integers(1, 12), st.integers(1, 300), st.just(3)), elements=few, fill=few
    )
)
def test_every_pixel_comes_back(pixels: NDArray[np.uint8]) -> None:
    assert np.array_equal(unpacked(b"".join(pwg_raster(pixels, A5))), pixels)


def test_white_lines_take_next_to_nothing() -> None:
    white = np.full((1000, 1000, 3), 255, np.uint8)
    assert len(b"".join(pwg_raster(white, A5))) < 1800 + 4 * 40


def test_the_header_says_what_the_standard_asks() -> None:
    # PWG 5102.4 table 1: offsets of the fields (docs/sources.md, S90); the next test has another reader read them.
    pixels = np.zeros((1240, 874, 3), np.uint8)
    data = b"".join(pwg_raster(pixels, Page(150, (148, 210), "srgb", 5, "photographic")))
    assert data[:4] == b"RaS2"
    assert data[4:14] == b"PwgRaster\0"
    assert data[4 + 128 :].startswith(b"photographic\0")
    assert struct.unpack_from(">II", data, 4 + 276) == (150, 150)
    assert struct.unpack_from(">II", data, 4 + 352) == (420, 595)  # A5 in points, ISO 216
    assert struct.unpack_from(">5I", data, 4 + 384) == (8, 24, 3 * 874, 0, 19)


@pytest.mark.skipif(not services.printer_tools(), reason="no IPP test printer is installed")
def test_debians_reader_takes_it(tmp_path: Path) -> None:
    """ippeveps (cups-ipp-utils) turns PWG Raster into PostScript by a reader of its own: a line of pixels at a time."""
    pixels = np.random.default_rng(1).integers(0, 256, (60, 140, 3)).astype(np.uint8)
    pixels[:20] = 255
    pixels[30:40] = pixels[30]
    pixels[45, 20:] = 255
    file = tmp_path / "card.pwg"
    file.write_bytes(b"".join(pwg_raster(pixels, A5)))
    said_to_it = {**os.environ, "CONTENT_TYPE": "image/pwg-raster"}
    shown = subprocess.run(
        [tool("ippeveps"), str(file)], capture_output=True, env=said_to_it, check=True
    ).stdout
    assert b"/Width 140/Height 1" in shown
    lines = re.findall(rb"(\d+) L\n(.*?)~>", shown, flags=re.DOTALL)
    assert len(lines) == 40  # it leaves out what is white
    for from_foot, coded in lines:
        line = np.frombuffer(base64.a85decode(coded), np.uint8).reshape(140, 3)
        assert np.array_equal(line, pixels[59 - int(from_foot)])
