"""One photograph: two prints on a table, seen aslant through a lens, in mixed light, saved as a phone saves it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import cast

import cv2
import numpy as np
from numpy.typing import NDArray
from PIL import Image

from tackside.colour.spaces import Floats
from tackside.sheet.render import render
from training.examiner.glass import Flatbed
from training.examiner.image import _coloured
from training.examiner.scenes import Laid
from training.examiner.spectra import WAVELENGTHS
from training.phone.cameras import Camera, draw_camera
from training.phone.lights import Light, draw_lights

Pixels = NDArray[np.float32]
SIZES = ((2592, 1944), (2048, 1536))
# Soft things are worked out on so much coarser a grid.
COARSE = 8


@dataclass(frozen=True)
class Shot:
    """How a photograph is taken. ``tilt_deg`` up to 20; ``falloff`` of light; ``k1`` of the lens; ``fold``: depth of
    the shadow beside a fold, and its width in mm; ``fills``: share of the picture that the two sheets fill."""

    size: tuple[int, int]
    tilt_deg: float
    turn_deg: float
    k1: float
    fills: float
    falloff: float
    blur_px: float
    jpeg: int
    fold: tuple[float, float] | None
    exposure: float
    balance: tuple[float, float]
    veil: float
    vignette: float
    askew: tuple[float, float] = field(default=(0.0, 0.0))


def draw_shot(rng: np.random.Generator) -> Shot:
    """Within what is asked of the reading: to 20° and 40 %, to 1.5 px of blur, a fold's shadow in a quarter."""
    return Shot(
        size=SIZES[int(rng.integers(len(SIZES)))],
        tilt_deg=float(rng.uniform(0.0, 20.0)),
        turn_deg=float(rng.uniform(0.0, 360.0)),
        k1=float(rng.uniform(-0.03, 0.03)),
        fills=float(rng.uniform(0.75, 0.92)),
        falloff=0.4,
        blur_px=float(rng.uniform(0.4, 1.5)),
        jpeg=int(rng.integers(80, 97)),
        fold=(float(rng.uniform(0.05, 0.25)), float(rng.uniform(4.0, 15.0))) if rng.random() < 0.25 else None,
        exposure=float(rng.uniform(0.62, 0.95)),
        balance=_balance(rng),
        veil=float(rng.uniform(0.0, 0.008)),
        vignette=float(rng.uniform(0.0, 0.12)),
        askew=(float(rng.normal(0.0, 2.5)), float(rng.normal(0.0, 2.5))),
    )


def _balance(rng: np.random.Generator) -> tuple[float, float]:
    """How far the camera's white is off, red and blue: about right, or left warm, or cool."""
    kind = rng.random()
    if kind < 0.6:
        return float(np.exp(rng.normal(0.0, 0.04))), float(np.exp(rng.normal(0.0, 0.05)))
    if kind < 0.9:
        return float(rng.uniform(1.05, 1.35)), float(rng.uniform(0.6, 0.95))
    return float(rng.uniform(0.85, 0.97)), float(rng.uniform(1.05, 1.3))


def photographed(
    rng: np.random.Generator, prints: list[Laid], shot: Shot, path: Path,
    camera: Camera | None = None, lights: tuple[Light, Light] | None = None,
    bent: Callable[[Floats], Floats] | None = None, over: Callable[[Pixels, Floats], Pixels] | None = None,
) -> Path:  # fmt: skip
    """The file of one photograph of these prints, left to right. ``bent`` moves places on the table (h, w, 2), in mm,
    as a sheet that is not flat does; ``over`` changes the light (h, w, 3) that comes from these places.
    """
    camera = camera or draw_camera(rng)
    lights = lights or draw_lights(rng, shot.falloff)
    table_xy, reach = _table(rng, prints, shot)
    width, height = shot.size
    places = _on_table(shot, reach)
    coarse = cv2.resize(places, (width // COARSE, height // COARSE), interpolation=cv2.INTER_AREA)
    amounts = [_fine(light.over(coarse / (reach[0] / 2, reach[1] / 2)), shot) for light in lights]
    wood = _wood(rng, places)
    scene = np.zeros((height, width, 3), dtype=np.float32)
    whites = [camera.seen(np.ones((1, 31)), light.spectrum)[0].astype(np.float32) for light in lights]
    backs = [camera.seen(wood, light.spectrum)[0].astype(np.float32) for light in lights]
    texture = _texture(rng, places)
    for amount, back in zip(amounts, backs, strict=True):
        scene += (amount * texture)[..., None] * back
    for laid, (middle, turn) in zip(prints, table_xy, strict=True):
        lies = places if bent is None else bent(places)
        scene = _with_print(rng, scene, camera, lights, amounts, laid, lies, middle, turn, shot)
    for amount, white in zip(amounts, whites, strict=True):
        scene += amount[..., None] * (np.float32(shot.veil) * white)
    across, down = np.meshgrid(
        np.linspace(-1, 1, width // COARSE), np.linspace(-0.75, 0.75, height // COARSE)
    )
    soft = 1.0 - shot.vignette * (np.hypot(across, down) / 1.25) ** 2
    if shot.fold is not None:
        soft = soft * _fold(rng, coarse, reach, shot.fold)
    scene *= _fine(soft, shot)[..., None]
    if over is not None:
        scene = over(scene, places)
    return _developed(rng, scene, camera, lights, shot, path)


def _fine(soft: Floats, shot: Shot) -> Pixels:
    return np.asarray(cv2.resize(soft.astype(np.float32), shot.size, interpolation=cv2.INTER_CUBIC))


def _table(
    rng: np.random.Generator, prints: list[Laid], shot: Shot
) -> tuple[list[tuple[Floats, float]], tuple[float, float]]:
    """Middles (mm) and turns (radians) of the sheets on the table, and how much of it the picture shows (mm)."""
    gap = float(rng.uniform(4.0, 15.0))
    widths = [laid.sheet.size_mm[0] for laid in prints]
    tall = max(laid.sheet.size_mm[1] for laid in prints)
    total = sum(widths) + gap * (len(prints) - 1)
    at, left = [], -total / 2
    for wide, askew in zip(widths, shot.askew, strict=False):
        turn = np.radians(askew)
        at.append((np.array([left + wide / 2, float(rng.uniform(-4.0, 4.0))]), float(turn)))
        left += wide + gap
    ratio = shot.size[0] / shot.size[1]
    wide_mm = max(total + 8.0, (tall + 16.0) * ratio) / shot.fills
    return at, (wide_mm, wide_mm / ratio)


def _on_table(shot: Shot, reach: tuple[float, float]) -> Floats:
    """Where on the table (h, w, 2), in mm from its middle, each pixel's ray lands.

    A pinhole as far off as 1.1 times the picture's width, tilted about an axis at ``turn_deg`` in the picture, and a
    lens that moves what it images outwards by ``k1`` r².
    """
    width, height = shot.size
    across = ((np.arange(width) + 0.5) / width - 0.5).astype(np.float32)
    x, y = np.meshgrid(across, ((np.arange(height) + 0.5 - height / 2) / width).astype(np.float32))
    half = np.float32(np.hypot(0.5, height / width / 2))
    bent_r = np.hypot(x, y) / half
    # The inverse of r' = r (1 + k1 r²), by three rounds.
    r = bent_r
    for _ in range(3):
        r = bent_r / (1.0 + shot.k1 * r * r)
    factor = np.where(bent_r > 0, r / np.maximum(bent_r, 1e-9), 1.0)
    rays = np.stack([x * factor, y * factor, np.full_like(x, 1.1)], axis=-1).astype(np.float32)
    axis = np.radians(shot.turn_deg)
    turn = cv2.Rodrigues(np.array([np.cos(axis), np.sin(axis), 0.0]) * np.radians(shot.tilt_deg))[0]
    away = 1.1 * reach[0] * (1.0 + 0.5 * np.sin(np.radians(shot.tilt_deg)))
    rays = rays @ np.asarray(turn, dtype=np.float32).T
    eye = -np.asarray(turn) @ np.array([0.0, 0.0, away])
    scale = -eye[2] / rays[..., 2]
    return np.asarray(eye[:2] + rays[..., :2] * scale[..., None], dtype=np.float32)


def _with_print(
    rng: np.random.Generator, scene: Pixels, camera: Camera, lights: tuple[Light, Light], amounts: list[Pixels],
    laid: Laid, places: Floats, middle: Floats, turn: float, shot: Shot,
) -> Pixels:  # fmt: skip
    """The scene with a print laid on it; only the part of the picture where it lies is worked on."""
    wide, tall = laid.sheet.size_mm
    c, s = np.float32(np.cos(turn)), np.float32(np.sin(turn))
    near = np.hypot(*(places - middle).astype(np.float32).transpose(2, 0, 1)) < np.hypot(wide, tall) / 2 + 8.0
    rows, columns = np.flatnonzero(near.any(axis=1)), np.flatnonzero(near.any(axis=0))
    part = np.s_[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    off = (places[part] - middle).astype(np.float32)
    mm_x = c * off[..., 0] + s * off[..., 1] + np.float32(wide / 2)
    mm_y = -s * off[..., 0] + c * off[..., 1] + np.float32(tall / 2)
    image = _drawn(laid)
    scale = image.shape[1] / wide, image.shape[0] / tall
    x, y = mm_x * np.float32(scale[0]) - np.float32(0.5), mm_y * np.float32(scale[1]) - np.float32(0.5)
    density = scale[0] / (shot.size[0] / float(np.ptp(places[places.shape[0] // 2, :, 0])))
    edge = np.minimum(np.minimum(mm_x, wide - mm_x), np.minimum(mm_y, tall - mm_y))
    cover = np.clip(edge * np.float32(scale[0] / density) + 0.5, 0, 1).astype(np.float32)[..., None]
    uneven = None
    shown = np.zeros_like(scene[part])
    for light, amount in zip(lights, amounts, strict=True):
        seen = _coloured(cast(Flatbed, _Eye(camera, light.spectrum)), laid, laid.made, image)
        if uneven is None:
            uneven = _uneven(rng, seen, laid)
        seen = cv2.GaussianBlur(seen * uneven, (0, 0), max(0.45 * density, 0.3))
        shown += amount[part][..., None] * cv2.remap(
            seen, x, y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE
        )
    shade = 1.0 - np.float32(0.35) * cv2.GaussianBlur(cover, (0, 0), 6.0)[..., None]
    scene[part] = cover * shown + (1.0 - cover) * scene[part] * shade
    return scene


_DRAWN: dict[tuple[object, ...], NDArray[np.uint8]] = {}


def _drawn(laid: Laid) -> NDArray[np.uint8]:
    """The sheet's own pixels; sheets of one size, space and trial are alike, and drawn once."""
    sheet = laid.sheet
    key = (sheet.size_mm, sheet.space, sheet.side, sheet.ppi, tuple(tag.text for tag in sheet.tags))
    if key not in _DRAWN:
        image = render(sheet)
        for target in sheet.targets:
            if target.kind == "scene":  # some colours of its photographs will do
                box, per_mm = target.box_mm, sheet.ppi / 25.4
                x = slice(int(box.x * per_mm), int(box.right * per_mm))
                y = slice(int(box.y * per_mm), int(box.bottom * per_mm))
                image[y, x] = image[y, x] // 32 * 36
        _DRAWN[key] = image
    return _DRAWN[key]


@dataclass(frozen=True, eq=False)
class _Eye:
    camera: Camera
    light: Floats

    def numbers(self, spectra: Floats) -> Floats:
        return self.camera.seen(spectra, self.light)


def _uneven(rng: np.random.Generator, seen: Pixels, laid: Laid) -> Pixels:
    """Mottle over a millimetre or two, where there is ink."""
    height, width = seen.shape[:2]
    coarse = rng.standard_normal((height // 15 + 2, width // 15 + 2)).astype(np.float32)
    blots = cv2.resize(coarse, (width, height), interpolation=cv2.INTER_CUBIC)
    green = seen[..., 1] / max(float(seen[..., 1].max()), 1e-6)
    change = np.clip((1.0 - green) / 0.3, 0.0, 1.0) * laid.made.grain.mottle * blots
    change = np.clip(change / (27.0 * np.cbrt(np.maximum(green, 0.01))), -0.3, 0.3)
    return np.asarray(1.0 + change, dtype=np.float32)[..., None]


def _wood(rng: np.random.Generator, places: Floats) -> Floats:
    """The reflectance (1, 31) of a table: brown, grey or white."""
    slope = rng.uniform(0.0, 0.5)
    return np.asarray(rng.uniform(0.08, 0.7) * (1.0 + slope * (WAVELENGTHS - 550.0) / 150.0))[None]


def _texture(rng: np.random.Generator, places: Floats) -> Pixels:
    height, width = places.shape[:2]
    coarse = rng.standard_normal((height // 120 + 2, width // 12 + 2)).astype(np.float32)
    return np.asarray(
        1.0 + 0.06 * cv2.resize(coarse, (width, height), interpolation=cv2.INTER_CUBIC), dtype=np.float32
    )


def _fold(
    rng: np.random.Generator, places: Floats, reach: tuple[float, float], fold: tuple[float, float]
) -> Pixels:
    """A soft band of shadow across the table, as beside a fold or a window's bar."""
    depth, width = fold
    turn = rng.uniform(0.0, np.pi)
    at = rng.uniform(-0.3, 0.3) * min(reach)
    off = places @ np.array([np.cos(turn), np.sin(turn)]) - at
    return np.asarray(1.0 - depth * np.exp(-0.5 * (off / width) ** 2), dtype=np.float32)


def _developed(
    rng: np.random.Generator,
    scene: Pixels,
    camera: Camera,
    lights: tuple[Light, Light],
    shot: Shot,
    path: Path,
) -> Path:
    """From light to the file: white balance, exposure, lens blur, noise, sharpening, tone, JPEG."""
    white = camera.seen(np.ones((1, 31)), lights[0].spectrum + 0.6 * lights[1].spectrum)[0]
    gains = white[1] / white * np.array([shot.balance[0], 1.0, shot.balance[1]])
    # Phones expose for the brightest channel, so that white is not cut off.
    brightest = float(np.percentile(camera.balanced(scene[::7, ::7], gains).max(axis=-1), 99.0))
    scene = cv2.GaussianBlur(scene, (0, 0), shot.blur_px)
    light = scene * np.float32(shot.exposure / brightest)
    noise = rng.standard_normal(light.shape, dtype=np.float32)
    light = light + camera.noise * np.sqrt(np.maximum(light, 0.004)) * cv2.GaussianBlur(noise, (0, 0), 0.6)
    linear = camera.balanced(light, gains).astype(np.float32)
    if camera.local:
        around = cv2.GaussianBlur(
            cv2.resize(linear, None, fx=0.1, fy=0.1, interpolation=cv2.INTER_AREA), (0, 0), 20.0
        )
        around = cv2.resize(around, (linear.shape[1], linear.shape[0]))
        linear = linear + camera.local * (linear - around)
    levels = np.linspace(0.0, 1.6, 8192)
    steps = np.rint(np.clip(linear, 0.0, 1.6) * np.float32(8191 / 1.6)).astype(np.uint16)
    file = camera.toned(levels).astype(np.float32)[steps]
    if camera.sharpening:
        file = file + camera.sharpening * (file - cv2.GaussianBlur(file, (0, 0), 1.2))
    bytes_ = np.rint(np.clip(file, 0.0, 1.0) * 255.0).astype(np.uint8)
    Image.fromarray(bytes_).save(path, quality=shot.jpeg, subsampling=2)
    return path
