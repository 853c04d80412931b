"""``tackside judge``: the verdict on a trial or on a bare instrument file, from file to grade."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest

from tackside.bench.store import Bench
from tackside.press.printer.stock_model import matt_coated
from tackside.profile.icc.working_space import working_space_profile
from tackside.verdict.grade.rules import RULES
from tests.bench import invented
from tests.cli.bench_of_examples import Caller
from tests.profile.card_profiles import fogra39_profile, press_profile
from tests.reading.instrument.dialects import Dialect, write_cgats, write_cxf
from tests.verdict import readings

REFERENCE = Path(__file__).parents[1] / "reference"
GOOD, WEAK, UNREAD, FOREIGN = "7K3M9QPA", "2B4C6D8E", "9X8Y7Z6W", "4P5Q6R7S"
KEYS = {
    "grade",
    "cause",
    "causes",
    "measures",
    "reasons",
    "uncertainties",
    "methods",
    "rules",
    "estimate",
    "notices",
}


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    for name in (GOOD, WEAK, UNREAD, FOREIGN):
        bench.trials.add(readings.trial(name=name))
    scanner = {"kind": "scan", "key": "scanner A, 300 ppi", "de00": 3.0}
    bench.readings.add(readings.reading(**scanner, more={"trial": GOOD}))
    bench.readings.add(readings.reading(**scanner, black=31.0, chroma=0.5, more={"trial": WEAK}))
    bench.readings.add(readings.reading(more={"trial": FOREIGN}))
    return Caller(tmp_path / "bench", capsys)


def codes(messages: list[dict[str, Any]]) -> list[str]:
    return [each["code"] for each in messages]


# FOGRA39L and TR 003: offset on coated paper; FOGRA29L: on uncoated (as the files state).
@pytest.mark.parametrize(
    ("file", "grades"), [("FOGRA39L", "sell"), ("TR003", "sell"), ("FOGRA29L", "draft reject")]
)
def test_open_data_go_from_file_to_grade(call: Caller, file: str, grades: str) -> None:
    found = call.document("judge", "--data", REFERENCE / f"{file}.txt")
    assert set(found) >= KEYS
    assert found["grade"] in grades.split()
    assert sum(found["causes"].values()) == pytest.approx(1)
    assert found["cause"] == max(found["causes"], key=found["causes"].get)
    assert len(found["measures"]["paper_lab"]) == 3
    assert all(isinstance(found["measures"][name], float) for name in ("black_l", "dmax", "gamut_volume"))
    assert set(found["uncertainties"]) == set(found["methods"]) == set(found["measures"])
    assert all(rule["source"] for rule in found["rules"])
    assert found["verdict"] is None
    assert not (call.folder / "files").exists() or not list((call.folder / "files").iterdir())


@pytest.mark.parametrize("data", [write_cgats(Dialect(comma=True, encoding="utf-16")), write_cxf()])
def test_any_instrument_file_is_judged(call: Caller, tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "chart"
    path.write_bytes(data)
    found = call.document("judge", "--data", path)
    assert found["measures"]["black_l"] == pytest.approx(16.2)
    assert found["paper"]["tint"] == "bright and slightly bluish"
    assert not found["estimate"]


def test_a_trials_verdict_is_kept_on_the_bench(call: Caller) -> None:
    found = call.document("judge", WEAK.lower())
    kept = Bench.open(call.folder).verdicts.standing(WEAK)
    assert (found["verdict"], found["trial"], found["grade"]) == (kept.id, WEAK, kept.grade)
    assert kept.reading == found["reading"]
    assert found["grade"] in ("draft", "reject")
    assert {rule["rule"] for rule in found["rules"]} <= {rule.id for rule in RULES}


def test_json_has_the_english_of_a_sentence_beside_its_code_and_values(call: Caller) -> None:
    found = call.document("judge", WEAK)
    kept = Bench.open(call.folder).verdicts.standing(WEAK)
    for listed, held in (
        (found["rules"], kept.rules),
        (found["evidence"], kept.evidence),
        (found["next_steps"], kept.next_steps),
    ):
        assert listed
        for each, its in zip(listed, held, strict=True):
            assert (each["sentence"], each["code"]) == (str(its.sentence), its.sentence.code)
            assert each["values"] == its.sentence.as_data()["values"]
    assert {each["figure"] for each in found["evidence"]} == {str(each.figure) for each in kept.evidence}
    assert [reason["text"] for reason in found["reasons"]] == [str(reason) for reason in kept.reasons]
    black = next(reason for reason in found["reasons"] if reason["values"].get("rule") == "black")
    assert black["code"].startswith("rule.black.")


def test_a_scan_is_called_an_estimate_everywhere(call: Caller) -> None:
    found = call.document("judge", GOOD)
    assert found["estimate"]
    assert found["reasons"][0]["code"].startswith("verdict.graded-from-a-scan.")
    assert "An estimate from a scan" in call.text("judge", GOOD)
    assert not call.document("judge", FOREIGN)["estimate"]


def test_two_scans_of_one_scanner_are_compared(call: Caller) -> None:
    found = call.document("judge", WEAK, "--against", GOOD)
    assert found["against"] == GOOD
    assert 0 < found["measures"]["share_gamut_volume"] < 0.6
    assert found["measures"]["share_l_range"] == pytest.approx(64 / 79, abs=1e-3)


def test_unlike_devices_are_not_compared_and_the_mend_is_told(call: Caller) -> None:
    found = call.document("judge", WEAK, "--against", FOREIGN)
    assert not [name for name in found["measures"] if name.startswith("share")]
    assert "verdict.not-read-alike" in codes(found["notices"])


def test_the_page_shows_grade_reasons_figures_and_causes(call: Caller) -> None:
    shown = call.text("judge", "--data", REFERENCE / "FOGRA29L.txt", "--full")
    for piece in ("draft", "Black reaches only L* 26.2", "Dmax 1.32 ± 0.01", "Likely causes", "█", "stock"):
        assert piece in shown


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        ((), "either a trial or --data FILE"),
        ((GOOD, "--data", "x.txt"), "either a trial or --data FILE"),
        (("--data", "x.txt", "--against", GOOD), "--against compares trials"),
        (("--data", "no-such-file.txt"), "no-such-file.txt is not there"),
        ((UNREAD,), f"trial {UNREAD} has no reading yet; read what you printed: tackside read {UNREAD} FILE"),
        (("NOSUCHID",), "NOSUCHID"),
        ((GOOD, "--against", UNREAD), f"trial {UNREAD} has no reading yet"),
        ((GOOD, "--against", GOOD), f"--against names {GOOD} itself"),
    ],
)
def test_what_cannot_be_judged_is_refused(call: Caller, arguments: tuple[str, ...], told: str) -> None:
    assert told in call.refusal("judge", *arguments)
    assert Bench.open(call.folder).verdicts.list() == ()


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"\x89PNG\r\n\x1a\n\0\0",
        write_cgats(Dialect())[:300],
        write_cgats(Dialect()).replace(b"95.100000", b"NaN"),
        write_cgats(Dialect()).replace(b"LAB_B", b"LAB_X"),
        b'<!DOCTYPE a [<!ENTITY b "c">]><CxF>&b;</CxF>',
    ],
)
def test_a_bad_file_is_refused_in_one_line(call: Caller, tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "chart.txt"
    path.write_bytes(data)
    assert "chart.txt" in call.refusal("judge", "--data", path)


def test_a_profile_stands_in_for_a_good_print(call: Caller, tmp_path: Path) -> None:
    profile = tmp_path / "matt.icc"
    profile.write_bytes(press_profile(matt_coated()))
    found = call.document("judge", FOREIGN, "--profile", profile)
    assert found["reference"] == {
        "kind": "profile", "profile": "matt coated", "of": "class", "intent": "relative",
        "black_point_compensation": True, "assumed": True, "de00": pytest.approx(4.24, abs=0.01), "used": True,
    }  # fmt: skip
    assert found["against"] is None
    (told,) = [reason for reason in found["reasons"] if reason["code"] == "verdict.profile-of-class"]
    assert told["values"]["profile"] == "matt coated"
    assert "matt coated" in told["text"]
    card = call.document("judge", FOREIGN, "--profile", profile, "--profile-of", "card")
    assert card["reference"]["of"] == "card"
    scanned = call.document("judge", WEAK, "--profile", profile)
    assert not scanned["reference"]["used"]
    assert call.document("judge", WEAK, "--against", GOOD)["reference"] == {"kind": "print", "trial": GOOD}
    assert call.document("judge", WEAK)["reference"] is None


def test_a_bare_cmyk_file_is_set_beside_a_cmyk_profile(call: Caller, tmp_path: Path) -> None:
    profile = tmp_path / "offset.icc"
    profile.write_bytes(fogra39_profile())
    found = call.document("judge", "--data", REFERENCE / "FOGRA39L.txt", "--profile", profile)
    assert found["reference"]["used"]
    # The profile was made from this very file.
    assert found["measures"]["share_l_range"] == pytest.approx(1.0, abs=0.05)


def test_other_profiles_and_two_references_are_refused(call: Caller, tmp_path: Path) -> None:
    screen, offset = tmp_path / "screen.icc", tmp_path / "offset.icc"
    screen.write_bytes(working_space_profile("srgb"))
    offset.write_bytes(fogra39_profile())
    assert "no printer's" in call.refusal("judge", FOREIGN, "--profile", screen)
    assert "for CMYK numbers" in call.refusal("judge", FOREIGN, "--profile", offset)
    assert "no file of that name" in call.refusal("judge", FOREIGN, "--profile", tmp_path / "none.icc")
    assert "both name a reference" in call.refusal("judge", WEAK, "--against", GOOD, "--profile", offset)
    assert Bench.open(call.folder).verdicts.list() == ()
