"""A virtual press and scanner: the demo's hardware and the tests' ground truth. Its figures are invented."""

from tackside.press.ink import LaidInk, laid_ink
from tackside.press.instrument import measure
from tackside.press.printer_model import PrinterModel
from tackside.press.printing import Print, print_sheet
from tackside.press.scan_file import write_scan
from tackside.press.scanner_model import ScannerModel, colorimetric, office
from tackside.press.scanning import OnBed, Scan, scan
from tackside.press.stock_model import (
    StockModel,
    cotton_etching,
    craft_card,
    matt_coated,
    matt_uncoated_back,
    semi_gloss,
)
from tackside.press.sweep import SheetTruth

__all__ = [
    "LaidInk",
    "OnBed",
    "Print",
    "PrinterModel",
    "Scan",
    "ScannerModel",
    "SheetTruth",
    "StockModel",
    "colorimetric",
    "cotton_etching",
    "craft_card",
    "laid_ink",
    "matt_coated",
    "matt_uncoated_back",
    "measure",
    "office",
    "print_sheet",
    "scan",
    "semi_gloss",
    "write_scan",
]
