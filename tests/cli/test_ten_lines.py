"""``judge`` and ``read`` answer in at most ten lines of 80 columns; ids stay whole in narrow windows."""

from __future__ import annotations

from io import StringIO
from pathlib import Path

import pytest
from rich.console import Console
from rich.text import Text

from tackside.bench.store import Bench
from tackside.cli.views.facts import MOST, TenLines
from tackside.cli.views.reading_page import reading_lines
from tackside.cli.views.verdict_page import verdict_lines
from tackside.messages.message import Message
from tackside.records import Verdict
from tackside.verdict.explain.head import head_of
from tackside.verdict.judge import judge
from tackside.verdict.known_print import KnownPrint
from tests.bench import invented
from tests.cli.bench_of_examples import Caller
from tests.verdict import readings
from tests.verdict.many import as_scan, many

WEAK = "2B4C6D8E"


@pytest.fixture(scope="module")
def prints() -> dict[str, tuple[KnownPrint, Verdict]]:
    return {name: (known, judge(known)) for name, known in many()}


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch) -> Caller:
    monkeypatch.setenv("COLUMNS", "80")
    bench = Bench.open(tmp_path / "bench")
    bench.stocks.add(invented.stock())
    bench.printers.add(invented.printer())
    bench.trials.add(readings.trial(name=WEAK))
    bench.readings.add(readings.reading(black=31.0, chroma=0.5, more={"trial": WEAK}))
    return Caller(tmp_path / "bench", capsys)


def shown(page: object, width: int = 80) -> list[str]:
    out = StringIO()
    Console(file=out, width=width, highlight=False, color_system=None).print(page)
    return out.getvalue().splitlines()


def test_every_kind_of_verdict_has_at_most_ten_lines(prints: dict[str, tuple[KnownPrint, Verdict]]) -> None:
    for name, (known, verdict) in prints.items():
        lines = shown(verdict_lines(verdict, f"Verdict on trial {WEAK}: Harbour Satin 300", known.trial))
        assert len(lines) <= MOST, (name, lines)
        assert max(map(len, lines)) <= 80, name
        told = " ".join(" ".join(lines).split())
        head = head_of(verdict, known.trial)
        for line in head.lines:
            assert str(line) in told, (name, line)


def test_the_command_is_there_and_whole(prints: dict[str, tuple[KnownPrint, Verdict]]) -> None:
    known, verdict = prints["bare back"]
    told = " ".join(" ".join(shown(verdict_lines(verdict, "Verdict", known.trial))).split())
    assert 'tackside sheet "Harbour Satin 300" "Tern 8" --side back --out sheet.tif' in told


@pytest.mark.parametrize("width", [60, 80, 120])
def test_a_trials_id_is_never_broken(prints: dict[str, tuple[KnownPrint, Verdict]], width: int) -> None:
    known, verdict = prints["unmanaged, noted otherwise"]
    assert known.trial is not None
    lines = shown(verdict_lines(verdict, "Verdict", known.trial), width)
    assert any(known.trial.id in line for line in lines)
    lines = shown(reading_lines(known.reading, known.trial), width)
    assert sum(known.trial.id in line for line in lines) == 2  # the title, and the command


@pytest.mark.parametrize("width", [60, 80])
def test_ids_stay_whole_in_lists(call: Caller, monkeypatch: pytest.MonkeyPatch, width: int) -> None:
    monkeypatch.setenv("COLUMNS", str(width))
    code, out, _ = call._call("trial", "list")
    assert code == 0
    assert WEAK in out
    # At 60 columns no word is broken: what does not fit side by side stands below each other.
    words = " ".join(out.split())
    assert "Harbour Satin 300" in words if width == 60 else "Harbour" in words


def test_a_reading_with_many_notices_has_at_most_ten_lines() -> None:
    trial = readings.trial()
    notices = tuple(Message("scan.sharpened", file=f"scan{i}.tif", overshoot=0.1) for i in range(9))
    one = as_scan(readings.reading()).model_copy(update={"notices": notices, "trial": trial.id})
    lines = shown(reading_lines(one, trial))
    assert len(lines) <= MOST
    assert any("Mind" in line for line in lines)
    assert f"tackside judge {trial.id}" in " ".join(lines)
    assert len(shown(reading_lines(readings.reading(), trial))) <= MOST


def test_judge_and_its_full_page(call: Caller) -> None:
    _, short, _ = call._call("judge", WEAK)
    assert len(short.splitlines()) <= MOST
    _, full, _ = call._call("judge", WEAK, "--full")
    assert len(full.splitlines()) > 25
    for piece in ("Likely causes", "What was measured", "█"):
        assert piece in full
        assert piece not in short
    assert "bits" not in full


def test_json_holds_the_three_lines_and_the_command(call: Caller) -> None:
    found = call.document("judge", WEAK)
    assert [set(line) for line in found["head"]] == [{"code", "values", "text"}] * 3
    kept = Bench.open(call.folder).verdicts.standing(WEAK)
    assert [line["text"] for line in found["head"]] == [
        str(line) for line in head_of(kept, Bench.open(call.folder).trials.get(WEAK)).lines
    ]
    assert found["then"]["command"].startswith("tackside ")
    _, short, _ = call._call("judge", WEAK)
    told = " ".join(short.split())
    assert all(line["text"] in told for line in found["head"])


def test_what_has_no_room_is_left_out_whole() -> None:
    long = "word " * 40
    page = TenLines(
        Text("title"),
        [("Why", "because")],
        [("Seen", long), ("Seen", long), ("Seen", long), ("Seen", "x")],
        "hint",
    )
    lines = shown(page)
    assert len(lines) <= MOST
    assert sum(line.count("word") for line in lines) % 40 == 0
    assert any("hint" in line for line in lines)
    # Where what must be said is longer than that, it is said all the same.
    assert (
        sum(
            line.count("word")
            for line in shown(TenLines(Text("title"), [("Why", "word " * 200)], [], "hint"))
        )
        == 200
    )
