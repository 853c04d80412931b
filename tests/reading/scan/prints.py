"""Small sheets of invented stocks, printed by the virtual press once and kept for all tests of a run."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from pathlib import Path

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import Print, print_sheet
from tackside.press.printer.stock_model import StockModel, semi_gloss
from tackside.press.scanner.scan_file import write_scan
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.scanner.scanning import OnBed, scan
from tackside.records import Crease, Feed, Printer, Reading, SheetPlan, Stock
from tackside.sheet.plan import plan_sheet
from tackside.sheet.render import render

TRIAL, OTHER = "7K3M9QPA", "2B4C6D8E"
PRINTER = Printer(name="Tern 8", feeds=(Feed(name="rear", min_size_mm=(80, 80), max_size_mm=(329, 1000)),))
A_LITTLE_OFF = PrinterModel(offset_mm=(0.4, -0.3), rotation_deg=0.1, scale_x=1.0015, scale_y=0.999)
# One panel, and a folded card whose patches lie on both of its panels.
ONE_PANEL = (148.0, 105.0)
TWO_PANELS = (180.0, 120.0)


@cache
def planned(size_mm: tuple[float, float] = ONE_PANEL, trial: str = TRIAL) -> SheetPlan:
    creases = (Crease(direction="vertical", at_mm=size_mm[0] / 2),) if size_mm == TWO_PANELS else ()
    stock = Stock(name="Harbour Satin 300", open_size_mm=size_mm, creases=creases)
    return plan_sheet(stock, PRINTER, trial_id=trial)


@cache
def printed(
    size_mm: tuple[float, float] = ONE_PANEL,
    trial: str = TRIAL,
    printer: PrinterModel = A_LITTLE_OFF,
    stock: StockModel | None = None,
) -> Print:
    plan = planned(size_mm, trial)
    return print_sheet(
        render(plan), plan.ppi, stock or semi_gloss(), printer, sheet_size_mm=plan.size_mm, at_ppi=300
    )


def scanned(
    path: Path,
    prints: Print | list[Print],
    scanner: ScannerModel | None = None,
    layout: list[OnBed] | None = None,
) -> Path:
    scanner = replace(scanner or ScannerModel(), compression="none")  # LZW takes longer than all the rest
    write_scan(scan(prints, scanner, layout), path)
    return path


def off_by(reading: Reading, print_: Print) -> np.ndarray:
    """ΔE00 (n,) of each patch from what the press laid down."""
    asked = np.array([patch.rgb for patch in reading.patches])
    read = np.array([patch.lab for patch in reading.patches])
    return np.asarray(delta_e_2000(read, print_.lab_of(asked)))


def assert_placed(reading: Reading, print_: Print) -> None:
    """This project's own limits (docs/sources.md, S47): scale within 0.05 %, rotation within 0.02°, offset within
    0.15 mm."""
    found, truth = reading.placement, print_.placement
    assert found is not None
    assert found.rotation_deg is not None
    assert found.offset_mm is not None
    assert truth.rotation_deg is not None
    assert abs(found.scale_x / truth.scale_x - 1) <= 0.0005
    assert abs(found.scale_y / truth.scale_y - 1) <= 0.0005
    assert abs(found.rotation_deg - truth.rotation_deg) <= 0.02
    assert np.abs(np.subtract(found.offset_mm, truth.offset_mm)).max() <= 0.15
