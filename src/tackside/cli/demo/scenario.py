"""The invented scenario: which cards the studio bought, what the press makes of them, and how it scans.

Nothing here was measured on a real card or printer. The press describes its stock models where it
makes them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from importlib.resources import files
from importlib.resources.abc import Traversable

from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import (
    StockModel,
    cotton_etching,
    craft_card,
    matt_coated,
    matt_uncoated_back,
    semi_gloss,
)
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.records import Settings
from tackside.records.sheet_plan import Side

NOTE = (
    "An invented demonstration: the studio, the cards and the printer do not exist, "
    "and the sheets were printed and scanned by a virtual press."
)
DATA: Traversable = files("tackside.cli.demo").joinpath("data")
STOCK_FILES = (
    "harbour-satin-300.toml",
    "fulmar-etching-310.toml",
    "plover-matt-230.toml",
    "shingle-craft-250.toml",
)
PRINTER_FILE = "tern-8.toml"
CARD_FILE = "card.toml"
CARD_NAME = "Boats at the harbour"
PICTURE_FILE = "harbour.png"
REFERENCE = "Harbour Satin 300"
PRINTER = "Tern 8"
SCANNER = "Flatbed, 300 ppi, 16 bits, all corrections off"

# The printer is a little off, as printers are, so that the placement has something to find. Invented.
PRESS_PRINTER = PrinterModel(offset_mm=(0.3, -0.4), rotation_deg=0.05, scale_x=1.001, scale_y=0.9985)
PRESS_SCANNER = ScannerModel(ppi=300, tilt_deg=0.7)


@dataclass(frozen=True)
class DemoPrint:
    """One sheet that the studio prints: stock, side, settings, and what the press prints it on."""

    stock: str
    side: Side
    media_setting: str
    model: Callable[[], StockModel]

    @property
    def settings(self) -> Settings:
        return Settings(
            media_setting=self.media_setting,
            quality="High",
            colour_managed_by="driver",
            source_space="srgb",
            lamp="LED room light",
            drying_hours=24,
        )


PRINTS = (
    DemoPrint("Harbour Satin 300", "front", "Photo satin", semi_gloss),
    DemoPrint("Fulmar Etching 310", "front", "Fine art", cotton_etching),
    DemoPrint("Plover Matt 230", "front", "Matt", matt_coated),
    DemoPrint("Plover Matt 230", "back", "Matt", matt_uncoated_back),
    DemoPrint("Shingle Craft 250", "front", "Matt", craft_card),
)
