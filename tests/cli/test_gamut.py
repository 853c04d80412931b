"""``tackside gamut``: from a profile, an instrument file or a trial to what it covers."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import skimage.data
from PIL import Image

from tackside.bench.store import Bench
from tackside.press.instrument import measure
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import StockModel, cotton_etching, craft_card, semi_gloss
from tackside.profile.icc.working_space import working_space_profile
from tests.bench import invented
from tests.cli.bench_of_examples import Caller
from tests.profile import press_cards
from tests.profile.printer_tables import REFERENCE, table_profile
from tests.verdict import readings

# A photograph inside scikit-image's wheel, CC0 by its photographer (docstring of skimage.data.coffee).
PHOTOGRAPH = Path(skimage.data.__file__).parent / "coffee.png"
KEYS = {
    "device",
    "kind",
    "volume",
    "method",
    "covers",
    "covers_sd",
    "picture",
    "against",
    "basis",
    "white_lab",
}


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    return Caller(tmp_path / "bench", capsys)


def instrument_file(folder: Path, stock: StockModel) -> Path:
    """The device sheet's patches on a stock of the virtual press, as a CGATS file."""
    printed = print_sheet(np.full((40, 40, 3), 255, np.uint8), 72, stock, PrinterModel())
    path = folder / f"{stock.name}.txt"
    path.write_bytes(measure(printed, press_cards.patches(), full_scale=100))
    return path


def test_a_profile_of_srgb_covers_srgb(call: Caller, tmp_path: Path) -> None:
    path = tmp_path / "srgb.icc"
    path.write_bytes(working_space_profile("srgb"))
    found = call.document("gamut", path)
    assert set(found) >= KEYS
    # The volume of sRGB in CIELAB under D50, 832 870, from a widely copied table (docs/sources.md, S72).
    assert found["volume"] == pytest.approx(832_870, rel=0.002)
    assert found["covers"]["srgb"] == pytest.approx(1, abs=0.005)
    assert found["covers"]["adobe-rgb"] == pytest.approx(832_870 / 1_208_631, abs=0.005)
    assert found["picture"] is None


def test_two_cards_beside_each_other(call: Caller, tmp_path: Path) -> None:
    good, poor = instrument_file(tmp_path, semi_gloss()), instrument_file(tmp_path, craft_card())
    found = call.document("gamut", poor, "--against", good)
    assert found["kind"] == "reading"
    assert found["covers"]["against"] < 0.5
    assert found["against"]["covers"] > 0.9
    assert found["against"]["volume"] > 2 * found["volume"]


def test_the_page_names_what_is_held(call: Caller, tmp_path: Path) -> None:
    path = tmp_path / "srgb.icc"
    path.write_bytes(working_space_profile("srgb"))
    shown = call.text("gamut", path, "--against", path, "--picture", PHOTOGRAPH)
    for piece in ("Holds of sRGB", "Is held by it 100.0 %", "Outside, of coffee.png", "832 9"):
        assert piece in shown


def test_a_profile_and_a_reading_of_one_card_agree(call: Caller, tmp_path: Path) -> None:
    profile = tmp_path / "cotton.icc"
    profile.write_bytes(
        table_profile(3, lambda rgb: press_cards.truth(cotton_etching(), rgb), "Invented cotton", nodes=33)
    )
    one = call.document("gamut", profile)
    other = call.document("gamut", instrument_file(tmp_path, cotton_etching()))
    assert one["volume"] == pytest.approx(other["volume"], rel=0.03)
    assert one["white_lab"] == pytest.approx(other["white_lab"], abs=0.5)
    assert one["black_lab"] == pytest.approx(other["black_lab"], abs=1)


def test_a_photograph_falls_outside_a_poor_card_more(call: Caller, tmp_path: Path) -> None:
    shares = {}
    for stock in (semi_gloss(), craft_card()):
        seen = call.document("gamut", instrument_file(tmp_path, stock), "--picture", PHOTOGRAPH)["picture"]
        shares[stock.name] = seen["outside"]
        assert 0 <= seen["compensated"]["outside"] < seen["outside"] < 1
        assert seen["de00_outside"] <= seen["de00_outside_p95"]
    assert shares["craft card"] > 1.5 * shares["semi-gloss"]


def test_a_grey_picture_is_inside_but_for_what_is_too_deep(call: Caller, tmp_path: Path) -> None:
    ramp = np.tile(np.arange(256, dtype=np.uint8), (64, 1))
    Image.fromarray(ramp).save(tmp_path / "ramp.png")
    path = tmp_path / "cotton.icc"
    path.write_bytes(
        table_profile(3, lambda rgb: press_cards.truth(cotton_etching(), rgb), "Invented cotton")
    )
    seen = call.document("gamut", path, "--picture", tmp_path / "ramp.png")["picture"]
    # Black at L* 15.7 on paper of 95 is about 17.3 beside it: sRGB 41 of 255 by its own curve.
    assert seen["outside"] == pytest.approx(41 / 256, abs=0.03)
    assert seen["compensated"]["outside"] < 0.01


@pytest.mark.slow
def test_open_data_are_measured_from_their_file(call: Caller) -> None:
    found = call.document("gamut", REFERENCE / "FOGRA39L.txt", "--against", REFERENCE / "FOGRA29L.txt")
    assert found["method"].startswith("tetrahedra of the CMYK device solid")
    assert found["covers"]["against"] > 0.98
    assert found["against"]["covers"] < 0.6


def test_scans_of_different_scanners_are_not_compared(call: Caller, tmp_path: Path) -> None:
    bench = Bench.open(call.folder)
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    for name, scanner in (("7K3M9QPA", "scanner A, 300 ppi"), ("2B4C6D8E", "scanner B, 300 ppi")):
        bench.trials.add(readings.trial(name=name))
        bench.readings.add(readings.reading(kind="scan", key=scanner, de00=3.0, more={"trial": name}))
    found = call.document("gamut", "7K3M9QPA", "--against", "2B4C6D8E")
    assert "against" not in found["covers"]
    assert found["against"]["covers"] is None
    told = {notice["code"]: notice["values"] for notice in found["notices"]}
    assert "gamut.read-unlike" in told
    assert told["gamut.scanned"] == {"uncertainty": 3.0}


def test_what_holds_no_gamut_is_refused(call: Caller, tmp_path: Path) -> None:
    Bench.open(call.folder)
    scanner = tmp_path / "scanner.icc"
    scanner.write_bytes(working_space_profile("srgb").replace(b"mntr", b"scnr", 1))
    cut = tmp_path / "cut.icc"
    cut.write_bytes(working_space_profile("srgb")[:200])
    text = tmp_path / "notes.txt"
    text.write_text("nothing measured here")
    for named, told in (
        (scanner, "is of the class input"),
        (cut, "cut short"),
        (text, "notes.txt"),
        (tmp_path, "is a folder"),
        (tmp_path / "nothing.icc", "is not there"),
        ("NOSUCHID", "NOSUCHID"),
    ):
        assert told in call.refusal("gamut", named)
    good = tmp_path / "srgb.icc"
    good.write_bytes(working_space_profile("srgb"))
    assert "none.jpg" in call.refusal("gamut", good, "--picture", tmp_path / "none.jpg")
    assert "--basis" in call.refusal("gamut", good, "--basis", "vivid")
