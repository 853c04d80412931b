"""``tackside placement``: where prints fall, and what is taken back, for scripts and for people."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.press.printer.printer_model import PrinterModel
from tackside.records.sheet_plan import Side
from tests.cli.bench_of_examples import SATIN, TERN, Caller
from tests.fit.placement.benches import keep_trial

OFF_TRUE = PrinterModel(offset_mm=(1.3, -0.5), scale_y=0.996, rotation_deg=0.3, enlargement_mm=2.5)
NAMES = ("Harbour Satin 300", "Tern 8")


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    caller = Caller(tmp_path / "bench", capsys)
    caller.text("stock", "add", SATIN)
    caller.text("printer", "add", TERN)
    return caller


def print_and_read(call: Caller, side: Side = "front") -> str:
    """One more test sheet, read back as the press laid it down."""
    bench = Bench.open(call.folder)
    stock, printer = bench.stocks.get(NAMES[0]), bench.printers.get(NAMES[1])
    return keep_trial(bench, stock, printer, OFF_TRUE.placement(stock.open_size_mm), side=side)


def test_before_any_trial_nothing_is_corrected_and_the_first_step_is_named(call: Caller) -> None:
    document = call.document("placement", *NAMES)
    assert document["measured"] is False
    assert document["correction"]["matrix"] == [[1, 0, 0], [0, 1, 0]]
    assert document["trials"] == []
    shown = call.text("placement", *NAMES)
    assert "nothing yet" in shown
    assert "tackside sheet" in shown


def test_a_trial_gives_the_correction_and_the_enlargement(call: Caller) -> None:
    trial = print_and_read(call)
    document = call.document("placement", *NAMES)
    assert document["measured"] is True
    assert document["trials"] == [trial]
    assert document["way"] == {
        "printer": "Tern 8",
        "feed": "rear",
        "stock": "Harbour Satin 300",
        "side": "front",
        "size_mm": [210, 297],
        "borderless": True,
    }
    assert document["enlargement_mm"][0] == pytest.approx(2.5, abs=0.01)
    assert document["rotation_deg"] == pytest.approx(0.3, abs=1e-3)
    assert document["safe_border_mm"] == pytest.approx(2 * document["residual_mm"])
    # The file's place for the sheet's top left corner, by the press's own map turned round.
    (_, _, c), (_, _, f) = document["correction"]["matrix"]
    printed = OFF_TRUE.asked_to_printed((210, 297))
    assert printed[:, :2] @ [c, f] + printed[:, 2] == pytest.approx([0, 0], abs=1e-4)
    shown = call.text("placement", *NAMES)
    for word in ("One print tells no spread", "bottom right", "past the left and right edge", trial, "0.30°"):
        assert word in shown


def test_other_ways_are_listed_beside_the_one_asked_for(call: Caller) -> None:
    trial = print_and_read(call, "back")
    document = call.document("placement", *NAMES)
    assert document["measured"] is False
    assert [(each["way"]["side"], each["trials"]) for each in document["others"]] == [("back", [trial])]
    assert call.document("placement", *NAMES, "--side", "back")["measured"] is True
    assert "back printed" in call.text("placement", *NAMES)


def test_card_that_no_feed_takes_is_refused(call: Caller, tmp_path: Path) -> None:
    thick = tmp_path / "thick.toml"
    thick.write_text(SATIN.read_text(encoding="utf-8").replace("0.32", "0.9"), encoding="utf-8")
    call.text("stock", "add", thick)
    assert "tackside fit" in call.refusal("placement", *NAMES)


def test_names_that_are_not_there_get_the_nearest(call: Caller) -> None:
    assert "did you mean 'rear'" in call.refusal("placement", *NAMES, "--feed", "read")
