"""Scans whose truth is known, clean and spoilt: what the telling of a scan's spoilt settings is measured with.

Clean scans come from two presses and their scanners (``tackside.press`` with halftone dots and a card's relief laid
over it; ``training/examiner`` with spectra and stray light), in 8 and 16 bits, at 300 and 600 ppi. Each setting is a
real operation of a general library (Pillow, OpenCV, libvips), done by no code of the reader.
"""

from __future__ import annotations

import io
from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import cache, lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import cv2
import numpy as np
import pyvips
from numpy.typing import NDArray
from PIL import Image, ImageFilter, ImageOps

from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import Print, print_sheet
from tackside.press.printer.stock_model import cotton_etching, craft_card, matt_coated, semi_gloss
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.scanner.scanning import scan
from tackside.records import Feed, Printer, SheetPlan, Stock
from tackside.sheet.plan import plan_sheet
from tackside.sheet.render import render
from training.examiner.examined import at_hand
from training.examiner.glass import draw_flatbed
from training.examiner.image import scanned
from training.examiner.scenes import draw_scene
from training.examiner.works import draw_work

Pixels = NDArray[Any]
SIZES = ((148.0, 105.0), (105.0, 148.0), (148.0, 148.0))
TRIAL = "7K3M9QPA"


@dataclass(frozen=True, eq=False)
class Clean:
    """One scan with nothing done to it: ``deep`` (h, w, 3) uint16, saved in ``bits``; ``told`` says what made it."""

    deep: Pixels
    bits: int
    ppi: float
    profile: bytes | None
    plan: SheetPlan
    trial: str
    told: str

    @property
    def pixels(self) -> Pixels:
        """As it is saved."""
        return self.deep if self.bits == 16 else eight(self.deep)


def eight(deep: Pixels) -> NDArray[np.uint8]:
    return np.asarray(np.rint(deep / 257.0), dtype=np.uint8)


def sixteen(pixels: Pixels) -> NDArray[np.uint16]:
    return np.asarray(pixels, dtype=np.uint16) * np.uint16(257)


# So many scans of the virtual press in a row are of one print, each under a glass of its own: prints take longest.
OF_ONE_PRINT = 6
FINE_EVERY = 16  # of so many prints one is scanned at 600 ppi


def clean_scan(seed: int, number: int, examiner_every: int = 12) -> Clean:
    """Scan ``number`` of a study: of the virtual press, and each ``examiner_every``th of the other."""
    rng = np.random.default_rng([seed, number])
    if number % examiner_every == examiner_every - 1:
        return of_examiner(rng)
    return under_glass(rng, *press_print(seed, number // OF_ONE_PRINT))


@lru_cache(1)
def press_print(seed: int, number: int, ppi: float | None = None) -> tuple[Print, SheetPlan, float, str]:
    """A sheet of the virtual press, with dots and relief, its plan, the resolution to scan it at, and what made it."""
    rng = np.random.default_rng([seed, number, 1])
    if ppi is None:
        ppi = 600.0 if number % FINE_EVERY == FINE_EVERY - 1 else 300.0
    size = SIZES[int(rng.integers(len(SIZES)))] if ppi < 600 else SIZES[0]
    stock = (semi_gloss, cotton_etching, matt_coated, craft_card)[number % 4]()
    model = replace(
        stock,
        mottle=stock.mottle * float(np.exp(rng.normal(0, 0.4))),
        grain=stock.grain * float(np.exp(rng.normal(0, 0.4))),
        seed=int(rng.integers(1, 10**6)),
    )
    plan, drawn = _drawn(size)
    printer = PrinterModel(
        ink=float(rng.uniform(0.85, 1.1)), offset_mm=(float(rng.normal(0, 0.4)), float(rng.normal(0, 0.4)))
    )
    printed = print_sheet(drawn, plan.ppi, model, printer, sheet_size_mm=size, at_ppi=int(max(ppi, 300)))
    dots, relief = float(rng.choice([0.0, 0.1, 0.25])), float(rng.choice([0.0, 0.0, 0.01, 0.025]))
    printed = _with_dots_and_relief(rng, printed, dots, relief)
    return printed, plan, ppi, f"press {model.name} dots {dots} relief {relief}"


@cache
def _drawn(size: tuple[float, float]) -> tuple[SheetPlan, Pixels]:
    feed = Feed(name="rear", min_size_mm=(80, 80), max_size_mm=(329, 1000))
    plan = plan_sheet(
        Stock(name="Card", open_size_mm=size), Printer(name="Tern 8", feeds=(feed,)), trial_id=TRIAL
    )
    return plan, render(plan)


def under_glass(rng: np.random.Generator, printed: Print, plan: SheetPlan, ppi: float, told: str) -> Clean:
    """The print, scanned."""
    space = ("scanner", "srgb", "adobe-rgb")[int(rng.integers(3))]
    glass = ScannerModel(
        ppi=ppi,
        tilt_deg=float(rng.normal(0, 0.8)),
        blur_um=float(rng.uniform(16, 50)),
        noise=float(rng.uniform(0.002, 0.009)),
        space=space,  # type: ignore[arg-type]
        lid=float(rng.uniform(0.8, 0.93)),
        bits=16,
        compression="none",
        seed=int(rng.integers(1, 10**6)),
    )
    seen = scan(printed, glass)
    bits = 16 if rng.random() < 0.35 else 8
    told = f"{told} noise {glass.noise:.4f} blur {glass.blur_um:.0f} {space}"
    return Clean(np.asarray(seen.image), bits, ppi, glass.profile, plan, TRIAL, told)


def _with_dots_and_relief(rng: np.random.Generator, printed: Print, dots: float, relief: float) -> Print:
    """Dots where there is neither bare card nor full ink, and a card's relief under a lamp from one side."""
    xyz = printed.xyz
    shape = xyz.shape[:2]
    light = np.ones(shape, np.float32)
    if dots:
        noise = rng.standard_normal(shape, dtype=np.float32)
        fine = noise - cv2.GaussianBlur(noise, (0, 0), 1.2)
        tone = np.clip(xyz[..., 1] / float(np.quantile(xyz[..., 1], 0.99)), 0, 1)
        light += dots * 4 * tone * (1 - tone) * fine
    if relief:
        rough = cv2.GaussianBlur(
            rng.standard_normal(shape, dtype=np.float32),
            (0, 0),
            float(rng.uniform(0.1, 0.4)) * printed.ppi / 25.4,
        )
        slope = np.gradient(rough, axis=0)
        light += relief * slope / float(slope.std())
    return replace(printed, xyz=np.asarray(xyz * np.clip(light, 0.2, 1.8)[..., None], np.float32))


def of_examiner(rng: np.random.Generator) -> Clean:
    """A scan of ``training/examiner``, of any of its prints, faulty ones too."""
    families = at_hand()
    work = draw_work(rng, families[int(rng.integers(len(families)))])
    scene = draw_scene(rng, work, "none", 600.0, ((105.0, 148.0),))
    glass = draw_flatbed(rng, 1)
    with TemporaryDirectory() as folder:
        path = scanned(rng, replace(glass, bits=16), scene.laid, None, Path(folder))
        image = pyvips.Image.new_from_file(str(path))
        profile = bytes(image.get("icc-profile-data")) if "icc-profile-data" in image.get_fields() else None
        deep = np.asarray(image.numpy())
    told = f"examiner {scene.truth[0]} noise {glass.noise:.4f} blur {glass.blur_um:.0f} gamma {glass.gamma}"
    return Clean(deep, glass.bits, 300.0, profile, scene.laid.sheet, scene.laid.trial.id, told)


# Each takes pixels of 8 or 16 bits and gives pixels of as many.
Operation = Callable[[Pixels], Pixels]


def by_pillow(work: Callable[[Image.Image], Image.Image]) -> Operation:
    """An operation of Pillow, which works in 8 bits; of 16 bits the curve or the difference is carried over."""

    def done(pixels: Pixels) -> Pixels:
        if pixels.dtype == np.uint8:
            return np.asarray(work(Image.fromarray(pixels)))
        return sixteen(np.asarray(work(Image.fromarray(eight(pixels)))))

    return done


def autocontrast(cutoff: float, each: bool = True) -> Operation:
    """Pillow's: each channel from its own ends, or all by one curve; in 16 bits by the same two ends."""

    def done(pixels: Pixels) -> Pixels:
        if pixels.dtype == np.uint8:
            return np.asarray(ImageOps.autocontrast(Image.fromarray(pixels), cutoff, preserve_tone=not each))
        out = np.empty_like(pixels)
        for band in range(3):
            low, high = np.percentile(pixels[..., band], (cutoff, 100 - cutoff))
            out[..., band] = np.clip((pixels[..., band] - low) / (high - low) * 65535.0, 0, 65535).astype(
                np.uint16
            )
        return out

    return done


def curve(strength: float) -> Operation:
    """An S-curve through both ends and the middle, by a table (OpenCV LUT)."""
    x = np.linspace(0, 1, 256)
    table = np.clip(x - strength * np.sin(2 * np.pi * x) / (2 * np.pi), 0, 1)

    def done(pixels: Pixels) -> Pixels:
        if pixels.dtype == np.uint8:
            return np.asarray(cv2.LUT(pixels, np.rint(table * 255).astype(np.uint8)))
        return np.rint(np.interp(pixels / 65535.0, x, table) * 65535).astype(np.uint16)

    return done


def paper_to_white(pixels: Pixels) -> Pixels:
    """Each channel multiplied until the card's own white is at the end."""
    top = float(np.iinfo(pixels.dtype).max)
    white = np.percentile(pixels.reshape(-1, 3)[::7], 97, axis=0)
    return np.asarray(np.clip(np.rint(pixels * (top / white)), 0, top), dtype=pixels.dtype)


def clahe(clip: float) -> Operation:
    """OpenCV's, on the lightness of an 8-bit picture."""

    def done(pixels: Pixels) -> Pixels:
        lab = cv2.cvtColor(pixels if pixels.dtype == np.uint8 else eight(pixels), cv2.COLOR_RGB2LAB)
        lab[..., 0] = cv2.createCLAHE(clip, (8, 8)).apply(lab[..., 0])
        out = cv2.cvtColor(lab, cv2.COLOR_LAB2RGB)
        return out if pixels.dtype == np.uint8 else sixteen(out)

    return done


def unsharp(radius: float, percent: int) -> Operation:
    """Pillow's for 8 bits, OpenCV's blur for 16."""

    def done(pixels: Pixels) -> Pixels:
        if pixels.dtype == np.uint8:
            return np.asarray(Image.fromarray(pixels).filter(ImageFilter.UnsharpMask(radius, percent, 0)))
        soft = cv2.GaussianBlur(pixels, (0, 0), radius).astype(np.float32)
        return np.asarray(np.clip(pixels + percent / 100 * (pixels - soft), 0, 65535), dtype=np.uint16)

    return done


def vips_sharpen(sigma: float, m2: float) -> Operation:
    """libvips', on the lightness."""

    def done(pixels: Pixels) -> Pixels:
        image = pyvips.Image.new_from_array(
            pixels, interpretation="srgb" if pixels.dtype == np.uint8 else "rgb16"
        )
        out = image.sharpen(sigma=sigma, m1=m2 / 2, m2=m2)
        return np.asarray(out.cast(image.format).numpy())

    return done


def median(side: int) -> Operation:
    return lambda pixels: np.asarray(cv2.medianBlur(pixels, side))


def gaussian(sigma: float) -> Operation:
    return lambda pixels: np.asarray(cv2.GaussianBlur(pixels, (0, 0), sigma))


def bilateral(colour: float, space: float) -> Operation:
    def done(pixels: Pixels) -> Pixels:
        if pixels.dtype == np.uint8:
            return np.asarray(cv2.bilateralFilter(pixels, 0, colour, space))
        small = pixels.astype(np.float32) / 257.0
        return np.asarray(np.clip(cv2.bilateralFilter(small, 0, colour, space) * 257.0, 0, 65535), np.uint16)

    return done


def nlm(strength: float) -> Operation:
    """OpenCV's non-local means, which works in 8 bits."""

    def done(pixels: Pixels) -> Pixels:
        out = cv2.fastNlMeansDenoisingColored(
            pixels if pixels.dtype == np.uint8 else eight(pixels), None, strength, strength, 5, 11
        )
        return np.asarray(out if pixels.dtype == np.uint8 else sixteen(out))

    return done


def jpeg(quality: int, subsampling: int = 2) -> Operation:
    """Through Pillow's JPEG and back; a scan of 16 bits is saved in 8."""

    def done(pixels: Pixels) -> Pixels:
        stream = io.BytesIO()
        Image.fromarray(pixels if pixels.dtype == np.uint8 else eight(pixels)).save(
            stream, "JPEG", quality=quality, subsampling=subsampling
        )
        return np.asarray(Image.open(stream))

    return done


def enlarged(factor: float, kernel: int) -> Operation:
    """Made smaller by area, as a scan at the lower resolution is, and blown up again by an OpenCV kernel."""

    def done(pixels: Pixels) -> Pixels:
        size = (pixels.shape[1], pixels.shape[0])
        small = cv2.resize(
            pixels, (round(size[0] / factor), round(size[1] / factor)), interpolation=cv2.INTER_AREA
        )
        return np.asarray(cv2.resize(small, size, interpolation=kernel))

    return done


def promoted(pixels: Pixels) -> Pixels:
    """8 bits, saved as 16."""
    return sixteen(pixels if pixels.dtype == np.uint8 else eight(pixels))


def exchanged(pixels: Pixels) -> Pixels:
    return np.ascontiguousarray(pixels[..., ::-1])


def covered(share: float, rng: np.random.Generator) -> Operation:
    """A rectangle of this share of the sheet in white, somewhere inside."""

    def done(pixels: Pixels) -> Pixels:
        height, width = pixels.shape[:2]
        side = float(np.sqrt(share))
        h, w = int(side * height), int(side * width)
        top, left = (int(rng.uniform(0.08, 0.92 - side) * each) for each in (height, width))
        out = pixels.copy()
        out[top : top + h, left : left + w] = np.iinfo(pixels.dtype).max
        return out

    return done


# Name → what it is told by, and the operation. ``covered`` is drawn for each scan.
SETTINGS: dict[str, tuple[str, Operation]] = {
    "autocontrast 0": ("tone", autocontrast(0)),
    "autocontrast 0.5": ("tone", autocontrast(0.5)),
    "autocontrast 2": ("tone", autocontrast(2)),
    "one curve for all, 1": ("tone", autocontrast(1, each=False)),
    "S-curve 0.3": ("tone", curve(0.3)),
    "S-curve 0.6": ("tone", curve(0.6)),
    "paper to white": ("tone", paper_to_white),
    "local contrast 1.5": ("tone", clahe(1.5)),
    "local contrast 3": ("tone", clahe(3.0)),
    "unsharp 1 px 40 %": ("sharpening", unsharp(1, 40)),
    "unsharp 1 px 80 %": ("sharpening", unsharp(1, 80)),
    "unsharp 2 px 50 %": ("sharpening", unsharp(2, 50)),
    "unsharp 2 px 120 %": ("sharpening", unsharp(2, 120)),
    "unsharp 5 px 60 %": ("sharpening", unsharp(5, 60)),
    "libvips sharpen 1, 3": ("sharpening", vips_sharpen(1.0, 3.0)),
    "median 3": ("smoothing", median(3)),
    "median 5": ("smoothing", median(5)),
    "Gaussian 0.8 px": ("smoothing", gaussian(0.8)),
    "Gaussian 1.5 px": ("smoothing", gaussian(1.5)),
    "bilateral 15, 2 px": ("smoothing", bilateral(15, 2)),
    "bilateral 30, 3 px": ("smoothing", bilateral(30, 3)),
    "non-local means 3": ("smoothing", nlm(3)),
    "non-local means 8": ("smoothing", nlm(8)),
    "JPEG 40, saved as TIFF": ("jpeg", jpeg(40)),
    "JPEG 60, saved as TIFF": ("jpeg", jpeg(60)),
    "JPEG 75, saved as TIFF": ("jpeg", jpeg(75)),
    "JPEG 85, saved as TIFF": ("jpeg", jpeg(85, 0)),
    "JPEG 92, saved as TIFF": ("jpeg", jpeg(92, 0)),
    "8 bits as 16": ("depth", promoted),
    "2 × nearest": ("enlarged", enlarged(2, cv2.INTER_NEAREST)),
    "2 × linear": ("enlarged", enlarged(2, cv2.INTER_LINEAR)),
    "2 × cubic": ("enlarged", enlarged(2, cv2.INTER_CUBIC)),
    "2 × Lanczos": ("enlarged", enlarged(2, cv2.INTER_LANCZOS4)),
    "1.5 × cubic": ("enlarged", enlarged(1.5, cv2.INTER_CUBIC)),
    "red and blue exchanged": ("exchanged", exchanged),
}  # fmt: skip


def save(pixels: Pixels, clean: Clean, path: Path) -> Path:
    """As TIFF, with the scan's own resolution and profile."""
    kind = "srgb" if pixels.dtype == np.uint8 else "rgb16"
    image = pyvips.Image.new_from_array(np.ascontiguousarray(pixels)).copy(
        interpretation=kind, xres=clean.ppi / 25.4, yres=clean.ppi / 25.4
    )
    if clean.profile is not None:
        image.set_type(pyvips.GValue.blob_type, "icc-profile-data", clean.profile)
    image.tiffsave(str(path))
    return path
