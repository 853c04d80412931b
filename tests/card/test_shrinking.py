"""Words that shrink to fit within stated limits, and words with characters that no font has."""

from __future__ import annotations

from pathlib import Path

import pytest
from pydantic import ValidationError

from tackside.card.checks.live_check import live_check
from tackside.card.file.design import Card, CardParts, CardText, text_part
from tackside.card.layout.texts import PlacedText, place_text
from tackside.card.make import lay_out_for
from tackside.card.type.fonts import Fonts
from tackside.errors import DoesNotFit
from tackside.fit.model import Panel
from tackside.units import Box
from tests.card.designs import printer, stock
from tests.refusals import refused

PANEL = Panel(name="front", trim=Box(0, 0, 105, 148), printable=Box(0, 0, 105, 148), turn_deg=0)
LONG = "Bartholomew Featherstonehaugh"


def placed(text: str, **more: object) -> PlacedText:
    asked = CardText(panel="front", text=text, **{"size_pt": 30, **more})  # type: ignore[arg-type]
    return place_text(asked, PANEL, 0.0, Fonts(folders=()))


def test_what_fits_keeps_its_size() -> None:
    assert placed("Ann", smallest_pt=10).size_pt == 30


def test_a_long_name_stays_on_one_line_by_getting_smaller() -> None:
    found = placed(LONG, smallest_pt=10, most_lines=1)
    assert len(found.lines) == 1
    assert 10 < found.size_pt < 30
    # The largest size that has room: a tenth of a point more has none.
    with refused(DoesNotFit, "type.too-many-lines"):
        placed(LONG, size_pt=found.size_pt + 0.1, most_lines=1)
    assert placed(LONG, size_pt=found.size_pt, most_lines=1).lines == found.lines


def test_or_it_goes_on_two_lines_at_its_own_size() -> None:
    found = placed("Bartholomew Fairweather", smallest_pt=10, most_lines=2)
    assert (len(found.lines), found.size_pt) == (2, 30)


def test_nothing_gets_smaller_than_it_may() -> None:
    with refused(DoesNotFit, "type.too-many-lines", lines=2, size=25, most=1):
        placed(LONG, smallest_pt=25, most_lines=1)
    with pytest.raises(ValidationError):
        CardText(panel="front", text="x", size_pt=10, smallest_pt=11)


def test_the_rest_is_drawn_where_no_font_has_a_character() -> None:
    found = placed("Dear Ann \U0001f9ff\u200d\U0001f9ff!", size_pt=12)
    assert [line.text for line in found.lines] == ["Dear Ann !"]
    assert [(line, each.character) for line, each in found.missing] == [(1, "\U0001f9ff")]


def test_a_drawing_has_the_rest_and_a_print_is_refused(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("tackside.card.type.fonts.font_folders", lambda: ())
    texts = (CardText(panel="front", text="Hi \U0001f9ff", size_pt=12),)
    card = Card(stock="S", printer="P", texts=texts, folder=Path())
    drawn = lay_out_for(card, stock(), printer(), drawn=True)
    assert drawn.faces[0].texts[0].lines[0].text == "Hi"
    with refused(DoesNotFit, "type.character-missing", column=4) as caught:
        lay_out_for(card, stock(), printer())
    assert caught.value.place is not None
    assert caught.value.place.path == ("texts", 0, "text")
    live = live_check(CardParts(stock="S", printer="P", texts=texts), stock(), printer(), lambda asked: None)  # type: ignore[arg-type,return-value]
    assert live.faces[0].texts[0].lines[0].text == "Hi"
    assert live.faults[text_part(0)].message.code == "type.character-missing"


def test_a_smaller_size_is_told() -> None:
    texts = (CardText(panel="front", text="W" * 40, size_pt=40, smallest_pt=4, most_lines=1),)
    laid = lay_out_for(Card(stock="S", printer="P", texts=texts, folder=Path()), stock(), printer())
    assert "card-remark.text-set-smaller" in [each.code for each in laid.warnings]
