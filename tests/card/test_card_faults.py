"""What a card file may not do: each fault is one line with file, field and mend, and nothing inside is shown."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.card.checks.remarks import remarks
from tackside.card.file.design import Card
from tackside.card.file.load import load_card
from tackside.card.make import make_card
from tackside.errors import BadRecord, DoesNotFit, TacksideError
from tests.card.designs import printer, stock, write_corners

HEAD = 'stock = "Harbour Satin 300"\nprinter = "Tern 8"\n'
TEXT = '[[texts]]\npanel = "back"\ntext = "By hand"\n'


def write(folder: Path, text: str) -> Path:
    path = folder / "card.toml"
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("text", "words"),
    [
        (HEAD + 'tint = "#ffffff"\n' + TEXT, "unknown field tint"),
        (HEAD + 'folder = "/etc"\n' + TEXT, "unknown field folder"),
        (HEAD + 'background = "blue"\n' + TEXT, "background"),
        (HEAD + TEXT + 'colour = "#12345"\n', r"texts no\. 1: colour"),
        (HEAD + TEXT + 'align = "middle"\n', r"texts no\. 1: align"),
        (HEAD + TEXT + "turn = 45\n", r"texts no\. 1: turn"),
        (HEAD + TEXT + "box_mm = [1, 2, 3]\n", r"texts no\. 1: box_mm"),
        (HEAD + TEXT + "leading = 0.1\n", r"texts no\. 1: leading"),
        (HEAD + "[credit]\nqr_mm = 20\n", "give the credit a text, a qr, or both"),
        (HEAD + "ticks = true\n" + TEXT, "give cut_to_mm with ticks"),
        (HEAD + "cut_to_mm = [0, 100]\n" + TEXT, r"cut_to_mm no\. 1 is 0; it must be more than 0"),
        (HEAD + TEXT + '[[fonts]]\nname = "a"\nfile = "a.ttf"\n' * 2, 'two fonts are called "a"'),
        (HEAD + TEXT + '[[fonts]]\nname = "a"\nfile = "../a.ttf"\n', r"fonts\[1\]\.file.*leaves the folder"),
    ],
)
def test_faults_are_one_line_with_field_and_mend(tmp_path: Path, text: str, words: str) -> None:
    with pytest.raises(BadRecord, match=words) as refused:
        load_card(write(tmp_path, text))
    said = str(refused.value)
    assert "card.toml" in said
    assert "\n" not in said
    assert refused.value.fix


def test_the_fields_told_are_those_of_the_file(tmp_path: Path) -> None:
    with pytest.raises(BadRecord) as refused:
        load_card(write(tmp_path, HEAD + "xyzzy = 1\n" + TEXT))
    assert "the fields are stock, printer, fold" in refused.value.fix
    assert "folder" not in refused.value.fix


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
        with pytest.raises(BadRecord, match=rf"{kind}\[1\]\.file: .* leaves the folder"):
            load_card(write(inside, HEAD + TEXT + part[kind]))


def test_a_link_within_the_folder_is_followed(tmp_path: Path) -> None:
    write_corners(tmp_path, "corners.png")
    (tmp_path / "picture.png").symlink_to("corners.png")
    load_card(write(tmp_path, HEAD + '[[pictures]]\npanel = "front"\nfile = "picture.png"\n'))


def test_a_link_to_itself_is_refused(tmp_path: Path) -> None:
    (tmp_path / "picture.png").symlink_to("picture.png")
    path = write(tmp_path, HEAD + '[[pictures]]\npanel = "front"\nfile = "picture.png"\n')
    with pytest.raises(TacksideError) as refused:
        make_card(load_card(path), stock(), printer(), tmp_path / "card.pdf")
    assert "picture.png" in str(refused.value)


def test_a_panel_smaller_than_the_margins_has_no_room_for_words(tmp_path: Path) -> None:
    sliver = stock().model_copy(
        update={"creases": tuple(each.model_copy(update={"at_mm": 10.0}) for each in stock().creases)}
    )
    with pytest.raises(DoesNotFit, match="the back panel has room for"):
        make_card(load_card(write(tmp_path, HEAD + TEXT)), sliver, printer(), tmp_path / "card.pdf")
    assert not (tmp_path / "card.pdf").exists()


def warned(folder: Path, text: str, residual_mm: float | None = None) -> str:
    write_corners(folder, width=3000, height=2000)
    made = make_card(load_card(write(folder, HEAD + text)), stock(), printer(), folder / "card.pdf")
    return "\n".join(said for face in made.faces for said in remarks(face, 150, residual_mm))


def picture(border: float) -> str:
    return f'[[pictures]]\npanel = "front"\nfile = "corners.png"\nborder_mm = {border}\n'


def test_a_border_under_twice_the_residual_names_the_smallest_safe_one(tmp_path: Path) -> None:
    said = warned(tmp_path, picture(6), residual_mm=3.27)
    assert "The border of 6 mm on the front panel may look uneven" in said
    assert "±6.5 mm" in said
    assert "border_mm = 6.6" in said  # 2 × 3.27 = 6.54, to the next tenth
    assert "uneven" not in warned(tmp_path, picture(6.6), residual_mm=3.27)


def test_without_a_measurement_the_common_figure_is_taken_and_said(tmp_path: Path) -> None:
    said = warned(tmp_path, picture(1))
    assert "±1.5 mm off (unmeasured here, as the trade sees it)" in said  # docs/sources.md, S17


def test_a_picture_that_runs_to_the_crease_is_told_to_run_over_it_or_keep_clear(tmp_path: Path) -> None:
    said = warned(tmp_path, picture(0), residual_mm=0.4)
    assert "corners.png stands 0.0 mm from the crease on the front panel" in said
    assert "border_mm = 0.8 is the smallest safe border" in said
    assert 'panel = "outside"' in said
    over = picture(0).replace('"front"', '"outside"')
    assert "from the crease" not in warned(tmp_path, over, residual_mm=0.4)


@pytest.mark.parametrize(
    ("box", "words"),
    [
        # The back of the A4 top fold stands on its head: its reader's foot lies at the sheet's upper edge.
        ("[20, 0.5, 80, 30]", "is 0.5 mm from the crease"),
        ("[4, 40, 80, 30]", r"is 4\.0 mm from the card's edge; keep 8 mm or more"),
        ("[20, 112, 80, 30]", None),
        ("[1, 40, 80, 30]", "stands in the printer's margin and will be cut"),
        ("[150, 40, 80, 30]", r"stands \d+\.\d mm out of the panel"),
    ],
)
def test_words_near_a_crease_or_an_edge_are_pointed_out(tmp_path: Path, box: str, words: str | None) -> None:
    import re

    text = f'{TEXT}box_mm = {box}\nplace = "head"\nalign = "{"end" if box.startswith("[150") else "start"}"\n'
    said = warned(tmp_path, text, residual_mm=4.0)
    if words is None:
        assert "back" not in said
    else:
        assert re.search(words, said), said


def test_overlapping_words_and_pale_words_are_pointed_out(tmp_path: Path) -> None:
    said = warned(tmp_path, TEXT + TEXT.replace("By hand", "In ink"))
    assert 'Two texts on the back panel, "By hand" and "In ink", overlap' in said
    pale = warned(tmp_path, TEXT + 'colour = "#c8c8c8"\n')
    # WCAG 2.2: (1.05) ÷ (0.578 + 0.05) = 1.67 for #c8c8c8 on white.
    assert "stands out from its ground by only 1.7 : 1, under 4.5 : 1" in pale
    assert "stands out" not in warned(tmp_path, 'background = "#101010"\n' + TEXT + 'colour = "#c8c8c8"\n')


def test_unfilled_variables_are_pointed_out(tmp_path: Path) -> None:
    said = warned(tmp_path, TEXT.replace("By hand", "Dear {name}"))
    assert "prints {name} as it stands: fill it from rows with --csv, or double its braces" in said
    assert "as it stands" not in warned(tmp_path, TEXT.replace("By hand", "Dear {{name}}"))


def test_a_letter_of_another_face_is_pointed_out_with_the_face_that_has_all(tmp_path: Path) -> None:
    said = warned(tmp_path, TEXT.replace("By hand", "Łukasz by hand"))
    assert (
        '"Ł" on the back panel is set in Vollkorn, as the face sans lacks it; face = "serif" has all' in said
    )
    assert "lacks" not in warned(tmp_path, TEXT.replace("By hand", "Łukasz") + 'face = "serif"\n')


def test_a_ground_that_the_printer_does_not_reach_is_pointed_out(tmp_path: Path) -> None:
    ground = '[[backgrounds]]\npanel = "front"\ncolour = "#efe6d2"\n'
    said = warned(tmp_path, ground)
    # The invented printer's margins: 210 − 2 × 3.4 by 148.5 − 5, as for pictures.
    assert "The ground of the front panel runs to its edges" in said
    assert "it prints only 203.2 × 143.5 mm of the panel" in said
    assert "ground" not in warned(tmp_path, "cut_to_mm = [190, 270]\n" + ground)


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
        with pytest.raises(BadRecord, match="leaves the folder of the card file"):
            make_card(card, stock(), printer(), inside / "card.pdf")
