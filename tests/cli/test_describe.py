"""``tackside stock new`` and ``tackside printer new``: asked at a terminal, or given as options."""

from __future__ import annotations

import io
import sys
from pathlib import Path

import pytest

from tests.cli.bench_of_examples import Caller


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    return Caller(tmp_path / "bench", capsys)


class Keyboard(io.StringIO):
    """What a person types, at a terminal."""

    def isatty(self) -> bool:
        return True


def type_in(monkeypatch: pytest.MonkeyPatch, *lines: str) -> None:
    monkeypatch.setattr(sys, "stdin", Keyboard("".join(f"{line}\n" for line in lines)))
    monkeypatch.setattr("tackside.cli.asking.can_ask", lambda: True)
    monkeypatch.setattr("tackside.cli.commands.stocks.describe.can_ask", lambda: True)


OPTIONS = ("--name", "Fulmar Matt 300", "--size", "21 x 29.7 cm", "--folds", "open")


def test_options_answer_every_question(call: Caller) -> None:
    kept = call.document(
        "stock", "new", *OPTIONS, "--weight", "300gsm", "--caliper", "320 µm", "--coated", "front", "--found-by",
        "maker", "--inkjet", "yes", "--pack", "25 sheets", "--price", "£38", "--base", "matt",
    )  # fmt: skip
    stock = kept["stock"]
    assert stock["open_size_mm"] == [210, 297]
    assert stock["creases"] == [{"direction": "horizontal", "at_mm": 148.5, "folds": "in"}]
    assert (stock["weight_gsm"], stock["caliper_mm"], stock["sold_for_inkjet"]) == (300, 0.32, True)
    assert stock["pack"] == {"count": 25, "price": "38", "currency": "GBP"}
    assert kept["next"] == [{"do": "describe-printer", "command": "tackside printer new"}]


def test_a_folded_size_is_opened_and_said(call: Caller) -> None:
    told = call.text("stock", "new", "--name", "Fulmar", "--size", "A5", "--folds", "folded")
    assert "Its open sheet is taken to be 210 × 297 mm" in told
    assert call.document("stock", "show", "Fulmar")["creases"][0]["at_mm"] == 148.5


def test_a_printer_by_options_and_the_next_step(call: Caller) -> None:
    call.document("stock", "new", *OPTIONS)
    kept = call.document(
        "printer", "new", "--name", "Tern 8", "--largest", "13 x 19 in", "--thickest", "12 mil", "--margins",
        "3; 5; 3,4; 3.4", "--borderless", "A4; 10 x 15 cm",
    )  # fmt: skip
    feed = kept["printer"]["feeds"][0]
    assert feed["max_size_mm"] == [330.2, 482.6]
    assert feed["margins_mm"] == {"top": 3, "bottom": 5, "left": 3.4, "right": 3.4}
    assert feed["borderless_sizes_mm"] == [[210, 297], [100, 150]]
    assert kept["next"] == [{"do": "fit", "command": 'tackside fit "Fulmar Matt 300" "Tern 8"'}]


@pytest.mark.parametrize(
    ("size", "words"),
    [("14.8 x 21", "in centimetres it would be 148 × 210 mm"), ("5.83 x 8.27", "in inches")],
)
def test_a_slip_is_refused_unless_it_is_said_to_be_right(call: Caller, size: str, words: str) -> None:
    options = ("stock", "new", "--name", "Fulmar", "--size", size, "--folds", "open")
    assert words in call.refusal(*options)
    assert call.document(*options, "--yes")["doubts"][0]["code"].startswith("typed.size-in-")


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (("--name", "A", "--folds", "flat"), "missing: --size"),
        (("--name", "A", "--size", "big", "--folds", "flat"), "--size: “big” is not a size"),
        ((*OPTIONS, "--weight", "110 lb"), "--weight: “110 lb” is not a weight of card"),
        ((*OPTIONS, "--pack", "25", "--price", "38"), "names no currency"),
        ((*OPTIONS, "--price", "£38"), "how many sheets"),
        ((*OPTIONS, "--base", "velvet"), "is none of the answers"),
    ],
)
def test_what_is_missing_or_not_understood_is_refused_in_a_line(
    call: Caller, options: tuple[str, ...], words: str
) -> None:
    assert words in call.refusal("stock", "new", *options)


def test_a_taken_name_is_refused(call: Caller) -> None:
    call.document("stock", "new", *OPTIONS)
    assert "there is Fulmar Matt 300 already" in call.refusal("stock", "new", *OPTIONS, "--weight", "250")


def test_a_person_is_asked_and_told_at_once_what_was_not_understood(
    call: Caller, monkeypatch: pytest.MonkeyPatch
) -> None:
    type_in(
        monkeypatch,
        "Fulmar Matt 300",
        "big",
        "A5",
        "2",
        "matt",
        "300 gsm",
        "",
        "front",
        "1",
        "y",
        "25",
        "£14.50",
    )
    asked = call.warnings("stock", "new")
    assert "“big” is not a size; type one such as A5" in asked
    assert "Such as A4, A5" in asked
    kept = call.document("stock", "show", "Fulmar Matt 300")
    assert kept["open_size_mm"] == [210, 297]
    assert (kept["base"], kept["coated_found_by"], kept["caliper_mm"]) == ("matt", "damp-fingertip", None)


def test_a_file_that_looks_like_a_slip_is_kept_with_a_warning_in_a_script(
    call: Caller, tmp_path: Path
) -> None:
    file = tmp_path / "stock.toml"
    file.write_text('name = "Fulmar"\nopen_size_mm = [14.8, 21.0]\n', encoding="utf-8")
    assert "in centimetres it would be 148 × 210 mm" in call.warnings("stock", "add", file)
    assert call.document("stock", "show", "Fulmar")["open_size_mm"] == [14.8, 21]


def test_a_person_is_asked_about_such_a_file(
    call: Caller, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    file = tmp_path / "stock.toml"
    file.write_text('name = "Fulmar"\nopen_size_mm = [5.83, 8.27]\n', encoding="utf-8")
    type_in(monkeypatch, "no")
    code, out, err = call._call("stock", "add", file)
    assert (code, out) == (2, "")
    assert "in inches it would be" in err
    assert "there is no bench" in call.refusal("stock", "list")
    type_in(monkeypatch, "yes")
    assert "Kept revision 1" in call._call("stock", "add", file)[1]
