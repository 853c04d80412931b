"""``tackside card new`` and ``card make --csv``: from a template to a file for each guest."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image

from tackside.card.file.design import TEMPLATES
from tests.cli.bench_of_examples import SATIN, TERN, Caller


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    caller = Caller(tmp_path / "bench", capsys)
    caller.text("stock", "add", SATIN)
    caller.text("printer", "add", TERN)
    return caller


def begun(call: Caller, folder: Path, name: str = "by-name") -> Path:
    card = folder / "card.toml"
    names = ("--stock", "Harbour Satin 300", "--printer", "Tern 8")
    assert call.document("card", "new", name, "--out", card, *names) == {"file": str(card), "template": name}
    return card


def test_a_run_makes_a_file_for_each_row(call: Caller, tmp_path: Path) -> None:
    card = begun(call, tmp_path)
    guests = tmp_path / "guests.csv"
    guests.write_text("name,table\nAnn,1\nZoë,2\n", encoding="utf-8")
    made = call.document("card", "make", card, "--out", tmp_path / "card.pdf", "--csv", guests, "--yes")
    assert made["files"] == [str(tmp_path / "card-001-Ann.pdf"), str(tmp_path / "card-002-Zoë.pdf")]
    assert all(Path(file).exists() for file in made["files"])
    assert [row["values"]["name"] for row in made["rows"]] == ["Ann", "Zoë"]
    assert made["boxes_mm"]["texts"][0]["lines"] == ["Ann"]
    assert {"files", "boxes_mm", "warnings", "faces"} <= set(made)
    said = call.text("card", "make", card, "--out", tmp_path / "card.pdf", "--csv", guests, "--yes")
    assert "Cards 2" in said


def test_a_warning_of_one_row_names_its_row(call: Caller, tmp_path: Path) -> None:
    card = tmp_path / "card.toml"
    head = 'stock = "Harbour Satin 300"\nprinter = "Tern 8"\n'
    card.write_text(f'{head}[[texts]]\npanel = "back"\ntext = "Dear {{name}}"\n', encoding="utf-8")
    guests = tmp_path / "guests.csv"
    guests.write_text("name\nAnn\nŁukasz\n", encoding="utf-8")
    made = call.document("card", "make", card, "--out", tmp_path / "card.pdf", "--csv", guests, "--yes")
    (own,) = [each for each in made["warnings"] if each["code"] == "card-rows.of-row"]
    assert own["values"]["row"] == 2
    assert own["values"]["warning"]["code"] == "card-remark.mixed-faces-avoidable"
    assert own["text"].startswith('Row 2: "Ł" on the ')


def test_processes_make_the_same_run_and_what_is_there_is_not_made_again(
    call: Caller, tmp_path: Path
) -> None:
    card = begun(call, tmp_path)
    guests = tmp_path / "guests.csv"
    guests.write_text("name,table\nAnn,1\nZoë,2\n", encoding="utf-8")
    asked = ("card", "make", card, "--out", tmp_path / "card.pdf", "--csv", guests, "--yes")
    first = call.document(*asked)
    files = [Path(file) for file in first["files"]]
    made = [(file.read_bytes(), file.stat().st_ino) for file in files]
    files[1].unlink()
    assert call.document(*asked, "--workers", "1") == first
    again = [(file.read_bytes(), file.stat().st_ino) for file in files]
    assert again[0] == made[0], "the very file: it was there"
    assert again[1][0] == made[1][0]


def test_where_to_work_must_make_sense(call: Caller, tmp_path: Path) -> None:
    card = begun(call, tmp_path)
    one = ("card", "make", card, "--out", tmp_path / "card.pdf")
    assert "--workers is 0; give 1 or more" in call.refusal(
        *one, "--csv", tmp_path / "g.csv", "--workers", "0"
    )
    assert "leave out --workers, or --cluster" in call.refusal(
        *one, "--workers", "2", "--cluster", "tcp://x:1"
    )
    assert "one card is made here and at once" in call.refusal(*one, "--workers", "2")


def test_a_missing_field_is_one_line_and_nothing_is_written(call: Caller, tmp_path: Path) -> None:
    card = begun(call, tmp_path)
    guests = tmp_path / "guests.csv"
    guests.write_text("name,table\nAnn,1\nZoë,\n", encoding="utf-8")
    said = call.refusal("card", "make", card, "--out", tmp_path / "card.pdf", "--csv", guests, "--yes")
    assert 'guests.csv, row 2: no "table" (line 3, column 2)' in said
    assert not list(tmp_path.glob("*.pdf"))


@pytest.mark.parametrize("filed", [(), ("--one-file",)])
@pytest.mark.parametrize(
    ("damage", "told"), [(None, "there is no picture"), (lambda data: data[: len(data) // 2], "breaks off")]
)
def test_a_picture_of_a_row_that_is_missing_or_broken_is_told_by_row_and_column(
    call: Caller,
    tmp_path: Path,
    damage: Callable[[bytes], bytes] | None,
    told: str,
    filed: tuple[str, ...],
) -> None:
    card = tmp_path / "card.toml"
    head = 'stock = "Harbour Satin 300"\nprinter = "Tern 8"\n'
    card.write_text(f'{head}[[pictures]]\npanel = "front"\nfile = "{{photo}}.png"\n', encoding="utf-8")
    Image.effect_noise((300, 200), 60).convert("RGB").save(tmp_path / "ann.png")
    if damage is not None:
        (tmp_path / "bo.png").write_bytes(damage((tmp_path / "ann.png").read_bytes()))
    guests = tmp_path / "guests.csv"
    guests.write_text("name,photo\nAnn,ann\nBo,bo\n", encoding="utf-8")
    asked = ("card", "make", card, "--out", tmp_path / "card.pdf", "--csv", guests, *filed)
    said = call.refusal(*asked)
    assert "guests.csv, row 2: line 3, column 2: " in said
    assert "bo.png" in said
    assert told in said


def test_words_without_room_are_told_by_row_and_column_beside_other_faults(
    call: Caller, tmp_path: Path
) -> None:
    card = begun(call, tmp_path)
    guests = tmp_path / "guests.csv"
    guests.write_text(f"name,table\n{'W' * 400},1\nZoë,\nAnn,3\n", encoding="utf-8")
    said = call.refusal("card", "make", card, "--out", tmp_path / "card.pdf", "--csv", guests, "--yes")
    assert "guests.csv: 2 of 3 rows cannot be made: row 1: line 2, column 1: the text" in said
    assert 'row 2: no "table" (line 3, column 2)' in said
    assert not list(tmp_path.glob("*.pdf"))


def test_a_template_does_not_write_over_a_card(call: Caller, tmp_path: Path) -> None:
    card = begun(call, tmp_path)
    before = card.read_text(encoding="utf-8")
    assert "is there already" in call.refusal("card", "new", "mount", "--out", card)
    assert card.read_text(encoding="utf-8") == before
    assert "mount, brimful" in call.refusal("card", "new", "qqq", "--out", tmp_path / "other.toml")


@pytest.mark.parametrize("name", list(TEMPLATES))
def test_a_person_is_told_what_to_do_next(call: Caller, tmp_path: Path, name: str) -> None:
    said = call.text("card", "new", name, "--out", tmp_path / f"{name}.toml")
    assert TEMPLATES[name] in " ".join(said.split())
    assert "tackside card make" in " ".join(said.split())
