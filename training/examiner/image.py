"""Scenes as images: the sheet drawn, inked, laid on glass a little askew, scanned to a file, and read by the product.

Worked at 600 dots an inch, scanned at 300. Dark edges grow by a sub-pixel share of the darkest neighbour; card and
optics blur; stray light comes from around (see ``glass``); the file is a TIFF, a PNG or a JPEG.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from tempfile import TemporaryDirectory

import cv2
import numpy as np
import pyvips
from numpy.typing import NDArray
from PIL import Image
from scipy.ndimage import gaussian_filter, minimum_filter

from tackside.colour.spaces import WHITE_D50, Floats
from tackside.reading.scan.read import read_scan
from tackside.records import Reading
from tackside.sheet.render import render
from training.examiner.glass import Flatbed, draw_flatbed
from training.examiner.icc import scanner_profile
from training.examiner.prints import Print
from training.examiner.scenes import Laid, Scene
from training.examiner.solid import tetrahedral

PPI, SCAN_PPI = 600.0, 300.0
UM = 25_400.0 / PPI
LID, MARGIN_MM = 0.86, 6.0
# Colours of the sheet that are worked out one by one; the rest, of its scene, between nodes.
ONE_BY_ONE, NODES = 3000, 25
Pixels = NDArray[np.float32]


@dataclass(frozen=True)
class Lie:
    """How a sheet lies on the glass and is saved: turn in degrees, and JPEG quality or None."""

    turn: float
    shift: float
    jpeg: int | None
    registration_px: float


def read_as_image(rng: np.random.Generator, scene: Scene) -> tuple[Reading, Reading | None, Reading | None]:
    """Readings of the print, of the one beside it and of the other side, all from the same glass."""
    glass = draw_flatbed(rng, 1)
    jpeg = int(rng.integers(84, 97)) if glass.bits == 8 and rng.random() < 0.35 else None
    read = _read(rng, glass, scene.laid, jpeg)
    reference = None
    if scene.reference is not None:
        reference = (
            read.model_copy(update={"trial": "t2"})
            if scene.read_once
            else _read(rng, glass, scene.reference, jpeg)
        )
    other = None if scene.other_side is None else _read(rng, glass, scene.other_side, jpeg)
    return read, reference, other


def _read(rng: np.random.Generator, glass: Flatbed, laid: Laid, jpeg: int | None) -> Reading:
    with TemporaryDirectory() as folder:
        path = scanned(rng, glass, laid, jpeg, Path(folder))
        return read_scan(path, laid.sheet, trial=laid.trial.id, device=glass.name)


def scanned(rng: np.random.Generator, glass: Flatbed, laid: Laid, jpeg: int | None, folder: Path) -> Path:
    """The file of one scan."""
    paper, print_ = _inked(rng, glass, laid)
    lie = Lie(
        turn=float(rng.normal(0.0, 0.7)) + float(rng.choice([0.0, 0.0, 0.0, 180.0])),
        shift=float(rng.uniform(-2.0, 2.0)),
        jpeg=jpeg,
        registration_px=float(rng.uniform(0.0, 0.25)),
    )
    seen = _on_glass(glass, print_, paper, laid, lie)
    seen = _through_optics(rng, glass, seen, lie)
    return _saved(glass, seen, lie, folder / f"{laid.trial.id}")


def _inked(rng: np.random.Generator, glass: Flatbed, laid: Laid) -> tuple[Floats, Pixels]:
    """Linear scanner numbers of bare card (3,), and of the whole print (h, w, 3)."""
    made, grain = laid.made, laid.made.grain
    image = render(laid.sheet)
    if made.lost and made.lost_share < 1.0:
        # Whole rows of the head are gone: lines of the full print beside lines without the ink.
        full = _coloured(glass, laid, replace(made, lost=()), image)
        without = _coloured(glass, laid, replace(made, lost_share=1.0), image)
        gone = rng.random(len(image)) < made.lost_share
        linear = np.where(gone[:, None, None], without, full)
    else:
        linear = _coloured(glass, laid, made, image)
    paper = glass.numbers(made.spectra(np.ones((1, 3)), laid.space))[0]
    linear = _ragged(rng, _grown(linear, 0.5 * grain.spread_um / UM), grain.ragged_um / UM)
    if made.doubled_um > 0:
        half = 0.5 * made.doubled_um / UM
        linear = 0.5 * (_moved(linear, half) + _moved(linear, -half))
    linear = _uneven(rng, linear, paper, grain.mottle, grain.grain)
    blur = float(np.hypot(grain.blur_um, glass.blur_um)) / UM
    return paper, np.stack([gaussian_filter(linear[..., i], blur) for i in range(3)], axis=-1)


def _coloured(glass: Flatbed, laid: Laid, made: Print, image: NDArray[np.uint8]) -> Pixels:
    def linear(rgb: Floats) -> Floats:
        return glass.numbers(made.spectra(rgb, laid.space))

    keys = image.reshape(-1, 3).astype(np.uint32) @ np.array([65536, 256, 1], dtype=np.uint32)
    some, place, count = np.unique(keys, return_inverse=True, return_counts=True)
    rgb = np.stack([some >> 16, (some >> 8) & 255, some & 255], axis=-1) / 255.0
    exact = np.argsort(-count)[:ONE_BY_ONE]
    found = np.empty((len(some), 3))
    if len(some) > ONE_BY_ONE:
        axis = np.rint(np.linspace(0.0, 255.0, NODES)) / 255.0
        grid = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1).reshape(-1, 3)
        table = np.cbrt(linear(grid)).reshape(NODES, NODES, NODES, 3)
        found = tetrahedral(table, rgb) ** 3
    found[exact] = linear(rgb[exact])
    return found.astype(np.float32)[place.ravel()].reshape(image.shape)


def _grown(linear: Pixels, pixels: float) -> Pixels:
    """Dark edges moved outwards by so many pixels, the last part of one by a share of the darkest neighbour."""
    while pixels > 0:
        share = min(pixels, 1.0)
        dark = np.stack([minimum_filter(linear[..., i], 3) for i in range(3)], axis=-1)
        linear = (1.0 - share) * linear + share * dark
        pixels -= share
    return linear.astype(np.float32)


def _ragged(rng: np.random.Generator, linear: Pixels, pixels: float) -> Pixels:
    """Edges that wander by so many pixels (standard deviation) over a quarter of a millimetre."""
    height, width = linear.shape[:2]
    places = []
    for along in (np.arange(width, dtype=np.float32)[None], np.arange(height, dtype=np.float32)[:, None]):
        coarse = rng.standard_normal((height // 6 + 2, width // 6 + 2)).astype(np.float32)
        off = cv2.resize(coarse, (width, height), interpolation=cv2.INTER_CUBIC)
        places.append(np.ascontiguousarray(along + pixels * off / 0.75, dtype=np.float32))
    return np.asarray(
        cv2.remap(linear, places[0], places[1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    )


def _moved(linear: Pixels, across: float) -> Pixels:
    matrix = np.array([[1.0, 0.0, across], [0.0, 1.0, 0.0]])
    size = (linear.shape[1], linear.shape[0])
    return np.asarray(
        cv2.warpAffine(linear, matrix, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    )


def _uneven(rng: np.random.Generator, linear: Pixels, paper: Floats, mottle: float, grain: float) -> Pixels:
    """Mottle over a millimetre or two and grain below, in L*, where there is ink."""
    height, width = linear.shape[:2]
    coarse = rng.standard_normal((height // 30 + 2, width // 30 + 2)).astype(np.float32)
    blots = cv2.resize(coarse, (width, height), interpolation=cv2.INTER_CUBIC)
    fine = rng.standard_normal((height // 3 + 1, width // 3 + 1)).astype(np.float32)
    specks = cv2.resize(fine, (width, height), interpolation=cv2.INTER_NEAREST)
    green = linear[..., 1] / float(paper[1])
    inked = np.clip((1.0 - green) / 0.3, 0.0, 1.0)
    # dL* = 116 / 3 · Y^(1/3) · dY / Y
    change = inked * (mottle * blots / 0.7 + grain * specks) / (38.7 * np.cbrt(np.maximum(green, 0.01)))
    return np.asarray(linear * np.clip(1.0 + change, 0.5, 1.5)[..., None], dtype=np.float32)


def _on_glass(glass: Flatbed, print_: Pixels, paper: Floats, laid: Laid, lie: Lie) -> Pixels:
    """The card on the glass, lid around it, at the scan's resolution."""
    height, width = print_.shape[:2]
    step = SCAN_PPI / PPI
    margin = MARGIN_MM / 25.4 * SCAN_PPI
    size = (round(width * step + 2 * margin), round(height * step + 2 * margin))
    angle = np.radians(lie.turn)
    cosine, sine = np.cos(angle), np.sin(angle)
    middle = np.array(size) / 2.0 + lie.shift

    def placed(scale_x: float, scale_y: float) -> Floats:
        linear = step * np.array([[cosine * scale_x, -sine * scale_y], [sine * scale_x, cosine * scale_y]])
        return np.column_stack([linear, middle - linear @ (np.array([width, height]) / 2.0)])

    bed = np.full((size[1], size[0], 3), LID, dtype=np.float32)
    card = np.ones((height, width), dtype=np.float32)
    cover = cv2.warpAffine(card, placed(1.0, 1.0), size, flags=cv2.INTER_AREA)[..., None]
    small = cv2.blur(print_, (2, 2))
    shown = cv2.warpAffine(
        small,
        placed(*laid.made.scale),
        size,
        flags=cv2.INTER_LINEAR,
        borderMode=cv2.BORDER_CONSTANT,
        borderValue=tuple(float(each) for each in paper),
    )
    # The card's edge casts a thin shadow on the lid.
    edge = cv2.GaussianBlur(cover, (0, 0), 2.5)[..., None]
    bed *= 1.0 - 0.25 * edge * (1.0 - cover)
    return np.asarray(cover * shown + (1.0 - cover) * bed, dtype=np.float32)


def _through_optics(rng: np.random.Generator, glass: Flatbed, seen: Pixels, lie: Lie) -> Pixels:
    height, width = seen.shape[:2]
    reach = glass.reach_mm / 25.4 * SCAN_PPI / 8.0
    small = cv2.resize(seen, (width // 8, height // 8), interpolation=cv2.INTER_AREA)
    around = cv2.resize(cv2.GaussianBlur(small, (0, 0), reach), (width, height))
    seen = np.asarray(seen + glass.stray * (around - 0.6 * seen) + glass.floor, dtype=np.float32)
    x, y = np.linspace(-0.5, 0.5, width), np.linspace(-0.5, 0.5, height)
    tilt = 1.0 + glass.tilt[0] * x[None] + glass.tilt[1] * y[:, None]
    drift = 1.0 + rng.normal(0.0, 0.004) + rng.normal(0.0, 0.001, 3)
    seen = np.asarray(seen * tilt[..., None] * drift, dtype=np.float32)
    for channel, shift in ((0, lie.registration_px), (2, -lie.registration_px)):
        seen[..., channel] = _moved(np.ascontiguousarray(seen[..., channel], dtype=np.float32), shift)
    noise = rng.standard_normal(seen.shape, dtype=np.float32)
    return np.asarray(seen + glass.noise * np.sqrt(np.maximum(seen, 0.01)) * noise, dtype=np.float32)


def _saved(glass: Flatbed, seen: Pixels, lie: Lie, stem: Path) -> Path:
    file = glass.coded(seen.astype(np.float64))
    dpi = (SCAN_PPI, SCAN_PPI)
    profile = None if glass.assumed else scanner_profile(glass.matrix, glass.gamma, WHITE_D50, glass.name)
    if glass.bits == 16:
        path = stem.with_suffix(".png")
        words = np.rint(file * 65535.0).astype(np.uint16)
        image = pyvips.Image.new_from_array(words, interpretation="rgb16").copy(
            xres=SCAN_PPI / 25.4, yres=SCAN_PPI / 25.4
        )
        if profile is not None:
            image = image.copy()
            image.set_type(pyvips.GValue.blob_type, "icc-profile-data", profile)
        image.write_to_file(str(path))
        return path
    image_8 = Image.fromarray(np.rint(file * 255.0).astype(np.uint8))
    if lie.jpeg is not None:
        path = stem.with_suffix(".jpg")
        image_8.save(path, quality=lie.jpeg, subsampling=1, dpi=dpi, icc_profile=profile)
        return path
    path = stem.with_suffix(".tif")
    image_8.save(path, dpi=dpi, icc_profile=profile)
    return path
