"""The virtual press with one fault: which card it prints on, how its driver is set, and the scan of the print.

The only room of the product that uses the press: what it prints is practice, and counts for nothing.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from math import ceil
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from tackside.press.printer.printer_model import INKS, PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import (
    StockModel,
    cotton_etching,
    craft_card,
    matt_coated,
    matt_uncoated_back,
    semi_gloss,
)
from tackside.press.scanner.scan_file import write_scan
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.scanner.scanning import scan
from tackside.records import Cause, SheetPlan
from tackside.records.standing.practice import InventedCard, PracticePrint

PPI = 300.0
# Laid down twice as fine as it is scanned, and through ordinary optics: on the scan's own grid the raster's cubic
# interpolation rings at edges by up to 7 %, and the scan would be told for sharpened.
FINER, BLUR_UM = 2, 45.0
CARDS: Mapping[InventedCard, Callable[[], StockModel]] = {
    "photo": semi_gloss, "matt": matt_coated, "cotton": cotton_etching,
}  # fmt: skip
# Faults of the way from file to driver: a sheet of bare numbers does not show them.
_PATH_ONLY: tuple[Cause, ...] = ("managed-twice", "unmanaged")
_ANY: tuple[Cause, ...] = (
    "none", "stock", "side", "too-little-ink", "too-much-ink", "missing-ink", "alignment", "scaling",
)  # fmt: skip
# How strong the faults are: strong enough to be seen, weak enough to be found with care. Invented, like the press.
TOO_LITTLE, TOO_MUCH = 0.65, 1.5
MISALIGNED_MM = 0.12
SCALES = (0.97, 1.024)


def faults_for(plan: SheetPlan) -> tuple[Cause, ...]:
    """The faults that a sheet can show, in the order of the causes."""
    if plan.purpose == "device":
        return _ANY
    misread: Cause = "narrow-read-as-wide" if plan.space == "srgb" else "wide-read-as-narrow"
    return (*_ANY[:5], *_PATH_ONLY, misread, *_ANY[5:])


def card_for(base: str) -> InventedCard:
    """The invented card that is nearest to a stock's base."""
    return "photo" if base == "photo" else "cotton" if base == "cotton" else "matt"


def printed_and_scanned(
    plan: SheetPlan, sheet: NDArray[np.uint8], printed: PracticePrint, file: Path
) -> None:
    """Print one page, (h, w, 3) RGB, and write its scan, TIFF at 300 ppi. Raises StorageTrouble."""
    rng = np.random.default_rng(printed.lot)
    offset = rng.normal(0.0, 0.3, 2)
    true = PrinterModel(
        reads_as="adobe-rgb" if plan.space == "adobe-rgb" else "srgb",
        offset_mm=(float(offset[0]), float(offset[1])),
        rotation_deg=float(rng.normal(0.0, 0.05)),
        scale_x=1.0 + float(rng.normal(0.0, 0.0005)),
        scale_y=1.0 + float(rng.normal(0.0, 0.0005)),
    )
    card, printer = _with_fault(CARDS[printed.card](), true, printed)
    scanner = ScannerModel(
        ppi=PPI, tilt_deg=float(rng.uniform(-0.8, 0.8)), blur_um=BLUR_UM, seed=printed.lot % 10_000 + 1
    )
    # A printer lays its drops finer than a coarse file's pixels.
    finer = max(1, ceil(FINER * PPI / plan.ppi - 1e-6))
    laid = print_sheet(
        sheet.repeat(finer, 0).repeat(finer, 1), plan.ppi * finer, card, printer,
        sheet_size_mm=plan.size_mm, at_ppi=FINER * PPI,
    )  # fmt: skip
    write_scan(scan(laid, scanner), file)


def _with_fault(
    card: StockModel, printer: PrinterModel, printed: PracticePrint
) -> tuple[StockModel, PrinterModel]:
    lot = printed.lot
    match printed.fault:
        case "stock":
            return craft_card(), printer
        case "side":
            # The bare back of any coated card drinks the ink; the driver is set for the coated side.
            return matt_uncoated_back(), replace(printer, media=card)
        case "too-little-ink":
            return card, replace(printer, ink=TOO_LITTLE)
        case "too-much-ink":
            return card, replace(printer, ink=TOO_MUCH)
        case "managed-twice":
            return card, replace(printer, managed="twice")
        case "unmanaged":
            return card, replace(printer, managed="nobody")
        case "wide-read-as-narrow":
            return card, replace(printer, reads_as="srgb")
        case "narrow-read-as-wide":
            return card, replace(printer, reads_as="adobe-rgb")
        case "missing-ink":
            return card, replace(printer, missing=(INKS[lot % 3],))
        case "alignment":
            return card, replace(printer, misalignment_mm=MISALIGNED_MM)
        case "scaling":
            scale = SCALES[lot % 2]
            return card, replace(printer, scale_x=printer.scale_x * scale, scale_y=printer.scale_y * scale)
        case _:
            return card, printer
