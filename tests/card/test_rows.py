"""Personalised runs: CSV by RFC 4180, a card a row, what is missing told by row and column."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from tackside.card.file.design import Card, CardCredit, CardPicture, CardText, filled, plain, variables_in
from tackside.card.series.rows import personalised, read_rows
from tackside.card.series.series import make_series
from tackside.errors import BadRecord, DoesNotFit
from tests.card.designs import printer, stock
from tests.refusals import refused


def rows_file(folder: Path, text: str | bytes) -> Path:
    path = folder / "guests.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode("utf-8"))
    return path


def card(*texts: str, folder: Path = Path(), **more: object) -> Card:
    parts = tuple(CardText(panel="front", text=text, place="head", size_pt=9) for text in texts)
    return Card(stock="S", printer="P", texts=parts, folder=folder, **more)  # type: ignore[arg-type]


def test_fields_are_read_as_the_standard_has_them(tmp_path: Path) -> None:
    # RFC 4180, section 2, rules 5 to 7: quotes, line breaks, commas and doubled quotes inside a field; CRLF ends.
    read = read_rows(rows_file(tmp_path, 'name,wish\r\n"Ann, Bob","said ""well""\r\nand left"\r\nCleo,x\r\n'))
    assert read.names == ("name", "wish")
    assert read.rows[0].values == {"name": "Ann, Bob", "wish": 'said "well"\r\nand left'}
    assert [(row.number, row.line) for row in read.rows] == [(1, 3), (2, 4)]


def test_a_byte_order_mark_and_blank_lines_do_no_harm(tmp_path: Path) -> None:
    read = read_rows(rows_file(tmp_path, b"\xef\xbb\xbfname\n\nAnn\n,\n"[:-2]))
    assert [row.values["name"] for row in read.rows] == ["Ann"]


def test_a_card_a_row(tmp_path: Path) -> None:
    rows = read_rows(rows_file(tmp_path, "name,table\nAnn,1\nZoë,2\n"))
    asked = card(
        "Dear { name },",
        "Table {table}",
        credit=CardCredit(text="No. {table}", qr="https://example.org/{table}"),
    )
    first, second = personalised(asked, rows)
    assert [plain(text.text) for text in first.texts] == ["Dear Ann,", "Table 1"]
    assert [plain(text.text) for text in second.texts] == ["Dear Zoë,", "Table 2"]
    assert second.credit is not None
    assert (second.credit.text, second.credit.qr) == ("No. 2", "https://example.org/2")


def test_a_missing_field_is_told_by_row_and_column(tmp_path: Path) -> None:
    path = rows_file(tmp_path, "name,table\nAnn,1\nBob,\nCleo\n")
    with refused(BadRecord, "card-rows.fields-empty", row=2, line=3, column=2, name="table", others=1):
        personalised(card("{name} at {table}"), read_rows(path))
    assert (
        len(personalised(card("{name}"), read_rows(path))) == 3
    )  # what the card does not ask for may be missing


@pytest.mark.parametrize(
    ("text", "code", "values"),
    [
        ("name\nAnn,1\n", "too-many-fields", {"row": 1, "line": 2, "count": 2, "columns": 1}),
        ("name,name\nA,B\n", "column-twice", {"column": "name"}),
        ("name,\nA,B\n", "unnamed-column", {"column": 2}),
        ("", "empty", {}),
        ("name\n", "no-rows", {}),
        ("name;table\nAnn;1\n", "semicolons", {}),
        (b"name\nZo\xeb\n", "not-utf-8", {}),
        ('name\n"Ann\n', "not-csv", {}),
        ('name\n"Ann"x\n', "not-csv", {"line": 2}),
    ],
)
def test_what_is_not_such_a_list_is_refused_in_one_line(
    tmp_path: Path, text: str | bytes, code: str, values: dict[str, object]
) -> None:
    with refused(BadRecord, f"card-rows.{code}", **values) as caught:
        read_rows(rows_file(tmp_path, text))
    assert "guests.csv" in str(caught.value)
    assert "\n" not in str(caught.value)


def test_a_list_that_is_not_there_is_named(tmp_path: Path) -> None:
    with refused(BadRecord, "card-rows.no-file"):
        read_rows(tmp_path / "guests.csv")
    with refused(BadRecord, "card-rows.not-read"):
        read_rows(tmp_path)


def test_a_variable_that_the_list_lacks_is_told_with_the_nearest(tmp_path: Path) -> None:
    rows = read_rows(rows_file(tmp_path, "name,table\nAnn,1\n"))
    with refused(BadRecord, "card-rows.unknown-field-near", name="nmae", near="name"):
        personalised(card("{nmae}"), rows)
    with refused(BadRecord, "card-rows.nothing-to-fill"):
        personalised(card("Dear guest"), rows)


def test_braces_can_be_printed() -> None:
    assert variables_in("{{name}} {name} {{{table}}}") == ("name", "table")
    assert plain(filled("{{name}} {name} {{{table}}} {", {"name": "A", "table": "{B}"})) == "{name} A {{B}} {"


@given(st.text(), st.text())
def test_values_are_printed_as_they_are_whatever_they_hold(before: str, value: str) -> None:
    fixed = before.replace("{", "{{").replace("}", "}}")
    assert plain(filled(f"{fixed}{{name}}!", {"name": value})) == f"{before}{value}!"


def test_pictures_come_from_the_list_but_not_from_elsewhere(tmp_path: Path) -> None:
    Image.new("RGB", (30, 20)).save(tmp_path / "ann.png")
    picture = CardPicture(panel="front", file="{who}.png")
    asked = Card(stock="S", printer="P", pictures=(picture,), folder=tmp_path)
    (made,) = personalised(asked, read_rows(rows_file(tmp_path, "who\nann\n")))
    assert made.pictures[0].file == "ann.png"
    with refused(BadRecord, "card.file-outside", file="../ann.png") as caught:
        personalised(asked, read_rows(rows_file(tmp_path, "who\n../ann\n")))
    assert caught.value.message.code == "card-rows.in-row"
    assert caught.value.message.value("row") == 1


def test_files_are_numbered_and_the_same_as_alone(tmp_path: Path) -> None:
    rows = read_rows(rows_file(tmp_path, "name\nAnn\nBob\n"))
    heard: list[tuple[int, int]] = []
    made = make_series(
        card("{name}"),
        rows,
        stock(),
        printer(),
        tmp_path / "card.pdf",
        tell=lambda *so_far: heard.append(so_far),
    )
    assert [each.sheet.files["outside"].name for each in made] == ["card-001.pdf", "card-002.pdf"]
    assert heard == [(0, 2), (1, 2), (2, 2)]
    assert made[1].sheet.faces[0].texts[0].lines[0].text == "Bob"


def test_a_row_that_does_not_fit_stops_before_anything_is_written(tmp_path: Path) -> None:
    rows = read_rows(rows_file(tmp_path, f"name\nAnn\n{'W' * 400}\n"))
    with refused(DoesNotFit, "type.no-room-on-panel") as caught:
        make_series(card("{name}"), rows, stock(), printer(), tmp_path / "card.pdf")
    assert "guests.csv, row 2: the text" in str(caught.value)
    assert caught.value.fix == "shorten it"
    assert [each.name for each in tmp_path.iterdir()] == ["guests.csv"]
