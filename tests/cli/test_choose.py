"""``tackside choose``: from pictures and a bench of readings to one sentence, a ranking and a contact sheet."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest
from PIL import Image

from tackside.bench.store import Bench
from tackside.press.printer.stock_model import craft_card
from tackside.records import Printer, Stock
from tests.cli.bench_of_examples import EXAMPLES, SATIN, Caller
from tests.cli.bench_of_readings import bench_of_readings, keep_reading
from tests.picture.photographs import FOLDER
from tests.profile.card_profiles import press_profile

TWO = ("harbour-satin-300", "shingle-craft-250")
COFFEE = FOLDER / "coffee.png"


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    place = tmp_path_factory.mktemp("tested") / "bench"
    bench_of_readings(place, TWO)
    return place


@pytest.fixture
def call(folder: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    return Caller(folder, capsys)


def test_the_question_is_answered_in_a_sentence(call: Caller) -> None:
    found = call.document("choose", COFFEE, FOLDER / "rocket.jpg")
    assert found["answer"].startswith("For these 2 pictures use Harbour Satin 300")
    first = found["ranking"][0]
    assert {"stock", "intent", "score", "why"} <= set(first)
    assert first["stock"] == "Harbour Satin 300"
    assert {each["stock"] for each in found["ranking"]} == {"Harbour Satin 300", "Shingle Craft 250"}
    assert [each["score"] for each in found["ranking"]] == sorted(
        (each["score"] for each in found["ranking"]), reverse=True
    )
    assert "use Harbour Satin 300" in call.text("choose", COFFEE)


def test_stocks_price_and_size_are_filters(call: Caller) -> None:
    only = call.document("choose", COFFEE, "--stocks", "Shingle Craft 250")
    assert {each["stock"] for each in only["ranking"]} == {"Shingle Craft 250"}
    cheap = call.document("choose", COFFEE, "--max-price", "0.30")  # 14.50 ÷ 25 = 0.58 a sheet
    assert {each["stock"] for each in cheap["ranking"]} == {"Shingle Craft 250"}
    (dear,) = cheap["left_out"]
    assert (dear["name"], dear["code"]) == ("Harbour Satin 300", "choose.price")
    assert dear["why"] == "a sheet costs 0.58 GBP"
    a5 = call.document("choose", COFFEE, "--size-mm", "148.5", "210")
    assert "Harbour Satin 300" in {each["stock"] for each in a5["ranking"]}
    assert "is what you want" in call.refusal("choose", COFFEE, "--size-mm", "60", "60")


def test_what_is_in_the_drawer_is_a_filter(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    call = Caller(tmp_path / "bench", capsys)
    bench = bench_of_readings(call.folder, TWO)
    satin = bench.stocks.get("Harbour Satin 300")
    bench.stocks.add(satin.model_copy(update={"sheets_on_hand": 12}))
    enough = call.document("choose", COFFEE, "--on-hand", "12")
    assert {each["stock"] for each in enough["ranking"]} == {"Harbour Satin 300"}
    (unknown,) = enough["left_out"]
    assert (unknown["name"], unknown["code"]) == ("Shingle Craft 250", "choose.on-hand-unknown")
    assert unknown["why"] == "how many sheets are on hand is not known"
    assert "12 sheets are on hand" in call.refusal("choose", COFFEE, "--on-hand", "13")


def test_profiles_are_weighed_up_on_the_cards_that_were_read(call: Caller, tmp_path: Path) -> None:
    (tmp_path / "craft.icc").write_bytes(press_profile(craft_card()))
    found = call.document(
        "choose", COFFEE, "--stocks", "Shingle Craft 250", "--profiles", tmp_path / "craft.icc"
    )
    assert {each["profile"] for each in found["ranking"]} == {None, "craft.icc"}


def test_profiles_alone_need_no_bench(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "craft.icc").write_bytes(press_profile(craft_card()))
    found = Caller(tmp_path / "none", capsys).document("choose", COFFEE, "--profiles", tmp_path / "craft.icc")
    assert found["ranking"][0]["stock"] == "craft.icc"
    assert not (tmp_path / "none").exists()


@pytest.mark.parametrize("suffix", ["html", "png", "tif"])
def test_the_contact_sheet_is_written_whole(call: Caller, tmp_path: Path, suffix: str) -> None:
    out = tmp_path / f"sheet.{suffix}"
    found = call.document("choose", COFFEE, "--sheet", out)
    assert found["sheet"] == str(out)
    assert [each.name for each in tmp_path.iterdir()] == [out.name]
    if suffix == "html":
        assert out.read_text("utf-8").count("<img ") == 3
    else:
        with Image.open(out) as image:
            assert image.mode == "RGB"
            assert image.info["icc_profile"]


def test_a_broken_picture_is_a_note_and_a_fault_in_its_line(
    folder: Path, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    from tackside.cli.main import main

    (tmp_path / "broken.jpg").write_bytes(b"\xff\xd8\xff\xe0nothing")
    assert main(["--bench", str(folder), "choose", str(COFFEE), str(tmp_path / "broken.jpg")]) == 0
    shown = capsys.readouterr()
    assert "broken.jpg" in shown.err
    assert "For this picture use" in " ".join(shown.out.split())


def test_readings_that_do_not_compare_are_said_so_of(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from tackside.cli.main import main

    bench = bench_of_readings(tmp_path / "bench", ("shingle-craft-250",), key="one scanner")
    stock = Stock(**tomllib.loads(SATIN.read_text("utf-8")))
    bench.stocks.add(stock)
    printer = Printer(**tomllib.loads((EXAMPLES / "tern-8.toml").read_text("utf-8")))
    keep_reading(bench, stock, printer, craft_card(), "device", "another scanner")
    assert main(["--bench", str(tmp_path / "bench"), "choose", str(COFFEE)]) == 0
    assert "only a hint" in capsys.readouterr().err


def test_the_newest_reading_of_a_stock_counts(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    bench = bench_of_readings(tmp_path / "bench", ("harbour-satin-300",))
    call = Caller(tmp_path / "bench", capsys)
    before = call.document("choose", COFFEE)["ranking"][0]
    stock, printer = bench.stocks.get("Harbour Satin 300"), bench.printers.get("Tern 8")
    newest = keep_reading(bench, stock, printer, craft_card(), "device", "colorimetric", days=3)
    after = call.document("choose", COFFEE)["ranking"][0]
    assert after["trial"] == newest.trial
    assert after["score"] < before["score"] - 10


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("--stocks", "Harbour Satan"), "did you mean 'Harbour Satin 300'?"),
        (("--printer", "Nobody"), "there is no printer"),
        (("--sheet", "sheet.gif"), "cannot be written"),
        (("--profiles", "nowhere.icc"), "cannot read"),
        (("--profiles", COFFEE), "is not an ICC colour profile"),
    ],
)
def test_what_makes_no_sense_is_one_line(call: Caller, arguments: tuple[str | Path, ...], words: str) -> None:
    assert words in call.refusal("choose", COFFEE, *arguments)


def test_a_bench_without_a_reading_says_how_to_get_one(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    Bench.open(tmp_path / "bench")
    assert "tackside read TRIAL FILE" in Caller(tmp_path / "bench", capsys).refusal("choose", COFFEE)
    assert "there is no bench" in Caller(tmp_path / "none", capsys).refusal("choose", COFFEE)
