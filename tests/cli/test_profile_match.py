"""``tackside profile match``: from a card's reading and a folder of profiles to advice."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tackside.bench.store import Bench
from tackside.press.printer.stock_model import (
    StockModel,
    cotton_etching,
    craft_card,
    matt_coated,
    matt_uncoated_back,
    semi_gloss,
)
from tackside.profile.icc.working_space import working_space_profile
from tests.bench import invented
from tests.cli.bench_of_examples import Caller
from tests.cli.test_gamut import instrument_file
from tests.profile import press_cards
from tests.profile.printer_tables import REFERENCE, fitted, table_profile
from tests.verdict import readings

STOCKS = (semi_gloss(), cotton_etching(), matt_coated(), matt_uncoated_back(), craft_card())
KEYS = {"file", "description", "de00_median", "de00_p95", "white", "black", "tone", "hue", "chroma", "after"}


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    return Caller(tmp_path / "bench", capsys)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Five printer profiles, one in a folder below, and things that are none."""
    place = tmp_path / "profiles"
    (place / "below").mkdir(parents=True)
    for stock in STOCKS:
        inside = place / "below" if stock.name == "craft card" else place
        (inside / f"{stock.name}.icc").write_bytes(profile_of(stock))
    (place / "cut.icm").write_bytes(profile_of(semi_gloss())[:1000])
    (place / "four-inks.ICC").write_bytes(table_profile(4, fitted("TR003"), "TR003", nodes=5))
    (place / "readme.txt").write_text("not a profile")
    return place


def profile_of(stock: StockModel) -> bytes:
    return table_profile(3, lambda rgb: press_cards.truth(stock, rgb), f"Invented {stock.name}")


def test_a_card_finds_its_profile_in_a_folder(call: Caller, folder: Path, tmp_path: Path) -> None:
    found = call.document("profile", "match", "--data", instrument_file(tmp_path, craft_card()), folder)
    best = found["profiles"][0]
    assert set(best) >= KEYS
    assert best["file"] == str(folder / "below" / "craft card.icc") == found["profile"]
    assert best["description"] == "Invented craft card"
    assert len(found["profiles"]) == 5
    medians = [each["de00_median"] for each in found["profiles"]]
    assert medians == sorted(medians)
    assert found["verdict"] == "fits"
    assert "fits this card" in found["advice"]
    assert found["sentences"][0]["code"] in ("match.fits", "match.fits-with-outliers")
    assert found["advice"] == " ".join(each["text"] for each in found["sentences"])
    left = {
        Path(each["values"]["reason"]["values"]["file"]).name: each["values"]["reason"]["code"]
        for each in found["notices"]
        if each["code"] == "match.left-out"
    }
    assert left == {"cut.icm": "match.unusable", "four-inks.ICC": "match.other-numbers"}


def test_the_page_says_what_to_do(call: Caller, folder: Path, tmp_path: Path) -> None:
    names = [folder / f"{name}.icc" for name in ("semi-gloss", "cotton etching", "matt coated")]
    shown = call.text("profile", "match", "--data", instrument_file(tmp_path, craft_card()), *names)
    for piece in (
        "less than half of what any of these expects",
        "Use the card's own reading",
        "semi-gloss",
    ):
        assert piece in shown


def test_a_device_trial_is_matched_and_a_managed_one_is_not(call: Caller, folder: Path) -> None:
    bench = Bench.open(call.folder)
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    for name, purpose in (("7K3M9QPA", "device"), ("2B4C6D8E", "path")):
        trial = readings.trial(name=name)
        sheet = trial.sheet.model_copy(update={"purpose": purpose})
        bench.trials.add(trial.model_copy(update={"sheet": sheet}))
        bench.readings.add(readings.reading(more={"trial": name}))
    found = call.document("profile", "match", "7k3m9qpa", folder)
    assert found["trial"] == "7K3M9QPA"
    assert len(found["profiles"]) == 5
    assert "printed through colour management" in call.refusal("profile", "match", "2B4C6D8E", folder)


def test_ink_data_are_matched_to_ink_profiles(call: Caller, folder: Path) -> None:
    found = call.document("profile", "match", "--data", REFERENCE / "TR003.txt", folder)
    assert [each["description"] for each in found["profiles"]] == ["TR003"]
    reasons = [each["values"].get("reason", {}) for each in found["notices"]]
    spaces = [each["values"]["space"] for each in reasons if each.get("code") == "match.other-numbers"]
    assert spaces == ["RGB"] * 5


def test_what_cannot_be_matched_is_refused(call: Caller, folder: Path, tmp_path: Path) -> None:
    Bench.open(call.folder)
    data = instrument_file(tmp_path, semi_gloss())
    (tmp_path / "empty").mkdir()
    short = tmp_path / "short.txt"
    short.write_bytes(b"\n".join(short_file(data)))
    random = tmp_path / "random.icc"
    random.write_bytes(np.random.default_rng(1).bytes(5000))
    for arguments, told in (
        ((), "takes a trial or --data FILE"),
        (("7K3M9QPA",), "takes a trial or --data FILE"),
        ((folder / "semi-gloss.icc", folder), "stands where the trial's id belongs"),
        (("NOSUCHID", folder), "NOSUCHID"),
        (("--data", data), "no profile was named"),
        (("--data", data, tmp_path / "nothing.icc"), "nothing.icc is not there"),
        (("--data", data, tmp_path / "empty"), "there is no profile in the folder"),
        (("--data", data, folder / "cut.icm"), "the colour profile is cut short"),
        (("--data", data, random), "random.icc is not an ICC colour profile"),
        (("--data", tmp_path / "gone.txt", folder), "gone.txt"),
        (("--data", short, folder), "too few"),
    ):
        assert told in call.refusal("profile", "match", *arguments)


def short_file(data: Path) -> list[bytes]:
    """The same file with its first eight patches."""
    lines = data.read_bytes().splitlines()
    begin = lines.index(b"BEGIN_DATA")
    kept = [
        line if not line.startswith(b"NUMBER_OF_SETS") else b"NUMBER_OF_SETS 8" for line in lines[: begin + 9]
    ]
    return [*kept, b"END_DATA", b""]


def test_a_working_space_is_no_print_but_is_ranked(call: Caller, tmp_path: Path) -> None:
    path = tmp_path / "srgb.icc"
    path.write_bytes(working_space_profile("srgb"))
    found = call.document("profile", "match", "--data", instrument_file(tmp_path, matt_coated()), path)
    assert found["profile"] is None
    assert "match.no-print" in [notice["code"] for notice in found["notices"]]
