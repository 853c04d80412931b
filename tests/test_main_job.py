"""The main job through the command line, from an unknown pack to a verdict, a report and a print-ready card."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pikepdf
import pytest
import pyvips

from tackside.cli.main import main
from tackside.colour.difference import delta_e_2000
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import Print, print_sheet
from tackside.press.printer.stock_model import StockModel, craft_card, semi_gloss
from tackside.press.scanner.scan_file import write_scan
from tackside.press.scanner.scanner_model import ScannerModel
from tackside.press.scanner.scanning import scan

pytestmark = pytest.mark.slow

REFERENCE = Path(__file__).parent / "reference"
Run = Callable[..., dict[str, Any]]

# Invented, as all names here are.
STOCK = """
name = "{name}"
base = "{base}"
surface = "smooth"
weight_gsm = 300
caliper_mm = 0.32
coated = "{coated}"
open_size_mm = [210, 148]
creases = [{{ direction = "vertical", at_mm = 105 }}]
pack = {{ count = 25, price = "14.50", currency = "GBP" }}
"""
PRINTER = """
name = "Tern 8"
inks = { kind = "dye", count = 8 }
grid_ppi = 600
[[feeds]]
name = "rear"
min_size_mm = [89, 127]
max_size_mm = [329, 1000]
max_caliper_mm = 0.6
margins_mm = { top = 3, bottom = 5, left = 3.4, right = 3.4 }
borderless_sizes_mm = [[210, 297], [102, 152]]
borderless_enlargement_mm = 2.5
"""
A_LITTLE_OFF = PrinterModel(offset_mm=(0.4, -0.3), rotation_deg=0.1, scale_x=1.0015, scale_y=0.999)


@pytest.fixture
def run(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Run:
    """Run a command with ``--json`` on a bench of its own, and give its document."""

    def call(*arguments: str | Path) -> dict[str, Any]:
        capsys.readouterr()
        code = main(["--bench", str(tmp_path / "bench"), *map(str, arguments), "--json"])
        shown = capsys.readouterr()
        assert code == 0, shown.err
        document: dict[str, Any] = json.loads(shown.out)
        return document

    return call


@pytest.fixture
def furnished(run: Run, tmp_path: Path) -> Run:
    for name, base, coated in (
        ("Harbour Satin 300", "photo", "front"),
        ("Shingle Craft 250", "plain", "unknown"),
    ):
        file = tmp_path / f"{base}.toml"
        file.write_text(STOCK.format(name=name, base=base, coated=coated))
        assert run("stock", "add", file)["name"] == name
    file = tmp_path / "printer.toml"
    file.write_text(PRINTER)
    assert run("printer", "add", file)["name"] == "Tern 8"
    return run


def printed(sheet_file: Path, ppi: float, model: StockModel, size_mm: tuple[float, float]) -> Print:
    """What the virtual press makes of the very file that a printer would get."""
    pixels = np.asarray(pyvips.Image.new_from_file(str(sheet_file)).numpy())
    return print_sheet(pixels, ppi, model, A_LITTLE_OFF, sheet_size_mm=size_mm, at_ppi=300)


def tried(
    run: Run, folder: Path, stock: str, model: StockModel, scanner: ScannerModel
) -> tuple[str, dict[str, Any], Print]:
    """Sheet, print, scan and reading of one stock: the trial's id, the reading, and the truth."""
    sheet = run("sheet", stock, "Tern 8", "--out", folder / f"{stock}.tif")
    print_ = printed(Path(sheet["files"][0]), sheet["ppi"], model, (210, 148))
    write_scan(scan(print_, scanner), folder / f"{stock}-scan.tif")
    reading = run(
        "read", sheet["trial"], folder / f"{stock}-scan.tif", "--device", "flatbed, corrections off"
    )
    return sheet["trial"], reading, print_


def test_from_an_unknown_pack_to_verdict_and_report(furnished: Run, tmp_path: Path) -> None:
    fit = furnished("fit", "Harbour Satin 300", "Tern 8")
    assert fit["feed"] == "rear"
    assert not fit["borderless"]
    assert {panel["name"] for panel in fit["panels"]} == {"front", "back"}

    good, reading, truth = tried(
        furnished, tmp_path, "Harbour Satin 300", semi_gloss(), ScannerModel(tilt_deg=-3, turn=90)
    )
    asked = np.array([patch["rgb"] for patch in reading["patches"]])
    read = np.array([patch["lab"] for patch in reading["patches"]])
    off = delta_e_2000(read, truth.lab_of(asked))
    # This project's own limits for a colorimetric scanner: docs/sources.md, S47.
    assert np.median(off) <= 1.0
    assert np.percentile(off, 95) <= 2.5
    placed = reading["placement"]
    assert abs(placed["scale_x"] / A_LITTLE_OFF.scale_x - 1) <= 0.0005
    assert abs(placed["scale_y"] / A_LITTLE_OFF.scale_y - 1) <= 0.0005
    assert abs(placed["rotation_deg"] - A_LITTLE_OFF.rotation_deg) <= 0.02
    assert np.abs(np.subtract(placed["offset_mm"], A_LITTLE_OFF.offset_mm)).max() <= 0.15

    poor, _, _ = tried(
        furnished, tmp_path, "Shingle Craft 250", craft_card(), ScannerModel(tilt_deg=2, turn=180)
    )
    assert furnished("judge", good)["grade"] == "sell"
    verdict = furnished("judge", poor, "--against", good)
    assert verdict["grade"] in {"draft", "reject"}
    assert verdict["cause"] in {"stock", "side"}
    assert verdict["measures"]["black_l"] > 25
    assert sum(verdict["causes"].values()) == pytest.approx(1)

    page = Path(furnished("report", good, poor, "--out", tmp_path / "report.html")["file"]).read_text()
    assert "Harbour Satin 300" in page
    assert "Shingle Craft 250" in page
    assert "<script" not in page


@pytest.mark.parametrize(
    ("file", "grades"),
    [
        # FOGRA39L: offset on coated art paper; TR003: ANSI/CGATS TR 003-2007, coated grade 3; FOGRA29L: uncoated.
        ("FOGRA39L.txt", {"sell"}),
        ("TR003.txt", {"sell"}),
        ("FOGRA29L.txt", {"draft", "reject"}),
    ],
)
def test_open_characterisation_data_from_file_to_verdict(run: Run, file: str, grades: set[str]) -> None:
    assert run("judge", "--data", REFERENCE / file)["grade"] in grades


@pytest.mark.parametrize("picture", ["coffee.png", "chelsea.png", "rocket.jpg"])
def test_from_a_photograph_to_a_print_ready_sheet(furnished: Run, tmp_path: Path, picture: str) -> None:
    # Photographs that scikit-image ships: coffee (CC0), chelsea (CC0), rocket (CC0).
    import skimage

    source = Path(skimage.__file__).parent / "data" / picture
    (tmp_path / picture).write_bytes(source.read_bytes())
    design = tmp_path / "card.toml"
    design.write_text(
        'stock = "Harbour Satin 300"\nprinter = "Tern 8"\n'
        f'[[pictures]]\npanel = "front"\nfile = "{picture}"\nfit = "fill"\nborder_mm = 10\n'
    )
    made = furnished("card", "make", design, "--out", tmp_path / "card.tif")
    sheet = pyvips.Image.new_from_file(made["files"][0])
    assert (sheet.width, sheet.height) == (round(210 / 25.4 * 600), round(148 / 25.4 * 600))
    pixels = np.asarray(sheet.numpy())
    dots = 600 / 25.4
    back, front = pixels[:, : int(104 * dots)], pixels[:, int(106 * dots) :]
    assert back.min() == 255  # nothing on the back panel
    inner = front[int(11 * dots) : int(137 * dots), int(10 * dots) : int(93 * dots)]
    assert inner.std() > 5  # a picture
    assert front[: int(9 * dots)].min() == 255  # its border, seen from the panel's top edge
    furnished("card", "make", design, "--out", tmp_path / "card.pdf")
    with pikepdf.open(tmp_path / "card.pdf") as pdf:
        box = [float(each) / 72 * 25.4 for each in pdf.pages[0].mediabox]
    assert box == pytest.approx([0, 0, 210, 148], abs=0.01)
