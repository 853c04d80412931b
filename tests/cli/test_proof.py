"""``tackside proof``: from a photograph and a printer profile to the proof, its figures and advice."""

from __future__ import annotations

import struct
import zlib
from pathlib import Path

import numpy as np
import pytest
import pyvips
import skimage.data
from PIL import Image

from tackside.press.printer.stock_model import cotton_etching, craft_card
from tackside.profile.icc.working_space import working_space_profile
from tests.cli.bench_of_examples import Caller
from tests.cli.bench_of_readings import bench_of_readings
from tests.profile.card_profiles import press_profile

COFFEE = Path(skimage.data.__file__).parent / "coffee.png"  # a photograph in scikit-image's wheel, CC0


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    return Caller(tmp_path / "bench", capsys)


@pytest.fixture
def card(tmp_path: Path) -> Path:
    path = tmp_path / "cotton.icc"
    path.write_bytes(press_profile(cotton_etching()))
    return path


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    path = tmp_path / "coffee.jpg"
    Image.open(COFFEE).convert("RGB").resize((150, 100)).save(path, icc_profile=working_space_profile("srgb"))
    return path


def test_without_an_intent_the_advised_one_is_written(call: Caller, card: Path, picture: Path) -> None:
    out = picture.with_name("proof.tif")
    document = call.document("proof", picture, "--profile", card, "--out", out)
    assert document["intent"] == document["advice"]["intent"]
    assert document["bpc"] == document["advice"]["bpc"]
    assert 0 < document["out_of_gamut"] < 1
    assert 0 < document["de00"]["median"] < document["de00"]["p95"]
    assert {row["intent"] for row in document["intents"]} == {
        "perceptual",
        "relative",
        "saturation",
        "absolute",
    }
    assert len(document["intents"]) == 7
    assert document["files"] == [str(out)]
    assert document["white_lab"] == pytest.approx([95.0, 0.2, 2.2], abs=0.05)
    assert pyvips.Image.new_from_file(str(out)).numpy().shape == (100, 150, 3)


@pytest.mark.parametrize("intent", ["perceptual", "relative", "saturation", "absolute"])
def test_the_intent_asked_for_is_written(call: Caller, card: Path, picture: Path, intent: str) -> None:
    out = picture.with_name("proof.png")
    document = call.document(
        "proof", picture, "--profile", card, "--intent", intent, "--no-bpc", "--out", out
    )
    assert (document["intent"], document["bpc"]) == (intent, False)
    row = next(row for row in document["intents"] if row["intent"] == intent and not row["bpc"])
    assert document["de00"]["mean"] == row["de00_mean"]


def test_paper_tints_the_proof(call: Caller, card: Path, tmp_path: Path) -> None:
    white = tmp_path / "white.png"
    Image.new("RGB", (9, 9), (255, 255, 255)).save(white, icc_profile=working_space_profile("srgb"))
    shown = []
    for extra in ([], ["--paper"]):
        call.document("proof", white, "--profile", card, *extra, "--out", tmp_path / "out.png", "--force")
        shown.append(np.asarray(Image.open(tmp_path / "out.png"))[4, 4].astype(int))
    assert shown[0] == pytest.approx([255, 255, 255], abs=1)
    assert 225 < shown[1].min() < shown[1].max() < 250
    assert shown[1][2] < shown[1][0]  # the stock is warm


def test_maps_are_written_beside_the_proof(call: Caller, card: Path, picture: Path, tmp_path: Path) -> None:
    out = tmp_path / "proof.jpg"
    document = call.document("proof", picture, "--profile", card, "--out", out, "--maps", tmp_path / "maps")
    names = [Path(file).name for file in document["files"]]
    assert names == ["proof.jpg", "coffee-outside.png", "coffee-difference.png", "coffee-lost-contrast.png"]
    assert all(pyvips.Image.new_from_file(file).height == 100 for file in document["files"])


def test_a_page_shows_both_and_loads_nothing(call: Caller, card: Path, picture: Path, tmp_path: Path) -> None:
    call.document("proof", picture, "--profile", card, "--out", tmp_path / "proof.html")
    page = (tmp_path / "proof.html").read_text()
    assert page.count('<img src="data:image/') == 5 + 8  # both, three maps; the picture and its seven ways
    assert "coffee.jpg" in page
    assert "cotton etching" in page
    assert "http" not in page.replace("http://www.w3.org", "")


def test_the_answer_is_a_sentence(call: Caller, card: Path, picture: Path, tmp_path: Path) -> None:
    text = call.text("proof", picture, "--profile", card, "--out", tmp_path / "proof.png")
    assert "Outside the card" in text
    assert "→ Take relative colorimetric" in text or "→ Take perceptual" in text


def that_claims(path: Path, width: int, height: int) -> Path:
    """A PNG header of any size without data behind it (PNG specification, 11.2.2)."""
    header = struct.pack(">IIBBBBB", width, height, 8, 2, 0, 0, 0)
    chunk = struct.pack(">I", 13) + b"IHDR" + header + struct.pack(">I", zlib.crc32(b"IHDR" + header))
    data = struct.pack(">I", 0) + b"IDAT" + struct.pack(">I", zlib.crc32(b"IDAT"))
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + chunk + data)
    return path


def test_bad_input_is_refused_in_a_line_and_nothing_is_written(
    call: Caller, card: Path, picture: Path, tmp_path: Path
) -> None:
    out = tmp_path / "proof.tif"
    screen = tmp_path / "screen.icc"
    screen.write_bytes(working_space_profile("srgb"))
    cut = tmp_path / "cut.icc"
    cut.write_bytes(card.read_bytes()[:5000])
    short = tmp_path / "short.jpg"
    short.write_bytes(picture.read_bytes()[:-2000])
    empty = tmp_path / "empty.png"
    empty.write_bytes(b"")
    vast = that_claims(tmp_path / "vast.png", 100_000, 100_000)
    none = that_claims(tmp_path / "none.png", 0, 0)
    before = sorted(tmp_path.iterdir())
    for arguments, words in (
        ((picture, "--profile", screen, "--out", out), "not of a printer"),
        ((picture, "--profile", cut, "--out", out), "cut short"),
        ((picture, "--profile", picture, "--out", out), "not an ICC colour profile"),
        ((picture, "--profile", tmp_path / "none.icc", "--out", out), "there is no file"),
        ((picture, "--out", out), "a proof needs to know the card"),
        ((picture, "--profile", card, "--out", tmp_path / "proof.webp"), "no picture format"),
        ((picture, "--profile", card, "--out", tmp_path / "none" / "proof.tif"), "does not exist"),
        ((short, "--profile", card, "--out", out), "damaged"),
        ((empty, "--profile", card, "--out", out), "is empty"),
        ((vast, "--profile", card, "--out", out), "million"),
        ((none, "--profile", card, "--out", out), "damaged"),
        ((picture, "--profile", card, "--intent", "pretty", "--out", out), "pretty"),
    ):
        assert words in call.refusal("proof", *arguments)
    assert sorted(tmp_path.iterdir()) == before


def test_a_card_that_was_read_needs_no_profile(
    call: Caller, card: Path, picture: Path, tmp_path: Path
) -> None:
    (trial,) = bench_of_readings(call.folder, ("fulmar-etching-310",)).trials.list()
    out = tmp_path / "proof.tif"
    read = call.document("proof", picture, "--card", trial.id, "--out", out)
    assert read["profile"] is None
    assert read["card"] == "Fulmar Etching 310"
    # The same press, once through a profile made of it and once by a model of its patches.
    anew = ("--intent", "relative", "--out", out, "--force")
    by_profile = call.document("proof", picture, "--profile", card, *anew)
    by_reading = call.document("proof", picture, "--card", trial.id, *anew)
    assert by_reading["white_lab"] == pytest.approx(by_profile["white_lab"], abs=0.3)
    assert by_reading["de00"]["mean"] == pytest.approx(by_profile["de00"]["mean"], abs=0.5)
    assert len(read["intents"]) == 4
    assert [each["intent"] for each in by_reading["intents"]] == [
        "relative"
    ]  # the one that was asked for, alone
    # Another card's profile does worse here than the card's own.
    other = tmp_path / "other.icc"
    other.write_bytes(press_profile(craft_card()))
    wrong = call.document("proof", picture, "--card", trial.id, "--profile", other, *anew)
    assert wrong["de00"]["mean"] > by_reading["de00"]["mean"] + 0.5


def test_no_profile_is_predicted_on_a_sheet_that_was_colour_managed(
    call: Caller, card: Path, picture: Path, tmp_path: Path
) -> None:
    (trial,) = bench_of_readings(call.folder, ("fulmar-etching-310",), purpose="path").trials.list()
    out = tmp_path / "proof.tif"
    assert "numbers can be predicted" in call.refusal(
        "proof", picture, "--card", trial.id, "--profile", card, "--out", out
    )
    assert "through colour management" in call.warnings("proof", picture, "--card", trial.id, "--out", out)
