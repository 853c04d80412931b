"""``tackside picture check``: one document, every finding with its fix, broken pictures among good ones."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.bench_of_examples import SATIN, TERN, Caller
from tests.picture.photographs import FOLDER


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    return Caller(tmp_path / "bench", capsys)


def test_pictures_are_looked_at_without_a_bench(call: Caller, tmp_path: Path) -> None:
    (tmp_path / "broken.jpg").write_bytes(b"\xff\xd8\xff\xe0nothing")
    found = call.document(
        "picture", "check", FOLDER / "coffee.png", tmp_path / "broken.jpg", FOLDER / "rocket.jpg"
    )
    assert [Path(each["file"]).name for each in found["pictures"]] == [
        "coffee.png",
        "broken.jpg",
        "rocket.jpg",
    ]
    first, broken, _ = found["pictures"]
    assert [each["id"] for each in broken["findings"]] == ["broken"]
    assert first["size_px"] == [600, 400]
    for each in first["findings"]:
        assert {"id", "severity", "message", "mend", "figure", "code", "values"} <= set(each)


def test_the_panel_of_a_stock_gives_the_resolution(call: Caller) -> None:
    call.document("stock", "add", SATIN)
    call.document("printer", "add", TERN)
    found = call.document(
        "picture", "check", FOLDER / "ihc.png", "--stock", "Harbour Satin 300", "--printer", "Tern 8"
    )
    # The front panel is 210 × 148.5 mm: 512 px over 210 mm.
    assert found["pictures"][0]["ppi"] == pytest.approx(512 / (210 / 25.4), abs=0.1)
    inside = call.text(
        "picture", "check", FOLDER / "ihc.png", "--stock", "Harbour Satin 300", "--printer", "Tern 8",
        "--panel", "inside-left",
    )  # fmt: skip
    assert "on the inside left panel" in inside.lower()


def test_a_size_and_a_distance_give_the_eyes_limit(call: Caller) -> None:
    found = call.document(
        "picture", "check", FOLDER / "ihc.png", "--size-mm", "50.8", "50.8", "--distance-cm", "25"
    )
    assert found["pictures"][0]["ppi"] == 256
    assert round(found["pictures"][0]["eye_ppi"]) == 349  # 3438 ÷ inches


def test_a_folder_stands_for_its_pictures(call: Caller, tmp_path: Path) -> None:
    folder = tmp_path / "holiday"
    folder.mkdir()
    for name in ("coffee.png", "rocket.jpg"):
        (folder / name).write_bytes((FOLDER / name).read_bytes())
    (folder / "notes.txt").write_text("not a picture", "utf-8")
    found = call.document("picture", "check", folder)
    assert [Path(each["file"]).name for each in found["pictures"]] == ["coffee.png", "rocket.jpg"]


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (("nowhere.jpg",), "there is no picture"),
        ((FOLDER / "coffee.png", "--stock", "A"), "--printer is missing"),
        ((FOLDER / "coffee.png", "--size-mm", "0", "10"), "cannot be"),
        ((FOLDER / "coffee.png", "--distance-cm", "-3"), "from −3 cm"),
    ],
)
def test_what_makes_no_sense_is_one_line(call: Caller, arguments: tuple[str | Path, ...], words: str) -> None:
    assert words in call.refusal("picture", "check", *arguments)


def test_an_empty_folder_is_refused(call: Caller, tmp_path: Path) -> None:
    (tmp_path / "empty").mkdir()
    assert "holds no pictures" in call.refusal("picture", "check", tmp_path / "empty")
