"""Prints of the study as images: the sheet rendered, printed by the press, scanned at a tilt, and read back.

The figures' own shortcuts (``prints.read_in_figures``) are left out here: nothing reaches the verdict that is not read
off a scan's pixels.
"""

from __future__ import annotations

from functools import lru_cache
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TYPE_CHECKING, cast

import numpy as np
from numpy.typing import NDArray

from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import StockModel
from tackside.press.scanner.scan_file import write_scan
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.scanner.scanning import scan
from tackside.reading.scan.read import read_scan
from tackside.records import Reading, SheetPlan, Trial
from tackside.sheet.render import render
from training.prints import VirtualPrint, draw_print
from training.scanners import PatchScanner
from training.stocks import Family

if TYPE_CHECKING:
    from tackside.press.scanner.scanner_model import Matrix

# A card of A5, which both press and scanner take in a few seconds at the trade's usual resolution. It is drawn and laid
# down at the printer's own, finer pitch: at the scanner's, its hard edges would ring when resampled, as if sharpened.
SIZE_MM, PPI = (148, 210), 300


def draw_image(
    families: tuple[Family, ...], rng: np.random.Generator, *, reference_kind: str | None = None
) -> VirtualPrint:
    """One print, its fault and all else at random, read from scans."""
    return draw_print(families, rng, reference_kind=reference_kind, read=read_from_scan, size_mm=SIZE_MM)


def read_from_scan(
    trial: Trial,
    paper: StockModel,
    printer: PrinterModel,
    scanner: PatchScanner,
    rng: np.random.Generator,
    swapped: bool,
) -> Reading:
    """The reading of a scan of the print; each sheet lies on the glass at its own tilt, with its own drift."""
    image = _rendered(trial.sheet)
    if swapped:
        image = np.ascontiguousarray(image[..., ::-1])
    fine = trial.sheet.ppi
    printed = print_sheet(image, fine, paper, printer, sheet_size_mm=trial.sheet.size_mm, at_ppi=fine)
    drift = 1 + scanner.drift * rng.standard_normal()
    bed = ScannerModel(
        ppi=PPI,
        tilt_deg=float(rng.uniform(-3.0, 3.0)),
        blur_um=scanner.blur_um,
        noise=0.004,
        tone=float(scanner.tone * drift),
        cross_talk=cast("Matrix", tuple(tuple(row) for row in scanner.cross_talk.tolist())),
        compression="none",
        seed=int(rng.integers(1, 2**31)),
    )
    with TemporaryDirectory() as folder:
        path = Path(folder) / "scan.tif"
        write_scan(scan(printed, bed), path)
        # The sheet's tag names the trial that it was planned for, which serves for all of the study's.
        read = read_scan(path, trial.sheet, device=scanner.name)
    return read.model_copy(update={"trial": trial.id})


@lru_cache(maxsize=4)
def _image(plan_json: str) -> NDArray[np.uint8]:
    return render(SheetPlan.model_validate_json(plan_json))


def _rendered(plan: SheetPlan) -> NDArray[np.uint8]:
    return _image(plan.model_dump_json())
