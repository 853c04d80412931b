"""TOML files: a record, or one line that names the file, the field and the fix."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tackside.errors import BadRecord
from tackside.files.toml_records import LARGEST_BYTES, load_record
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.records import Printer, Record, Stock
from tackside.records.load import load_printer, load_stock

STOCK = 'name = "Harbour Satin 300"\nopen_size_mm = [210, 297]\n'
FEED = '[[feeds]]\nname = "rear"\nmin_size_mm = [89, 127]\nmax_size_mm = [329, 1000]\n'
PRINTER = f'name = "Tern 8"\n{FEED}'


def refused(tmp_path: Path, text: str | bytes, kind: type[Record] = Stock) -> BadRecord:
    """What a bad file is refused with: one line that begins with the file's name."""
    file = tmp_path / "card.toml"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(BadRecord) as caught:
        load_record(file, kind)
    line = str(caught.value)
    assert line.startswith(str(file))
    assert "\n" not in line
    assert caught.value.message.value("file") == str(file)
    return caught.value


def refusal(tmp_path: Path, text: str | bytes, kind: type[Record] = Stock) -> str:
    """The one line that a bad file gives, without the file's name."""
    return str(refused(tmp_path, text, kind)).removeprefix(str(tmp_path / "card.toml"))


def fault(tmp_path: Path, text: str, kind: type[Record] = Stock) -> Message:
    """The fault of a file's data. Its field is the place that the error has."""
    error = refused(tmp_path, text, kind)
    found = error.message.value("fault")
    assert isinstance(found, Message)
    if found.code == "record.and-more":
        found = found.value("fault")
        assert isinstance(found, Message)
    assert found.value("field") == error.place
    return found


def text_given(text: str) -> Message:
    return Message("record.given-text", text=text)


def stock_fault(code: str, *path: str | int, **values: Any) -> Message:
    return Message(code, field=Place("stock", path), **values)


def printer_fault(code: str, *path: str | int, **values: Any) -> Message:
    return Message(code, field=Place("printer", path), **values)


def test_a_stock_as_the_design_writes_it_is_read(tmp_path: Path) -> None:
    file = tmp_path / "satin.toml"
    file.write_text(
        """
        name = "Harbour Satin 300"
        base = "photo"
        surface = "semi-gloss"
        weight_gsm = 300
        caliper_mm = 0.32
        coated = "front"
        open_size_mm = [210, 297]
        creases = [{ direction = "horizontal", at_mm = 148.5 }]
        pack = { count = 25, price = "14.50", currency = "GBP" }
        """,
        encoding="utf-8",
    )
    stock = load_stock(file)
    assert stock.open_size_mm == (210, 297)
    assert stock.creases[0].at_mm == 148.5
    assert stock.pack is not None
    assert str(stock.pack.price) == "14.50"


def test_borderless_fields_may_stand_at_the_top_of_a_printer(tmp_path: Path) -> None:
    file = tmp_path / "tern.toml"
    file.write_text(f"borderless_sizes_mm = [[210, 297]]\n{PRINTER}", encoding="utf-8")
    assert load_printer(file).feeds[0].borderless_sizes_mm == ((210, 297),)


@pytest.mark.parametrize("bom_and_ends", [b"\xef\xbb\xbf", b""])
def test_a_file_saved_on_windows_is_read(tmp_path: Path, bom_and_ends: bytes) -> None:
    file = tmp_path / "satin.toml"
    file.write_bytes(bom_and_ends + STOCK.replace("\n", "\r\n").encode())
    assert load_stock(file).name == "Harbour Satin 300"


BASES = tuple(map(text_given, ("photo", "matt", "cotton", "plain", "unknown")))
SIDES = tuple(map(text_given, ("front", "back", "both", "none", "unknown")))


@pytest.mark.parametrize(
    ("extra", "found"),
    [
        ("caliper = 0.3", stock_fault("record.unknown-field-near", "caliper", near="caliper_mm")),
        ("count = 25", stock_fault("record.unknown-field-near-in", "count", near="count", holder="pack")),
        ('weight_gsm = "300"', stock_fault("record.no-number", "weight_gsm", given=text_given("300"))),
        ("weight_gsm = true", stock_fault("record.no-number", "weight_gsm", given=True)),
        ("weight_gsm = nan", stock_fault("record.not-finite", "weight_gsm")),
        ("caliper_mm = inf", stock_fault("record.not-finite", "caliper_mm")),
        ("weight_gsm = -300", stock_fault("record.not-above", "weight_gsm", given=-300, limit=0)),
        ("caliper_mm = 32", stock_fault("record.length-above", "caliper_mm", given_mm=32, limit_mm=5)),
        (
            'base = "foto"',
            stock_fault(
                "record.near-a-choice", "base", given=text_given("foto"), near=text_given("photo"), choices=BASES
            ),
        ),
        (
            'coated = "sometimes"',
            stock_fault("record.no-choice", "coated", given=text_given("sometimes"), choices=SIDES),
        ),
        ("sold_for_inkjet = 1", stock_fault("record.no-true-or-false", "sold_for_inkjet", given=1)),
        ("pack = { count = 2.5 }", stock_fault("record.no-whole-number", "pack", "count", given=2.5)),
        ("pack = { count = true }", stock_fault("record.no-whole-number", "pack", "count", given=True)),
        ('pack = { count = 2, price = "3" }', stock_fault("record.price-without-currency", "pack", "currency")),
        ('pack = { count = 2, currency = "GBP" }', stock_fault("record.currency-without-price", "pack", "price")),
        (
            'pack = { count = 2, price = "x", currency = "GBP" }',
            stock_fault("record.no-amount", "pack", "price", given=text_given("x")),
        ),
        (
            'pack = { count = 2, price = 3, currency = "pounds" }',
            stock_fault("record.no-currency", "pack", "currency", given=text_given("pounds")),
        ),
        (
            'creases = [{ direction = "horizontal", at_mm = 400 }]',
            stock_fault("record.horizontal-crease-outside", "creases", 0, "at_mm", at_mm=400, limit_mm=297),
        ),
        (
            'creases = [{ direction = "vertical", at_mm = 210 }]',
            stock_fault("record.vertical-crease-outside", "creases", 0, "at_mm", at_mm=210, limit_mm=210),
        ),
        (
            'creases = [{ direction = "vertical", at_mm = -1 }]',
            stock_fault("record.length-not-above", "creases", 0, "at_mm", given_mm=-1, limit_mm=0),
        ),
        (
            "creases = [{ at_mm = 40 }]",
            stock_fault(
                "record.missing", "creases", 0, "direction", example=Message("record.example-text", name="direction")
            ),
        ),
        (
            "creases = 3",
            stock_fault(
                "record.no-list-of-tables", "creases", given=3, head="[[creases]]", names=("direction", "at_mm")
            ),
        ),
        (
            '[creases]\ndirection = "horizontal"\nat_mm = 148.5',
            stock_fault(
                "record.no-list-of-tables", "creases",
                given=Message("record.given-table"), head="[[creases]]", names=("direction", "at_mm"),
            ),
        ),
        ("pack = 5", stock_fault("record.no-table", "pack", given=5, head="[pack]", names=("count",))),
        (f"pack = {{ count = 0x{'f' * 5000} }}", stock_fault("record.huge", "pack", "count")),
    ],
)  # fmt: skip
def test_each_slip_has_its_field_and_its_values(tmp_path: Path, extra: str, found: Message) -> None:
    assert fault(tmp_path, STOCK + extra) == found


@pytest.mark.parametrize(
    ("extra", "said"),
    [
        ("caliper = 0.3", "unknown field caliper; did you mean caliper_mm?"),
        ("count = 25", "unknown field count; did you mean count, which belongs in pack?"),
        ('weight_gsm = "300"', 'weight_gsm is "300", not a number; give it as 0.32'),
        ("caliper_mm = 32", "caliper_mm is 32 mm; it must be at most 5 mm"),
        (
            "[creases]\nat_mm = 148.5",
            "creases is a table, not a list; write [[creases]], in double brackets, on a line of its own, and below it "
            "direction and at_mm",
        ),
        ('base = "foto"', 'base is "foto"; did you mean "photo"? It can be "photo", "matt"'),
        (
            'pack = { count = 2, price = "3" }',
            'pack.currency is missing; give price and currency together, as price = "14.50" and currency = "GBP"',
        ),
        ("creases = [{ at_mm = 40 }]", 'creases no. 1: direction is missing; add direction = "…"'),
        (
            'creases = [{ direction = "vertical", at_mm = 210 }]',
            "creases no. 1: at_mm: a vertical crease at 210 mm",
        ),
    ],
)
def test_the_terminal_names_the_key_as_it_stands_in_the_file(tmp_path: Path, extra: str, said: str) -> None:
    assert f": {said}" in refusal(tmp_path, STOCK + extra)


@pytest.mark.parametrize(
    ("extra", "line", "slip"),
    [
        ('name = "twice"\n', 3, "file.toml-twice"),
        ("caliper_mm = 0,32", 3, "file.toml-comma"),
        ("base = photo", 3, "file.toml-no-quotes"),
        ("base = “photo”", 3, "file.toml-curly-quotes"),
        ("base: photo", 3, "file.toml-line"),
        ("creases = [", 3, "file.toml-line"),
    ],
)
def test_toml_that_is_none_names_the_line_and_the_slip(
    tmp_path: Path, extra: str, line: int, slip: str
) -> None:
    message = refused(tmp_path, STOCK + extra).message
    assert (message.code, message.value("line"), message.value("slip")) == (
        "file.no-toml",
        line,
        Message(slip),
    )
    assert f", line {line}: not valid TOML" in str(message)


def test_numbers_and_nesting_beyond_reason_are_refused(tmp_path: Path) -> None:
    assert refused(tmp_path, f"{STOCK}weight_gsm = {'9' * 5000}").message.code == "file.huge-number"
    assert refused(tmp_path, f"{STOCK}x = {'[' * 5000}").message.code in {
        "file.nested-too-deeply",
        "file.no-toml",
    }


@pytest.mark.parametrize(
    ("before", "part", "between", "after"),
    [
        ("", "a", ".", " = 1"),
        ("", '"a b"', ".", " = 1"),
        ("", "a", " . ", " = 1"),
        ("[", "a", ".", "]"),
        ("[[", "a", ".", "]]"),
        ("x = { ", "a", ".", " = 1 }"),
    ],
)
def test_a_key_of_many_parts_is_refused_before_it_is_parsed(
    tmp_path: Path, before: str, part: str, between: str, after: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The parser takes time and memory by the square of them: 100,000 took 57 s and 6 GB."""
    deep = f"{before}{between.join([part] * 100_000)}{after}\n"
    with monkeypatch.context() as without:
        without.setattr(tomllib, "loads", lambda text: pytest.fail("it was parsed"))
        assert refused(tmp_path, STOCK + deep).message.code == "file.nested-too-deeply"
    few = f"{before}{between.join([part] * 12)}{after}\n"
    assert refused(tmp_path, STOCK + few).message.code == "record.in-file"


SIZE = Message("record.example-size", name="open_size_mm")


@pytest.mark.parametrize(
    ("text", "found", "more"),
    [
        ("", stock_fault("record.missing", "name", example=Message("record.example-text", name="name")), 1),
        ('name = "A"', stock_fault("record.missing", "open_size_mm", example=SIZE), 0),
        ('name = "A"\nopen_size_mm = [210]', stock_fault("record.entries-missing", "open_size_mm", example=SIZE), 0),
        (
            'name = "A"\nopen_size_mm = [210, -3]',
            stock_fault("record.length-not-above", "open_size_mm", 1, given_mm=-3, limit_mm=0), 0,
        ),
        (
            'name = "A"\nopen_size_mm = [0, 3]',
            stock_fault("record.length-not-above", "open_size_mm", 0, given_mm=0, limit_mm=0), 0,
        ),
        ('name = ""\nopen_size_mm = [210, 297]', stock_fault("record.empty", "name"), 0),
        ('name = 4\nopen_size_mm = [210, "x"]', stock_fault("record.no-text", "name", given=4), 1),
    ],
)  # fmt: skip
def test_a_stock_without_its_size_or_name_is_refused(
    tmp_path: Path, text: str, found: Message, more: int
) -> None:
    assert fault(tmp_path, text) == found
    told = refused(tmp_path, text).message.value("fault")
    assert isinstance(told, Message)
    assert (told.value("count") or 0) == more
    assert ("(and 1 more fault)" in str(told)) == (more == 1)


@pytest.mark.parametrize(
    ("text", "found"),
    [
        (
            PRINTER + "max_calliper_mm = 0.6",
            printer_fault("record.unknown-field-near", "feeds", 0, "max_calliper_mm", near="max_caliper_mm"),
        ),
        (
            PRINTER + "grid_ppi = 300",
            printer_fault("record.unknown-field-of-the-top", "feeds", 0, "grid_ppi", name="grid_ppi"),
        ),
        (
            "max_caliper_mm = 0.6\n" + PRINTER,
            printer_fault(
                "record.unknown-field-near-in", "max_caliper_mm", near="max_caliper_mm", holder="feeds"
            ),
        ),
        (
            PRINTER + "margins_mm = { top = -4 }",
            printer_fault("record.length-below", "feeds", 0, "margins_mm", "top", given_mm=-4, limit_mm=0),
        ),
        (
            PRINTER.replace("[329", "[80"),
            printer_fault(
                "record.widest-below-narrowest", "feeds", 0, "max_size_mm", 0, most_mm=80, least_mm=89
            ),
        ),
        (PRINTER + FEED, printer_fault("record.feeds-alike", "feeds", 1, "name", name="rear")),
        (
            'name = "Tern 8"',
            printer_fault("record.missing", "feeds", example=Message("record.example-feeds")),
        ),
        ('name = "Tern 8"\nfeeds = []', printer_fault("record.too-few-entries", "feeds", least=1)),
        (
            'inks = { kind = "dye", number = 8 }\n' + PRINTER,
            printer_fault("record.unknown-field", "inks", "number", known=("kind", "count")),
        ),
        (
            'borderless_sizes_mm = [[210, 297], "A4"]\n' + PRINTER,
            printer_fault("record.no-size", "feeds", 0, "borderless_sizes_mm", 1, given=text_given("A4")),
        ),
    ],
)
def test_a_printers_slips_are_placed_down_to_the_feed(tmp_path: Path, text: str, found: Message) -> None:
    assert fault(tmp_path, text, Printer) == found


def test_the_terminal_names_feeds_and_tables_by_number_and_key(tmp_path: Path) -> None:
    top = refusal(tmp_path, PRINTER + "margins_mm = { top = -4 }", Printer)
    assert "feeds no. 1: margins_mm.top is −4 mm; it must be at least 0 mm" in top
    size = refusal(tmp_path, 'borderless_sizes_mm = [[210, 297], "A4"]\n' + PRINTER, Printer)
    assert 'feeds no. 1: borderless_sizes_mm no. 2 is "A4", not a list; give it as [210, 297]' in size
    assert "feeds is missing; add a [[feeds]] table" in refusal(tmp_path, 'name = "Tern 8"', Printer)


def test_a_file_that_is_no_text_names_the_line(tmp_path: Path) -> None:
    message = refused(tmp_path, STOCK.encode() + b'notes = "caf\xe9"').message
    assert (message.code, message.value("line")) == ("file.no-utf-8", 3)
    assert refused(tmp_path, STOCK.encode("utf-16")).message.code == "file.no-utf-8"


def test_a_picture_taken_for_a_record_is_refused_before_it_is_read_whole(tmp_path: Path) -> None:
    assert refused(tmp_path, b"#" * (LARGEST_BYTES + 1)).message.code == "file.too-large-for-toml"


def test_a_folder_and_a_missing_file_are_named(tmp_path: Path) -> None:
    with pytest.raises(BadRecord, match="is a folder, not a TOML file"):
        load_stock(tmp_path)
    with pytest.raises(BadRecord, match=r"there is no file .*nix\.toml"):
        load_stock(tmp_path / "nix.toml")
    with pytest.raises(BadRecord, match="cannot read"):
        load_stock("a\0b")


# Whatever comes, it is a record or BadRecord.
SCALARS = (
    st.booleans()
    | st.integers()
    | st.floats()
    | st.text(max_size=8)
    | st.sampled_from(["photo", "horizontal", "GBP", "front", 148.5, 210, 25])
)
VALUES = st.recursive(
    SCALARS,
    lambda inner: (
        st.lists(inner, max_size=3)
        | st.dictionaries(
            st.sampled_from(["direction", "at_mm", "count", "price", "currency", "name", "top", "kind"]),
            inner,
            max_size=3,
        )
    ),
    max_leaves=6,
)
FIELDS = st.sampled_from(
    sorted({*Stock.model_fields, *Printer.model_fields, "feeds", "borderless_sizes_mm", "kaliper"})
)


def toml_of(value: object) -> str:
    """Any plain value written as TOML."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, dict):
        return "{" + ", ".join(f"{key} = {toml_of(inner)}" for key, inner in value.items()) + "}"
    if isinstance(value, list):
        return "[" + ", ".join(map(toml_of, value)) + "]"
    if isinstance(value, str):
        return '"' + "".join(f"\\U{ord(letter):08X}" for letter in value) + '"'
    return repr(value)


def outcome(file: Path, kind: type[Record]) -> Record | None:
    try:
        return load_record(file, kind)
    except BadRecord as refused:
        error = refused
    assert error.fix
    assert str(file) in error.what
    return None


@given(st.binary(max_size=200), st.sampled_from([Stock, Printer]))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_bytes_give_a_record_or_bad_record(tmp_path: Path, data: bytes, kind: type[Record]) -> None:
    file = tmp_path / "any.toml"
    file.write_bytes(data)
    outcome(file, kind)


@given(st.dictionaries(FIELDS, VALUES, max_size=6), st.sampled_from([Stock, Printer]))
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=300)
def test_any_toml_gives_a_record_or_bad_record(
    tmp_path: Path, data: dict[str, object], kind: type[Record]
) -> None:
    file = tmp_path / "any.toml"
    sized = {"name": "A", "open_size_mm": [210, 297]} if kind is Stock else {"name": "A"}
    lines = [f"{key} = {toml_of(value)}" for key, value in {**sized, **data}.items()]
    file.write_text("\n".join(lines), encoding="utf-8")
    found = outcome(file, kind)
    if found is not None:  # what was accepted survives being written and read again
        assert kind.model_validate_json(found.model_dump_json()) == found
