"""``tackside stock``: kept, listed and shown; refusals are one line and keep nothing."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.bench_of_examples import CRAFT, SATIN, Caller


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    return Caller(tmp_path / "bench", capsys)


def test_a_stock_is_added_listed_and_shown(call: Caller) -> None:
    assert call.document("stock", "add", SATIN) == {
        "name": "Harbour Satin 300", "revision": 1, "new": True, "doubts": [],
        "next": [{"do": "describe-printer", "command": "tackside printer new"}],
    }  # fmt: skip
    assert call.text("stock", "add", CRAFT) == (
        "Kept revision 1 of Shingle Craft 250. Next: tackside printer new"
    )
    listed = call.document("stock", "list")["stocks"]
    assert [each["name"] for each in listed] == ["Harbour Satin 300", "Shingle Craft 250"]
    shown = call.document("stock", "show", "Harbour Satin 300")
    assert shown["name"] == "Harbour Satin 300"
    assert shown["open_size_mm"] == [210, 297]
    assert shown["pack"]["price"] == "14.50"
    assert shown["revision"] == 1
    assert len(shown["source_sha256"]) == 64


def test_people_see_every_fact_and_what_is_not_known(call: Caller) -> None:
    call.text("stock", "add", SATIN)
    call.text("stock", "add", CRAFT)
    shown = call.text("stock", "show", "Harbour Satin 300")
    for fact in (
        "300 g/m²",
        "0.32 mm",
        "by a damp fingertip",
        "horizontal, 148.5 mm from the top",
        "0.58 GBP",
    ):
        assert fact in shown
    assert "not known which side (not checked)" in call.text("stock", "show", "Shingle Craft 250")
    assert "Shingle Craft" in call.text("stock", "list")


def test_adding_the_same_file_again_says_that_nothing_is_new(call: Caller) -> None:
    call.text("stock", "add", SATIN)
    assert call.text("stock", "add", SATIN).startswith("Nothing new")
    assert call.document("stock", "add", SATIN)["new"] is False


def test_a_changed_file_is_a_new_revision_and_the_old_one_can_be_shown(call: Caller, tmp_path: Path) -> None:
    call.text("stock", "add", SATIN)
    changed = tmp_path / "changed.toml"
    changed.write_text(SATIN.read_text(encoding="utf-8").replace("0.32", "0.35"), encoding="utf-8")
    assert call.document("stock", "add", changed)["revision"] == 2
    assert call.document("stock", "show", "Harbour Satin 300")["caliper_mm"] == 0.35
    assert call.document("stock", "show", "Harbour Satin 300", "--revision", "1")["caliper_mm"] == 0.32
    assert "has no revision 7" in call.refusal("stock", "show", "Harbour Satin 300", "--revision", "7")


def test_a_wrong_name_gets_the_right_one(call: Caller) -> None:
    call.text("stock", "add", SATIN)
    assert "did you mean 'Harbour Satin 300'" in call.refusal("stock", "show", "Harbor Satin")


@pytest.mark.parametrize(
    ("old", "new", "said"),
    [
        ("caliper_mm", "calliper_mm", "unknown field calliper_mm; did you mean caliper_mm?"),
        ("148.5", "300", "lies outside the sheet"),
        ("[210, 297]", "[210, -297]", "open_size_mm (height) is −297 mm"),
        ("0.32", "0,32", "line 6: not valid TOML"),
    ],
)
def test_a_bad_file_is_refused_before_a_bench_is_made(
    call: Caller, tmp_path: Path, old: str, new: str, said: str
) -> None:
    bad = tmp_path / "bad.toml"
    bad.write_text(SATIN.read_text(encoding="utf-8").replace(old, new), encoding="utf-8")
    refused = call.refusal("stock", "add", bad)
    assert said in refused
    assert str(bad) in refused
    assert not call.folder.exists()


def test_a_file_that_is_not_there_is_named(call: Caller, tmp_path: Path) -> None:
    assert "there is no file" in call.refusal("stock", "add", tmp_path / "nix.toml")


def test_looking_into_a_bench_that_is_not_there_does_not_make_one(call: Caller) -> None:
    assert "there is no bench" in call.refusal("stock", "list")
    assert not call.folder.exists()


def test_several_files_are_kept_one_by_one(call: Caller, tmp_path: Path) -> None:
    found = call.document("stock", "add", SATIN, CRAFT)
    assert found == {
        "stocks": [
            {"name": "Harbour Satin 300", "revision": 1, "new": True, "doubts": []},
            {"name": "Shingle Craft 250", "revision": 1, "new": True, "doubts": []},
        ],
        "faults": [],
    }
    bad = tmp_path / "bad.toml"
    bad.write_text('name = "No size"\n')
    code, out, err = call._call("stock", "add", bad, SATIN, tmp_path / "missing.toml")
    assert code == 2
    assert out.startswith("Nothing new")
    assert [line.startswith("tackside: ") for line in err.splitlines()] == [True, True]
    assert "bad.toml: open_size_mm is missing" in err
    assert "missing.toml" in err
    code, out, _ = call._call("stock", "add", bad, SATIN, "--json")
    assert code == 2
    (fault,) = json.loads(out)["faults"]
    assert fault["file"].endswith("bad.toml")
    assert fault["code"] == "record.in-file"
    assert "no file is named" in call.refusal("stock", "add")
