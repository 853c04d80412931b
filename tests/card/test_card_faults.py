"""What a card file may not do: each fault is one line with file, field and fix, and nothing inside is shown."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.card.checks.remarks import remarks
from tackside.card.file.design import Card, load_card, picture_part, text_part
from tackside.card.make import make_card
from tackside.errors import BadRecord, DoesNotFit, TacksideError
from tackside.messages.message import Message
from tackside.messages.place import Place
from tests.card.designs import printer, stock, write_corners
from tests.refusals import refused

HEAD = 'stock = "Harbour Satin 300"\nprinter = "Tern 8"\n'
TEXT = '[[texts]]\npanel = "back"\ntext = "By hand"\n'


def write(folder: Path, text: str) -> Path:
    path = folder / "card.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("text", "code", "path"),
    [
        (HEAD + 'tint = "#ffffff"\n' + TEXT, "record.unknown-field", ("tint",)),
        (HEAD + 'folder = "/etc"\n' + TEXT, "record.unknown-field-near", ("folder",)),
        (HEAD + 'background = "blue"\n' + TEXT, "record.no-colour", ("background",)),
        (HEAD + TEXT + 'colour = "#12345"\n', "record.no-colour", ("texts", 0, "colour")),
        (HEAD + TEXT + 'align = "middle"\n', "record.no-choice", ("texts", 0, "align")),
        (HEAD + TEXT + "turn = 45\n", "record.no-choice", ("texts", 0, "turn")),
        (HEAD + TEXT + "box_mm = [1, 2, 3]\n", "record.entries-missing", ("texts", 0, "box_mm")),
        (HEAD + TEXT + "leading = 0.1\n", "record.below", ("texts", 0, "leading")),
        (HEAD + "[credit]\nqr_mm = 20\n", "card-file.credit-says-nothing", ("credit", "text")),
        (HEAD + "ticks = true\n" + TEXT, "card-file.ticks-without-cut", ("ticks",)),
        (HEAD + "cut_to_mm = [0, 100]\n" + TEXT, "record.length-not-above", ("cut_to_mm", 0)),
        (
            HEAD + TEXT + '[[fonts]]\nname = "a"\nfile = "a.ttf"\n' * 2,
            "card-file.fonts-alike",
            ("fonts", 1, "name"),
        ),
        (
            HEAD + TEXT + '[[fonts]]\nname = "a"\nfile = "../a.ttf"\n',
            "card.file-outside",
            ("fonts", 0, "file"),
        ),
    ],
)
def test_faults_are_one_line_with_field_and_fix(
    tmp_path: Path, text: str, code: str, path: tuple[str | int, ...]
) -> None:
    with refused(BadRecord, code) as caught:
        load_card(write(tmp_path, text))
    assert caught.value.place is not None
    assert caught.value.place.path == path
    said = str(caught.value)
    assert "card.toml" in said
    assert "\n" not in said
    assert caught.value.fix


def test_the_fields_told_are_those_of_the_file(tmp_path: Path) -> None:
    with refused(BadRecord, "record.unknown-field") as caught:
        load_card(write(tmp_path, HEAD + "xyzzy = 1\n" + TEXT))
    assert "the fields are stock, printer, fold" in caught.value.fix
    assert "folder" not in caught.value.fix


@pytest.mark.parametrize("kind", ["pictures", "fonts"])
def test_a_link_does_not_lead_out_of_the_folder(tmp_path: Path, kind: str) -> None:
    outside, inside = tmp_path / "outside", tmp_path / "card"
    outside.mkdir()
    inside.mkdir()
    write_corners(outside, "secret.png")
    (inside / "picture.png").symlink_to(outside / "secret.png")
    (inside / "deep").symlink_to(outside, target_is_directory=True)
    for file in ("picture.png", "deep/secret.png", "deep/../../outside/secret.png"):
        part = {
            "pictures": f'[[pictures]]\npanel = "front"\nfile = "{file}"\n',
            "fonts": f'[[fonts]]\nname = "a"\nfile = "{file}"\n',
        }
        with refused(BadRecord, "card.file-outside", file=file) as caught:
            load_card(write(inside, HEAD + TEXT + part[kind]))
        assert caught.value.place == Place("card", (kind, 0, "file"))


def test_a_link_within_the_folder_is_followed(tmp_path: Path) -> None:
    write_corners(tmp_path, "corners.png")
    (tmp_path / "picture.png").symlink_to("corners.png")
    load_card(write(tmp_path, HEAD + '[[pictures]]\npanel = "front"\nfile = "picture.png"\n'))


def test_a_link_to_itself_is_refused(tmp_path: Path) -> None:
    (tmp_path / "picture.png").symlink_to("picture.png")
    path = write(tmp_path, HEAD + '[[pictures]]\npanel = "front"\nfile = "picture.png"\n')
    with pytest.raises(TacksideError) as caught:
        make_card(load_card(path), stock(), printer(), tmp_path / "card.pdf")
    assert "picture.png" in str(caught.value)


def test_a_panel_smaller_than_the_margins_has_no_room_for_words(tmp_path: Path) -> None:
    sliver = stock().model_copy(
        update={"creases": tuple(each.model_copy(update={"at_mm": 10.0}) for each in stock().creases)}
    )
    with refused(DoesNotFit, "type.no-room-on-panel", panel=Message("panel.back")):
        make_card(load_card(write(tmp_path, HEAD + TEXT)), sliver, printer(), tmp_path / "card.pdf")
    assert not (tmp_path / "card.pdf").exists()


def warned(folder: Path, text: str, residual_mm: float | None = None) -> dict[str, Message]:
    """What is said of a card, by code."""
    write_corners(folder, width=3000, height=2000)
    made = make_card(load_card(write(folder, HEAD + text)), stock(), printer(), folder / "card.pdf")
    return {
        said.code.removeprefix("card-remark."): said
        for face in made.faces
        for said in remarks(face, 150, residual_mm)
    }


def picture(border: float) -> str:
    return f'[[pictures]]\npanel = "front"\nfile = "corners.png"\nborder_mm = {border}\n'


def test_a_border_under_twice_the_residual_names_the_smallest_safe_one(tmp_path: Path) -> None:
    said = warned(tmp_path, picture(6), residual_mm=3.27)
    uneven = said["border-uneven"]
    assert (uneven.value("border_mm"), uneven.value("panel")) == (6, Message("panel.front"))
    assert uneven.value("why") == Message("card-remark.lands-off", off_mm=2 * 3.27)
    assert uneven.value("smallest_mm") == 6.6  # 2 × 3.27 = 6.54, to the next tenth
    assert str(uneven) == (
        "The border of 6 mm on the front panel may look uneven, as prints of this printer still land up to ±6.5 mm "
        "off; the smallest safe one is a border_mm of 6.6 mm."
    )
    assert "border-uneven" not in warned(tmp_path, picture(6.6), residual_mm=3.27)


def test_without_a_measurement_the_common_figure_is_taken_and_said(tmp_path: Path) -> None:
    said = warned(tmp_path, picture(1))
    why = said["border-uneven"].value("why")
    assert isinstance(why, Message)
    assert why.code == "card-remark.lands-off-unmeasured"
    assert why.value("off_mm") == pytest.approx(1.5, abs=0.05)  # docs/sources.md, S17


def test_a_picture_that_runs_to_the_crease_is_told_to_run_over_it_or_keep_clear(tmp_path: Path) -> None:
    said = warned(tmp_path, picture(0), residual_mm=0.4)["picture-near-crease"]
    assert (said.value("file"), said.value("gap_mm")) == ("corners.png", 0)
    assert (said.value("smallest_mm"), said.value("face")) == (0.8, "outside")
    assert said.value("part") == picture_part(0)
    over = picture(0).replace('"front"', '"outside"')
    assert "picture-near-crease" not in warned(tmp_path, over, residual_mm=0.4)


@pytest.mark.parametrize(
    ("box", "code", "values"),
    [
        # The back of the A4 top fold stands on its head: its reader's foot lies at the sheet's upper edge.
        ("[20, 0.5, 80, 30]", "text-near-crease", {"gap_mm": 0.5}),
        ("[4, 40, 80, 30]", "text-near-edge", {"gap_mm": 4.0, "smallest_mm": 8.0}),
        ("[20, 112, 80, 30]", None, {}),
        ("[1, 40, 80, 30]", "text-in-margin", {"left_mm": 3.4}),
        ("[150, 40, 80, 30]", "text-out-of-panel", {"past_mm": 20.0}),
    ],
)
def test_words_near_a_crease_or_an_edge_are_pointed_out(
    tmp_path: Path, box: str, code: str | None, values: dict[str, float]
) -> None:
    text = f'{TEXT}box_mm = {box}\nplace = "head"\nalign = "{"end" if box.startswith("[150") else "start"}"\n'
    said = warned(tmp_path, text, residual_mm=4.0)
    if code is None:
        assert said == {}
    else:
        assert {name: said[code].value(name) for name in values} == pytest.approx(values, abs=0.05)
        assert said[code].value("part") == text_part(0)


def test_overlapping_words_and_pale_words_are_pointed_out(tmp_path: Path) -> None:
    said = warned(tmp_path, TEXT + TEXT.replace("By hand", "In ink"))
    overlap = said["texts-overlap"]
    assert (overlap.value("start"), overlap.value("other")) == ("By hand", "In ink")
    pale = warned(tmp_path, TEXT + 'colour = "#c8c8c8"\n')["low-contrast"]
    # WCAG 2.2: (1.05) ÷ (0.578 + 0.05) = 1.67 for #c8c8c8 on white.
    assert pale.value("contrast") == pytest.approx(1.67, abs=0.005)
    assert pale.value("wanted") == 4.5
    assert "by only 1.7 : 1, under 4.5 : 1" in str(pale)
    dark = warned(tmp_path, 'background = "#101010"\n' + TEXT + 'colour = "#c8c8c8"\n')
    assert "low-contrast" not in dark


def test_unfilled_variables_are_pointed_out(tmp_path: Path) -> None:
    said = warned(tmp_path, TEXT.replace("By hand", "Dear {name}"))
    assert said["variable-not-filled"].value("name") == "name"
    assert "prints {name} as it stands: fill it from rows with --csv" in str(said["variable-not-filled"])
    assert "variable-not-filled" not in warned(tmp_path, TEXT.replace("By hand", "Dear {{name}}"))


def test_a_letter_of_another_face_is_pointed_out_with_the_face_that_has_all(tmp_path: Path) -> None:
    said = warned(tmp_path, TEXT.replace("By hand", "Łukasz by hand"))
    mixed = said["mixed-faces-avoidable"].values
    assert (mixed["letters"], mixed["fonts"], mixed["face"]) == ("Ł", ("Vollkorn",), "sans")
    assert mixed["whole"] == "serif"
    serif = warned(tmp_path, TEXT.replace("By hand", "Łukasz") + 'face = "serif"\n')
    assert not {"mixed-faces", "mixed-faces-avoidable"} & set(serif)


def test_a_ground_that_the_printer_does_not_reach_is_pointed_out(tmp_path: Path) -> None:
    ground = '[[backgrounds]]\npanel = "front"\ncolour = "#efe6d2"\n'
    said = warned(tmp_path, ground)
    # The invented printer's margins: 210 − 2 × 3.4 by 148.5 − 5, as for pictures.
    ground_cut = said["ground-past-margin"]
    assert ground_cut.value("panel") == Message("panel.front")
    assert ground_cut.value("reached_mm") == pytest.approx((203.2, 143.5))
    assert "ground-past-margin" not in warned(tmp_path, "cut_to_mm = [190, 270]\n" + ground)


def test_a_card_that_did_not_come_from_a_file_keeps_to_its_folder_too(tmp_path: Path) -> None:
    inside = tmp_path / "card"
    inside.mkdir()
    write_corners(tmp_path)
    parts = {
        "pictures": {"pictures": ({"panel": "front", "file": "../corners.png"},)},
        "fonts": {"background": "#ffffff", "fonts": ({"name": "a", "file": "../a.ttf"},)},
    }
    for fields in parts.values():
        card = Card(stock="S", printer="P", folder=inside, **fields)  # type: ignore[arg-type]
        with refused(BadRecord, "card.file-outside"):
            make_card(card, stock(), printer(), inside / "card.pdf")
