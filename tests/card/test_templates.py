"""The templates: each is a card that can be made, and says what it is."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.card.file.design import TEMPLATES, load_card, template
from tackside.card.make import make_card
from tackside.card.series.list_file import read_rows
from tackside.card.series.rows import card_variables
from tackside.card.series.series import make_series
from tackside.errors import NotFound
from tackside.messages.message import Message
from tests.card.designs import printer, stock, write_corners
from tests.refusals import refused


@pytest.mark.parametrize("name", list(TEMPLATES))
@pytest.mark.parametrize("direction", ["horizontal", "vertical"])
def test_each_template_is_a_card_that_can_be_made(tmp_path: Path, name: str, direction: str) -> None:
    write_corners(tmp_path, "picture.jpg")
    (tmp_path / "card.toml").write_text(template(name, 'Harbour "Satin" 300', "Tern 8"), encoding="utf-8")
    card = load_card(tmp_path / "card.toml")
    assert (card.stock, card.printer) == ('Harbour "Satin" 300', "Tern 8")
    of = stock(direction)  # type: ignore[arg-type]
    if not card_variables(card):
        assert make_card(card, of, printer(), tmp_path / "card.pdf").faces
        return
    (tmp_path / "rows.csv").write_text("name,table\nAnn,1\n", encoding="utf-8")
    assert make_series(card, read_rows(tmp_path / "rows.csv"), of, printer(), tmp_path / "card.pdf")


def test_every_file_is_told_and_every_name_has_a_file() -> None:
    import tackside.card.file

    folder = Path(tackside.card.file.__file__).parent / "template_files"
    assert {path.stem for path in folder.glob("*.toml")} == set(TEMPLATES)


def test_an_unknown_template_names_the_nearest() -> None:
    with refused(NotFound, "card.no-template", hint=Message("file.did-you-mean", near="panorama")):
        template("panoramma", "S", "P")
