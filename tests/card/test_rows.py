"""Personalised runs: CSV by RFC 4180, a card a row, what is missing told by row and column."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from tackside.card.file.design import Card, CardCredit, CardPicture, CardText, filled, plain, variables_in
from tackside.card.series.lay_rows import lay_rows, naming_column, row_called, row_name, row_stem
from tackside.card.series.list_file import read_rows
from tackside.card.series.row_faults import ListRow, Rows
from tackside.card.series.rows import personalised
from tackside.card.series.series import RowSheet, make_series
from tackside.errors import BadImage, BadRecord, BadRequest, DoesNotFit
from tackside.messages.message import Message
from tests.card.designs import printer, stock
from tests.refusals import innermost, refused


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


@pytest.mark.parametrize(
    ("encoding", "before"),
    [
        ("utf-8", b""),
        ("utf-8-sig", b""),
        ("utf-16", b""),
        ("utf-16-le", b"\xff\xfe"),
        ("utf-16-be", b"\xfe\xff"),
    ],
)
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_a_list_is_read_as_spreadsheets_write_it(
    tmp_path: Path, encoding: str, before: bytes, separator: str
) -> None:
    # Marks of the encodings: Unicode 15, 23.8. Semicolons and tabs: common practice of spreadsheets.
    text = f'name{separator}"wish, or; what"\r\nZoë{separator}"1{separator}5"\r\n\r\n'
    read = read_rows(rows_file(tmp_path, before + text.encode(encoding)))
    assert [row.values for row in read.rows] == [{"name": "Zoë", "wish, or; what": f"1{separator}5"}]
    assert read.notices == ()


def test_a_line_that_names_the_separator_is_no_header(tmp_path: Path) -> None:
    read = read_rows(rows_file(tmp_path, "sep=;\r\nname;sum\r\nAnn;1,5,2,5\r\n"))
    assert (read.names, read.rows[0].values, read.rows[0].line) == (
        ("name", "sum"), {"name": "Ann", "sum": "1,5,2,5"}, 3,
    )  # fmt: skip


def test_a_windows_code_page_is_read_and_said(tmp_path: Path) -> None:
    read = read_rows(rows_file(tmp_path, "name\nZoë\n".encode("cp1252")))
    assert read.rows[0].values == {"name": "Zoë"}
    assert [(each.code, each.value("fields")) for each in read.notices] == [("card-rows.code-page", ("Zoë",))]


def test_all_rows_that_are_at_fault_are_told_at_once(tmp_path: Path) -> None:
    rows = read_rows(rows_file(tmp_path, f"name,table\nAnn,1\n{'W' * 400},2\nBob,\nCleo,4\n{'M' * 400},5\n"))
    with refused(BadRecord, "card-rows.several", count=3, rows=5) as caught:
        lay_rows(card("{name}", "{table}"), rows, stock(), printer())
    told = [(each.value("row"), each.value("fault")) for each in caught.value.message.value("faults")]  # type: ignore[union-attr]
    assert [(row, innermost(fault).code) for row, fault in told] == [
        (2, "type.no-room-on-panel"), (3, "card-rows.field-empty"), (5, "type.no-room-on-panel"),
    ]  # fmt: skip
    assert [(fault.value("line"), fault.value("column")) for _, fault in told] == [(3, 1), (4, 2), (6, 1)]


def test_what_is_wrong_with_every_row_is_said_once(tmp_path: Path) -> None:
    rows = read_rows(rows_file(tmp_path, "name\nAnn\nBob\n"))
    asked = card("{name}", pictures=(CardPicture(panel="front", file="gone.jpg"),), folder=tmp_path)
    with refused(BadImage, "picture.missing"):
        lay_rows(asked, rows, stock(), printer())


def test_rows_are_called_by_what_the_card_shows_of_them() -> None:
    rows = Rows("g.csv", ("table", "name"), (ListRow(1, 2, {"table": "7", "name": " Ann\u00a0 Bell "}),))
    asked = card("Dear {name}", "Table {table}")
    assert naming_column(asked, rows) == "name"
    assert row_name(rows.rows[0], "name") == "Ann Bell"
    assert row_called(rows, "ann bell", "name") == row_called(rows, "1", "name") == 1
    with refused(BadRecord, "card-rows.no-such-row", row="2", last=1):
        row_called(rows, "2", "name")
    with refused(BadRecord, "card-rows.named-by-nothing", name="nme"):
        naming_column(asked, rows, "nme")


@pytest.mark.parametrize(
    ("name", "stem"),
    [
        ("Ann Bell", "card-007-Ann-Bell"),
        ('Ann/Bob: "x"', "card-007-Ann-Bob-x"),
        ("Zoe\u0308", "card-007-Zo\u00eb"),
        ("../..", "card-007"),
        ("王伟", "card-007-王伟"),
        ("", "card-007"),
    ],
)
def test_files_are_named_as_any_disk_takes_it(name: str, stem: str) -> None:
    assert row_stem("card", 7, 40, name) == stem
    assert len(row_stem("card", 7, 40, "W" * 400)) < 80


def test_nothing_of_others_is_written_over(tmp_path: Path) -> None:
    rows = read_rows(rows_file(tmp_path, "name\nAnn\n"))
    (tmp_path / "made").mkdir()

    def made(words: str, *, force: bool = False) -> tuple[RowSheet, ...]:
        return make_series(
            card(words), rows, stock(), printer(), tmp_path / "c.pdf", force=force, finished=tmp_path / "made"
        )

    made("{name}")
    made("Dear {name}")  # its own work, made again
    (tmp_path / "c-001-Ann.pdf").write_bytes(b"somebody's")
    with refused(BadRequest, "file.there-already"):
        made("{name}")
    made("{name}", force=True)


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
    with refused(BadRecord, "card-rows.several", count=2, rows=3) as caught:
        personalised(card("{name} at {table}"), read_rows(path))
    faults = caught.value.message.value("faults")
    assert [(each.value("row"), each.value("fault").code) for each in faults] == [  # type: ignore[union-attr]
        (2, "card-rows.field-empty"),
        (3, "card-rows.field-empty"),
    ]
    assert 'row 2: no "table" (line 3, column 2); row 3: no "table" (line 4, column 2)' in str(caught.value)
    assert (
        len(personalised(card("{name}"), read_rows(path))) == 3
    )  # what the card does not ask for may be missing


@pytest.mark.parametrize(
    ("text", "code", "values"),
    [
        ("name\nAnn,1\n", "too-many-fields", {"line": 2, "count": 2, "columns": 1}),
        ("name,name\nA,B\n", "column-twice", {"column": "name"}),
        ("name,\nA,B\n", "unnamed-column", {"column": 2}),
        ("", "empty", {}),
        ("name\n", "no-rows", {}),
        (b"PK\x03\x04\x00\x00", "not-text", {}),
        (b"\xff\xfen\x00a", "not-text", {}),
        (b"name\nZo\x81\n", "not-text", {}),
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
    with refused(BadRecord, "file.cannot-read", reason=Message("file.is-folder")):
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
    assert [each.sheet.files["outside"].name for each in made] == ["card-001-Ann.pdf", "card-002-Bob.pdf"]
    assert heard == [(0, 2), (1, 2), (2, 2)]
    assert made[1].sheet.faces[0].texts[0].lines[0].text == "Bob"


def test_a_row_that_does_not_fit_stops_before_anything_is_written(tmp_path: Path) -> None:
    rows = read_rows(rows_file(tmp_path, f"name\nAnn\n{'W' * 400}\n"))
    with refused(DoesNotFit, "type.no-room-on-panel") as caught:
        make_series(card("{name}"), rows, stock(), printer(), tmp_path / "card.pdf")
    assert "guests.csv, row 2: line 3, column 1: the text" in str(caught.value)
    assert caught.value.fix == "shorten it"
    assert [each.name for each in tmp_path.iterdir()] == ["guests.csv"]


@pytest.mark.parametrize(
    ("cell", "code"), [("n" * 300 + ".png", "file.cannot-use"), ("../gone.png", "card.file-outside")]
)
def test_a_cell_that_can_be_no_file_is_refused_at_its_row_and_column(
    tmp_path: Path, cell: str, code: str
) -> None:
    rows = read_rows(rows_file(tmp_path, f"name,picture\nAnn,a.png\nBo,{cell}\n"))
    picture = CardPicture(panel="front", file="{picture}")
    with refused(BadRecord if code.startswith("card") else BadRequest, code) as caught:
        personalised(Card(stock="S", printer="P", pictures=(picture,), folder=tmp_path), rows)
    told = caught.value.message
    assert (told.code, told.value("row")) == ("card-rows.in-row", 2)
    field = told.value("fault")
    assert isinstance(field, Message)
    assert (field.code, field.value("line"), field.value("column")) == ("card-rows.in-column", 3, 2)
