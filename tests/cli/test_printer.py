"""``tackside printer``: kept, listed and shown with its feeds."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.bench_of_examples import TERN, Caller


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    return Caller(tmp_path / "bench", capsys)


def test_a_printer_is_added_listed_and_shown(call: Caller) -> None:
    assert call.document("printer", "add", TERN) == {
        "name": "Tern 8", "revision": 1, "new": True, "doubts": [],
        "next": [{"do": "describe-stock", "command": "tackside stock new"}],
    }  # fmt: skip
    assert [each["name"] for each in call.document("printer", "list")["printers"]] == ["Tern 8"]
    shown = call.document("printer", "show", "Tern 8")
    assert shown["name"] == "Tern 8"
    assert shown["feeds"][0]["borderless_sizes_mm"] == [[210, 297], [102, 152]]
    assert shown["revisions"][0]["revision"] == 1


def test_people_see_the_limits_of_each_feed(call: Caller) -> None:
    call.text("printer", "add", TERN)
    shown = call.text("printer", "show", "Tern 8")
    for fact in ("8 dye", "600 ppi", "Feed rear", "0.6 mm at most", "left 3.4", "2.5 mm an edge"):
        assert fact in shown
    assert "Tern 8" in call.text("printer", "list")


def test_a_stocks_file_is_not_taken_for_a_printers(call: Caller) -> None:
    assert "unknown field" in call.refusal("printer", "add", TERN.parent / "harbour-satin-300.toml")


def test_a_wrong_name_gets_the_right_one(call: Caller) -> None:
    call.text("printer", "add", TERN)
    assert "did you mean 'Tern 8'" in call.refusal("printer", "show", "tern8")


def test_several_printers_are_kept_one_by_one(call: Caller, tmp_path: Path) -> None:
    other = tmp_path / "tern-10.toml"
    other.write_text(TERN.read_text("utf-8").replace("Tern 8", "Tern 10"))
    found = call.document("printer", "add", TERN, other)
    assert [each["name"] for each in found["printers"]] == ["Tern 8", "Tern 10"]
    assert found["faults"] == []
