"""Randomised virtual prints: a fault drawn, a sheet printed in figures, read, with what a user would know of it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from functools import lru_cache
from typing import Any, get_args

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab
from tackside.press.printer.driver import inks_on_stock, rgb_to_inks
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import StockModel
from tackside.records import (
    Attribute,
    Cause,
    PatchReading,
    Placement,
    Printer,
    Reading,
    SheetPlan,
    Stock,
    Trial,
    Uncertainty,
)
from tackside.sheet.plan import plan_sheet
from training.scanners import PatchScanner, instrument, line_attributes, random_scanner
from training.stocks import Family, beyond_the_model, varied

NOON = datetime(2026, 3, 1, 12, tzinfo=UTC)
FAULTS: tuple[Cause, ...] = tuple(cause for cause in get_args(Cause) if cause != "none")
NONE_SHARE, PAIR_SHARE = 0.3, 0.05
PAIRED: tuple[Cause, ...] = ("wide-read-as-narrow", "missing-ink", "managed-twice", "scaling")
# From these on a fault that leaves flat colours alone is said to move the print (this project's own).
MOVED_DE00, DOUBLED_MM, SCALED = 3.0, 0.06, 0.01


@dataclass(frozen=True)
class VirtualPrint:
    """One print of the study. ``truth``: its faults, one or two; ``reference_kind``: what it is read beside."""

    truth: tuple[Cause, ...]
    moved: bool
    moved_de00: float
    reference_kind: str
    reading: Reading
    trial: Trial
    stock: Stock
    reference: Reading | None
    reference_trial: Trial | None
    other_side: Reading | None
    paper: StockModel
    printer: PrinterModel
    coated: StockModel
    sound: PrinterModel
    back: StockModel
    swapped: bool


# (trial, paper, printer, scanner, rng, swapped) → what is read of that print.
Read = Callable[[Trial, StockModel, PrinterModel, PatchScanner, np.random.Generator, bool], Reading]


def draw_print(
    families: tuple[Family, ...],
    rng: np.random.Generator,
    *,
    reference_kind: str | None = None,
    read: Read | None = None,
    size_mm: tuple[int, int] = (210, 297),
) -> VirtualPrint:
    """One print, its fault and all else at random; ``read``: how it is read, in figures if nothing is said."""
    read = read or read_in_figures
    truth = _truth(rng)
    family = families[rng.integers(len(families))]
    kind = reference_kind or str(rng.choice(["same card", "known card", "none"], p=[0.35, 0.5, 0.15]))
    if kind == "same card" and "stock" in truth:
        kind = "known card"
    good, base = family.coated[rng.integers(len(family.coated))]
    coated = varied(good, rng, 1.0)
    bare = varied(family.bare[rng.integers(len(family.bare))], rng, 1.0)
    media = good  # the setting was made for the kind of card, not for this pack
    space = "adobe-rgb" if rng.random() < 0.5 else "srgb"
    space = {"wide-read-as-narrow": "adobe-rgb", "narrow-read-as-wide": "srgb"}.get(
        next((fault for fault in truth if "-read-as-" in fault), ""), space
    )
    sound = PrinterModel(reads_as=space, media=media)  # type: ignore[arg-type]
    printer = with_faults(sound, truth, rng)
    paper = bare if {"stock", "side"} & set(truth) else coated
    swapped = truth == ("unknown",)
    # An instrument sees neither lines nor lengths, so faults of these are scanned.
    on_scan = (
        read is not read_in_figures
        or kind != "none"
        or rng.random() < 0.5
        or {"alignment", "scaling"} & set(truth)
    )
    scanner = random_scanner(rng) if on_scan else instrument()

    side, coated_record = _sides(truth, rng)
    plan = plan_of(space, size_mm)
    trial = trial_of("TRIALPRT", plan, side)
    reading = read(trial, paper, printer, scanner, rng, swapped)
    other = None
    if coated_record == "unknown" and (paper is bare or rng.random() < 0.3):
        # Both sides were printed, as the side finder asks.
        back = bare if "stock" in truth or paper is coated else coated
        other = read(trial, varied(back, rng, 0.2), printer, scanner, rng, swapped)
    reference = reference_trial = None
    if kind != "none":
        known, _ = family.coated[rng.integers(len(family.coated))]
        beside = varied(coated, rng, 0.2) if kind == "same card" else varied(known, rng, 1.0)
        reference_trial = trial_of(
            "KNOWNCRD", plan, "front", "Trial card" if kind == "same card" else "Known card"
        )
        made_for = replace(sound, media=known if kind != "same card" else media)
        reference = read(reference_trial, beside, made_for, scanner, rng, False)
    off = moved_by(plan, paper, printer, coated, sound, swapped=swapped)
    moved = (
        off > MOVED_DE00
        or printer.misalignment_mm >= DOUBLED_MM
        or max(abs(printer.scale_x - 1), abs(printer.scale_y - 1)) >= SCALED
    )
    stock = Stock(
        name="Trial card",
        open_size_mm=size_mm,
        base=base if rng.random() < 0.7 else "unknown",
        coated=coated_record,
    )
    return VirtualPrint(
        truth,
        moved,
        off,
        kind,
        reading,
        trial,
        stock,
        reference,
        reference_trial,
        other,
        paper,
        printer,
        coated,
        sound,
        bare if "stock" in truth or paper is coated else coated,
        swapped,
    )


def _truth(rng: np.random.Generator) -> tuple[Cause, ...]:
    chance = rng.random()
    if chance < NONE_SHARE:
        return ("none",)
    if chance < NONE_SHARE + PAIR_SHARE:
        return (("stock", "side")[rng.integers(2)], PAIRED[rng.integers(len(PAIRED))])  # type: ignore[return-value]
    return (FAULTS[rng.integers(len(FAULTS))],)


def with_faults(sound: PrinterModel, truth: tuple[Cause, ...], rng: np.random.Generator) -> PrinterModel:
    change: dict[str, Any] = {}
    if "too-little-ink" in truth:
        change["ink"] = rng.uniform(0.4, 0.97)
    if "too-much-ink" in truth:
        change["ink"] = rng.uniform(1.03, 1.6)
    if "managed-twice" in truth:
        change["managed"] = "twice"
    if "unmanaged" in truth:
        change["managed"] = "nobody"
    if "wide-read-as-narrow" in truth:
        change["reads_as"] = "srgb"
    if "narrow-read-as-wide" in truth:
        change["reads_as"] = "adobe-rgb"
    if "missing-ink" in truth:
        change["missing"] = ("cmyk"[rng.integers(4)],)
    if "alignment" in truth:
        change["misalignment_mm"] = rng.uniform(0.02, 0.3)
    wobble = rng.normal(1.0, 0.0008, 2)
    if "scaling" in truth:
        wobble *= 1 + rng.choice([-1, 1]) * rng.uniform(0.002, 0.04)
    return replace(sound, scale_x=float(wobble[0]), scale_y=float(wobble[1]), **change)


def _sides(truth: tuple[Cause, ...], rng: np.random.Generator) -> tuple[str, str]:
    """The side printed, and what the record says is coated: always told, or both sides printed."""
    if "side" in truth:
        return ("back", "front") if rng.random() < 0.5 else ("back", "unknown")
    if "stock" in truth:
        return ("front", "none") if rng.random() < 0.2 else ("front", "unknown")
    return ("front", "front") if rng.random() < 0.6 else ("front", "unknown")


@lru_cache(maxsize=4)
def plan_of(space: str, size_mm: tuple[int, int] = (210, 297)) -> SheetPlan:
    printer = Printer.model_validate(
        {
            "name": "Tern 8",
            "inks": {"kind": "dye", "count": 8},
            "grid_ppi": 600,
            "feeds": [
                {"name": "rear", "min_size_mm": [89, 127], "max_size_mm": [329, 1000], "max_caliper_mm": 0.6}
            ],
        }
    )
    stock = Stock(name="Harbour Satin 300", open_size_mm=size_mm)
    return plan_sheet(stock, printer, trial_id="7K3M9QPA", space=space)  # type: ignore[arg-type]


@lru_cache(maxsize=2)
def asked_numbers(space: str) -> Floats:
    numbers = np.array([patch.rgb for patch in plan_of(space).patches])
    numbers.flags.writeable = False
    return numbers


def trial_of(name: str, plan: SheetPlan, side: str, stock: str = "Trial card") -> Trial:
    return Trial(
        id=name,
        stock=stock,
        stock_revision=1,
        printer="Tern 8",
        printer_revision=1,
        feed="rear",
        side=side,  # type: ignore[arg-type]
        sheet=plan,
        made_at=NOON,
    )


def read_in_figures(
    trial: Trial,
    paper: StockModel,
    printer: PrinterModel,
    scanner: PatchScanner,
    rng: np.random.Generator,
    swapped: bool,
) -> Reading:
    """What a scanner, or an instrument, makes of the print by the press's exact model, with no image."""
    asked = np.array([patch.rgb for patch in trial.sheet.patches])
    xyz = _printed(asked, paper, printer, swapped)
    lab = scanner.read(xyz, rng)
    spread = np.hypot(np.hypot(paper.mottle, paper.grain), scanner.noise)
    attributes: dict[str, Attribute] = {}
    placement = None
    if scanner.blur_um:  # an instrument reads no lines and no lengths
        attributes = line_attributes(paper, printer, scanner.blur_um, rng)
        place = printer.placement(trial.sheet.size_mm)
        placement = Placement(
            scale_x=place.scale_x * (1 + 5e-4 * rng.standard_normal()),
            scale_y=place.scale_y * (1 + 5e-4 * rng.standard_normal()),
            residual_um=40.0,
            marks_found=8,
        )
    return Reading(
        trial=trial.id,
        kind="scan" if scanner.blur_um else "instrument",
        source_name="virtual",
        source_sha256="0" * 64,
        made_at=NOON,
        patches=tuple(
            PatchReading(name=patch.name, rgb=patch.rgb, lab=tuple(row), sd=float(spread))
            for patch, row in zip(trial.sheet.patches, lab.tolist(), strict=True)
        ),
        placement=placement,
        attributes=attributes,
        uncertainty=Uncertainty(
            de00=scanner.shared,
            basis="virtual",
            comparable_with="colorimetric" if not scanner.blur_um else f"scan | {scanner.name}",
        ),
    )


def _printed(asked: Floats, paper: StockModel, printer: PrinterModel, swapped: bool) -> Floats:
    """XYZ (n, 3); ``swapped``: a fault that no cause of the list describes, red and blue numbers exchanged."""
    numbers = asked[:, [2, 1, 0]] if swapped else asked
    laid = rgb_to_inks(numbers, paper, printer)
    xyz, beyond = inks_on_stock(laid, paper), beyond_the_model(paper.name)
    if beyond is None:
        return xyz
    lab = xyz_to_lab(xyz) + beyond(laid)
    lab[:, 0] = np.clip(lab[:, 0], 1.0, 100.0)
    return lab_to_xyz(lab)


def moved_by(
    plan: SheetPlan,
    paper: StockModel,
    printer: PrinterModel,
    coated: StockModel,
    sound: PrinterModel,
    *,
    swapped: bool,
) -> float:
    asked = np.array([patch.rgb for patch in plan.patches])
    faulty, fine = _printed(asked, paper, printer, swapped), _printed(asked, coated, sound, False)
    return float(delta_e_2000(xyz_to_lab(faulty), xyz_to_lab(fine)).mean())
