"""Invented flatbeds with faults that no file tells of, laid over what a perfect scanner saw of a print.

Made to test what a reading states of itself: the figures it states were not derived on these.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Literal

import cv2
import numpy as np
import pyvips
from numpy.typing import NDArray
from PIL import Image

from tackside.colour.spaces import ADOBE_RGB, SRGB
from tackside.press.printer.stock_model import StockModel
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.scanner.scanner_profile import SCANNER_RGB, scanner_profile
from tackside.press.scanner.scanning import scan
from tackside.profile.icc.working_space import working_space_profile
from tests.reading.scan import prints

PPI = 200.0
SPACES = {"srgb": SRGB, "adobe-rgb": ADOBE_RGB, "scanner": SCANNER_RGB}
# Cone fundamentals of Hunt, Pointer and Estevez, normalised to D65 (docs/sources.md, S111): a basis to mix
# what the scanner's three kinds of cells see in, unlike any RGB's.
TO_CELLS = np.array([[0.4002, 0.7076, -0.0808], [-0.2263, 1.1653, 0.0457], [0.0, 0.0, 0.9182]])


@dataclass(frozen=True)
class Flatbed:
    """One flatbed. Light is 0 to 1.

    ``mixing``: how much of its neighbours each kind of cell sees, one sd. ``bend``: of its tone, a smile through black,
    grey and white. ``stray``: share of the light that comes from round about, within some ``reach_mm``. ``veil``: light
    over all. ``lamp``: how much darker the lamp's ends are. ``drift``: how much darker it gets along the way.
    ``shot``: noise at full light. ``jpeg``: quality, 0 for TIFF. ``space`` is what the file is coded in, and ``tagged``
    whether it says so.
    """

    mixing: float = 0.0
    bend: float = 0.0
    stray: float = 0.0
    reach_mm: float = 9.0
    veil: float = 0.0
    lamp: float = 0.0
    drift: float = 0.0
    shot: float = 0.002
    jpeg: int = 0
    bits: Literal[8, 16] = 8
    space: Literal["srgb", "adobe-rgb", "scanner"] = "srgb"
    tagged: bool = True
    seed: int = 1


@cache
def seen(stock: StockModel) -> NDArray[np.float32]:
    """XYZ (h, w, 3) of the print of ``stock`` on the bed, without a fault."""
    image = scan(prints.printed(stock=stock), ScannerModel(ppi=PPI, noise=0.0, compression="none")).image
    light = SCANNER_RGB.decode(image / 65535.0)
    return np.asarray(light @ SCANNER_RGB.to_xyz_d50.T, dtype=np.float32)


def scanned(path: Path, stock: StockModel, flatbed: Flatbed) -> Path:
    """The scan of the print of ``stock``, written as TIFF, or as JPEG where the flatbed does."""
    random = np.random.default_rng(flatbed.seed)
    light = _strayed(_mixed(seen(stock), flatbed, random), flatbed)
    numbers = SPACES[flatbed.space].encode(np.clip(_bent(_lit(light, flatbed), flatbed, random), 0, 1))
    top = 2**flatbed.bits - 1
    pixels = np.rint(np.asarray(numbers) * top).astype(np.uint8 if flatbed.bits == 8 else np.uint16)
    profile = scanner_profile() if flatbed.space == "scanner" else working_space_profile(flatbed.space)
    if flatbed.jpeg:
        made = path.with_suffix(".jpg")
        tag = {"icc_profile": profile} if flatbed.tagged else {}
        Image.fromarray(pixels).save(made, "JPEG", quality=flatbed.jpeg, dpi=(PPI, PPI), **tag)
        return made
    kind = "srgb" if flatbed.bits == 8 else "rgb16"
    image = pyvips.Image.new_from_array(pixels).copy(interpretation=kind, xres=PPI / 25.4, yres=PPI / 25.4)
    if flatbed.tagged:
        image.set_type(pyvips.GValue.blob_type, "icc-profile-data", profile)
    made = path.with_suffix(".tif")
    image.write_to_file(str(made))
    return made


def _mixed(xyz: NDArray[np.float32], flatbed: Flatbed, random: np.random.Generator) -> NDArray[np.float32]:
    """Light in the file's space, by cells that see too much of each other; white stays white."""
    mixing = np.eye(3) + flatbed.mixing * random.standard_normal((3, 3))
    mixing /= mixing.sum(axis=1, keepdims=True)
    white = TO_CELLS @ np.array([0.9642, 1.0, 0.8249])
    cells = np.diag(1 / white) @ TO_CELLS
    back = np.linalg.inv(cells) @ mixing @ cells
    return np.asarray(xyz @ (SPACES[flatbed.space].from_xyz_d50 @ back).T, dtype=np.float32)


def _strayed(light: NDArray[np.float32], flatbed: Flatbed) -> NDArray[np.float32]:
    """Light from round about, as much from a ring near by as from far off."""
    if flatbed.stray == 0:
        return light
    small = cv2.resize(light, None, fx=1 / 8, fy=1 / 8, interpolation=cv2.INTER_AREA)
    step = flatbed.reach_mm * PPI / 25.4 / 8
    around = (cv2.blur(small, (int(step) | 1,) * 2) + cv2.blur(small, (int(3 * step) | 1,) * 2)) / 2
    around = cv2.resize(around, (light.shape[1], light.shape[0]))
    return np.asarray(light + flatbed.stray * (around - light), dtype=np.float32)


def _lit(light: NDArray[np.float32], flatbed: Flatbed) -> NDArray[np.float32]:
    across = np.linspace(-1, 1, light.shape[1])[None, :, None]
    along = np.linspace(0, 1, light.shape[0])[:, None, None]
    falls = (1 - flatbed.lamp * across**4) * (1 - flatbed.drift * (1 - np.exp(-3 * along)))
    return np.asarray(light * falls + flatbed.veil, dtype=np.float32)


def _bent(light: NDArray[np.float32], flatbed: Flatbed, random: np.random.Generator) -> NDArray[np.float64]:
    """The tone of each channel, and noise that grows with the root of light."""
    bends = flatbed.bend * random.standard_normal(3)
    tone = np.clip(light, 0, None)
    tone = tone + bends * tone * (1 - tone) * np.where(tone < 0.5, 1.0, 0.6)
    noise = flatbed.shot * np.sqrt(np.clip(light, 0, None)) * random.standard_normal(light.shape)
    return np.asarray(np.where(light < 0, light, tone) + noise, dtype=np.float64)
