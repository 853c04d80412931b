"""Which font sets which character: the shipped ones, the card's own, this computer's; and which must not."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from tackside.card.file.design import Card, CardFont, CardText
from tackside.card.make import make_card
from tackside.card.type.fonts import Fonts, fonts_of
from tackside.card.type.system_fonts import font_files, font_folders, system_face
from tackside.card.type.typeface import read_typeface, typeface, typeface_from
from tackside.errors import BadRecord, TacksideError
from tackside.messages.place import Place
from tests.card.designs import printer, stock
from tests.card.fonts import DEJAVU, needs_dejavu, write_collection, write_locked, write_moved
from tests.refusals import refused


def card(folder: Path, file: str) -> Card:
    return Card(
        stock="S",
        printer="P",
        texts=(CardText(panel="back", text="A", face="mine"),),
        fonts=(CardFont(name="mine", file=file),),
        folder=folder,
    )


def test_a_font_of_the_card_is_asked_before_this_computers(tmp_path: Path) -> None:
    write_moved(tmp_path / "mine.ttf", {0x6F22: ord("A"), ord(" "): ord(" ")})
    held = fonts_of(card(tmp_path, "mine.ttf"))
    fonts, missing = held.fonts_for("A漢", "sans")
    assert not missing
    assert [font is typeface("sans") for font in fonts] == [True, False]
    assert fonts[1] == held.named["mine"]
    assert fonts[1].own


def test_the_asked_face_comes_first(tmp_path: Path) -> None:
    write_moved(tmp_path / "mine.ttf", {ord("A"): ord("B")})
    fonts, _ = fonts_of(card(tmp_path, "mine.ttf")).fonts_for("AB", "mine")
    assert fonts[0].key.startswith("Vollkorn-Regular-")  # the card's own, told apart from the shipped one
    assert fonts[1] is typeface("sans")


def test_a_letter_and_its_marks_come_from_one_font() -> None:
    fonts, missing = Fonts(folders=()).fonts_for("x\u0302y", "sans")
    assert not missing
    assert fonts[0] is fonts[1] is typeface("serif")  # the sans has no combining circumflex
    assert fonts[2] is typeface("sans")


def test_characters_that_only_steer_need_no_font() -> None:
    _, missing = Fonts(folders=()).fonts_for("a\u200db\u2067c\u2069\ufe0f\u00ad", "sans")
    assert not missing


def test_other_spaces_are_set_with_the_plain_one() -> None:
    fonts, missing = Fonts(folders=()).fonts_for("a\u2009b\u202fc\u00a0d", "sans")
    assert not missing
    assert set(fonts) == {typeface("sans")}


@needs_dejavu
def test_this_computers_fonts_are_the_last_resort() -> None:
    held = Fonts(folders=(DEJAVU.parent,))
    fonts, missing = held.fonts_for("aש", "sans")
    assert not missing
    assert fonts[1].family == "DejaVu Sans"  # upright, of normal weight, without serifs
    assert not fonts[1].own


def test_a_folder_of_anything_at_all_gives_no_font(tmp_path: Path) -> None:
    (tmp_path / "empty.ttf").write_bytes(b"")
    (tmp_path / "noise.otf").write_bytes(bytes(range(256)) * 40)
    (tmp_path / "cut.ttf").write_bytes(typeface("serif").data[:3000])
    (tmp_path / "loop").symlink_to(tmp_path)
    assert system_face("A", (tmp_path, tmp_path / "nowhere"), serif=False) is None


def test_a_collection_gives_the_face_that_has_the_character(tmp_path: Path) -> None:
    write_collection(tmp_path / "both.ttc")
    found = system_face("A", (tmp_path,), serif=True)
    assert found is not None
    assert (found.name, found.face_index) == ("Vollkorn-Regular", 0)
    italic = read_typeface((tmp_path / "both.ttc").read_bytes(), "both.ttc", face_index=1)
    assert italic.name == "Vollkorn-Italic"


@pytest.mark.parametrize("embedding", [0x0002, 0x0200])
def test_a_font_that_may_not_be_embedded_is_refused_or_passed_over(tmp_path: Path, embedding: int) -> None:
    """OpenType 1.9, OS/2, fsType: 2 is a restricted licence, 0x200 bitmaps only."""
    write_locked(tmp_path / "mine.ttf", embedding)
    with refused(BadRecord, "type.licence-forbids", file="mine.ttf") as caught:
        fonts_of(card(tmp_path, "mine.ttf"))
    assert caught.value.place == Place("card", ("fonts", 0, "file"))
    assert system_face("A", (tmp_path,), serif=True) is None


@pytest.mark.parametrize("embedding", [0x0000, 0x0004, 0x0008, 0x0100])
def test_a_font_that_may_be_embedded_is_taken(tmp_path: Path, embedding: int) -> None:
    assert typeface_from(write_locked(tmp_path / "mine.ttf", embedding)).embedding == embedding


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"", "type.not-a-font"),
        (b"wOFF" + bytes(60), "type.not-a-font"),
        (b"\x00\x01\x00\x00" + bytes(60), "type.font-without-outlines"),
    ],
)
def test_what_is_no_font_is_refused_by_field_and_file(tmp_path: Path, content: bytes, code: str) -> None:
    (tmp_path / "mine.ttf").write_bytes(content)
    with refused(BadRecord, code, file="mine.ttf") as caught:
        fonts_of(card(tmp_path, "mine.ttf"))
    assert caught.value.message.value("field") == Place("card", ("fonts", 0, "file"))


def test_a_font_that_is_not_there_is_named(tmp_path: Path) -> None:
    with refused(BadRecord, "type.font-not-read", file="mine.ttf"):
        fonts_of(card(tmp_path, "mine.ttf"))


@pytest.mark.parametrize(
    ("platform", "environment", "folder"),
    [
        ("linux", {"HOME": "/h"}, "/h/.local/share/fonts"),
        ("linux", {"HOME": "/h", "XDG_DATA_HOME": "/d"}, "/d/fonts"),
        ("linux", {"HOME": "/h"}, "/usr/share/fonts"),
        ("darwin", {"HOME": "/h"}, "/h/Library/Fonts"),
        ("darwin", {"HOME": "/h"}, "/System/Library/Fonts"),
        ("win32", {"USERPROFILE": "/u", "WINDIR": "/w", "LOCALAPPDATA": "/l"}, "/w/Fonts"),
        ("win32", {"USERPROFILE": "/u", "WINDIR": "/w", "LOCALAPPDATA": "/l"}, "/l/Microsoft/Windows/Fonts"),
    ],
)
def test_fonts_are_looked_for_where_each_system_keeps_them(
    platform: str, environment: dict[str, str], folder: str
) -> None:
    """XDG Base Directory Specification 0.8; the other systems' folders are common practice."""
    assert Path(folder) in font_folders(platform, environment)


def test_upright_faces_come_first_and_always_in_the_same_order(tmp_path: Path) -> None:
    for name in ("Tern-Bold.ttf", "Tern.ttf", "Tern-Italic.ttf", "Brant.otf", "notes.txt"):
        (tmp_path / name).write_bytes(b"")
    names = [path.name for path in font_files((tmp_path,))]
    assert names == ["Brant.otf", "Tern.ttf", "Tern-Bold.ttf", "Tern-Italic.ttf"]


@pytest.mark.parametrize("face", ["sans", "serif"])
def test_a_damaged_font_is_used_or_refused_in_one_line(tmp_path: Path, face: str) -> None:
    """Bytes changed and ends cut off, the same each time."""
    random = Random(20)
    whole = typeface(face).data
    small = stock(None).model_copy(update={"open_size_mm": (60.0, 90.0)})
    refused = 0
    for _ in range(40):
        data = bytearray(whole)
        for _ in range(random.choice([1, 3, 30, 300])):
            data[random.randrange(len(data))] = random.randrange(256)
        (tmp_path / "mine.ttf").write_bytes(data[: random.choice([len(data), random.randrange(len(data))])])
        try:
            make_card(card(tmp_path, "mine.ttf"), small, printer(), tmp_path / "card.pdf")
        except TacksideError as error:
            assert "\n" not in str(error)  # noqa: PT017
            refused += 1
    assert 0 < refused < 40
