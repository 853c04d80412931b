"""TOML files: a record, or one line that names the file, the field and the mend."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tackside.errors import BadRecord
from tackside.files.toml_records import LARGEST_BYTES, load_record
from tackside.records import Printer, Record, Stock
from tackside.records.load import load_printer, load_stock

STOCK = 'name = "Harbour Satin 300"\nopen_size_mm = [210, 297]\n'
FEED = '[[feeds]]\nname = "rear"\nmin_size_mm = [89, 127]\nmax_size_mm = [329, 1000]\n'
PRINTER = f'name = "Tern 8"\n{FEED}'


def refusal(tmp_path: Path, text: str | bytes, kind: type[Record] = Stock) -> str:
    """The one line that a bad file gives."""
    file = tmp_path / "card.toml"
    file.write_bytes(text if isinstance(text, bytes) else text.encode())
    with pytest.raises(BadRecord) as caught:
        load_record(file, kind)
    line = str(caught.value)
    assert line.startswith(str(file))
    assert "\n" not in line
    return line.removeprefix(str(file))


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


@pytest.mark.parametrize(
    ("extra", "said"),
    [
        ("caliper = 0.3", "unknown field caliper; did you mean caliper_mm?"),
        ("count = 25", "unknown field count; did you mean count, which belongs in pack?"),
        ('weight_gsm = "300"', 'weight_gsm is "300", not a number; give it as'),
        ("weight_gsm = true", "weight_gsm is true, not a number; give it as"),
        ("weight_gsm = nan", "weight_gsm is not a finite number"),
        ("caliper_mm = inf", "caliper_mm is not a finite number"),
        ("weight_gsm = -300", "weight_gsm is -300; it must be more than 0"),
        ("caliper_mm = 32", "caliper_mm is 32; it must be at most 5"),
        ('base = "foto"', 'base is "foto"; did you mean "photo"?'),
        ('coated = "sometimes"', 'it can be "front", "back", "both", "none", "unknown"'),
        ("sold_for_inkjet = 1", "sold_for_inkjet is 1, not true or false"),
        ("pack = { count = 2.5 }", "pack.count is 2.5, not a whole number"),
        ("pack = { count = true }", "pack.count is true, not a whole number"),
        (
            'pack = { count = 2, price = "3" }',
            "pack does not hold together; give price and currency together",
        ),
        ('pack = { count = 2, price = "x", currency = "GBP" }', 'pack.price is "x", not an amount'),
        ('pack = { count = 2, price = 3, currency = "pounds" }', "give it as three capital letters"),
        ('creases = [{ direction = "horizontal", at_mm = 400 }]', "at 400 mm lies outside the sheet"),
        ('creases = [{ direction = "vertical", at_mm = 210 }]', "lies outside the sheet, whose width is 210"),
        ('creases = [{ direction = "vertical", at_mm = -1 }]', "creases no. 1: at_mm is -1; it must be more"),
        ("creases = [{ at_mm = 40 }]", "creases no. 1: direction is missing; add direction ="),
        ("creases = 3", "creases is 3, not a list"),
        ('name = "twice"\n', "line 3: not valid TOML"),
        ("caliper_mm = 0,32", "line 3: not valid TOML"),
        ("caliper_mm = 0,32", "write decimals with a point, as 0.32"),
        ("base = photo", 'put words in quotes, as base = "photo"'),
        ("base = “photo”", "use straight quotes"),
        (f"weight_gsm = {'9' * 5000}", "thousands of digits"),
        (f"pack = {{ count = 0x{'f' * 5000} }}", "pack.count is a huge number"),
        (f"x = {'[' * 5000}", ""),
    ],
)
def test_each_slip_has_its_field_and_its_mend(tmp_path: Path, extra: str, said: str) -> None:
    assert said in refusal(tmp_path, STOCK + extra)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "name is missing (and 1 more fault); add name"),
        ('name = "A"', "open_size_mm is missing; add open_size_mm = [210, 297]"),
        ('name = "A"\nopen_size_mm = [210]', "open_size_mm has too few entries; give it as"),
        ('name = "A"\nopen_size_mm = [210, -3]', "open_size_mm (height) is -3; it must be more than 0"),
        ('name = "A"\nopen_size_mm = [0, 3]', "open_size_mm (width) is 0; it must be more than 0"),
        ('name = ""\nopen_size_mm = [210, 297]', "name is empty"),
        ('name = 4\nopen_size_mm = [210, "x"]', "(and 1 more fault)"),
    ],
)
def test_a_stock_without_its_size_or_name_is_refused(tmp_path: Path, text: str, said: str) -> None:
    assert said in refusal(tmp_path, text)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (PRINTER + "max_calliper_mm = 0.6", "feeds no. 1: max_calliper_mm; did you mean max_caliper_mm?"),
        (PRINTER + "grid_ppi = 300", "grid_ppi belongs at the top of the file"),
        ("max_caliper_mm = 0.6\n" + PRINTER, "did you mean max_caliper_mm, which belongs in feeds?"),
        (PRINTER + "margins_mm = { top = -4 }", "feeds no. 1: margins_mm.top is -4; it must be at least 0"),
        (PRINTER.replace("[329", "[80"), "the largest width, 80 mm, is below the smallest, 89 mm"),
        (PRINTER + FEED, "two feeds have the same name"),
        ('name = "Tern 8"', "feeds is missing; add a [[feeds]] table"),
        ('name = "Tern 8"\nfeeds = []', "feeds has too few entries; give 1 at least"),
        ('inks = { kind = "dye", number = 8 }\n' + PRINTER, "inks.number; the fields are kind, count"),
    ],
)
def test_a_printers_slips_are_named_down_to_the_feed(tmp_path: Path, text: str, said: str) -> None:
    assert said in refusal(tmp_path, text, Printer)


def test_a_file_that_is_no_text_names_the_line(tmp_path: Path) -> None:
    assert ", line 3: not UTF-8 text" in refusal(tmp_path, STOCK.encode() + b'notes = "caf\xe9"')
    assert "not UTF-8 text" in refusal(tmp_path, STOCK.encode("utf-16"))


def test_a_picture_taken_for_a_record_is_refused_before_it_is_read_whole(tmp_path: Path) -> None:
    assert "larger than a record can be" in refusal(tmp_path, b"#" * (LARGEST_BYTES + 1))


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
