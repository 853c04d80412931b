"""``tackside fit``: the fit as JSON for scripts and as a drawing for people."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.cautions import DAMP_FINGERTIP
from tests.cli.bench_of_examples import CRAFT, SATIN, TERN, Caller


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    caller = Caller(tmp_path / "bench", capsys)
    for kind, file in (("stock", SATIN), ("stock", CRAFT), ("printer", TERN)):
        caller.text(kind, "add", file)
    return caller


def edited(tmp_path: Path, source: Path, *changes: tuple[str, str]) -> Path:
    """A copy of an example with some of its text changed."""
    text = source.read_text(encoding="utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    file = tmp_path / "edited.toml"
    file.write_text(text, encoding="utf-8")
    return file


def test_scripts_get_feed_panels_envelope_and_warnings(call: Caller) -> None:
    document = call.document("fit", "Harbour Satin 300", "Tern 8")
    assert document["feed"] == "rear"
    assert document["borderless"] is True
    panels = {panel["name"]: panel for panel in document["panels"]}
    assert panels["front"]["trim"] == [0, 148.5, 210, 148.5]
    assert panels["back"]["printable"] == [0, 0, 210, 148.5]
    assert panels["back"]["turn_deg"] == 180
    assert document["envelope"]["name"] == "C5"
    assert document["warnings"] == []


def test_a_card_of_unknown_coating_is_warned_of(call: Caller) -> None:
    warnings = call.document("fit", "Shingle Craft 250", "Tern 8")["warnings"]
    assert "fit.coated-side-unknown" in [each["code"] for each in warnings]
    assert str(DAMP_FINGERTIP) in call.text("fit", "Shingle Craft 250", "Tern 8")


def test_the_other_side_has_the_insides(call: Caller) -> None:
    document = call.document("fit", "Harbour Satin 300", "Tern 8", "--side", "back")
    assert [panel["name"] for panel in document["panels"]] == ["inside-right", "inside-left"]
    assert document["warnings"][0]["code"] == "fit.back-not-coated"


def test_people_see_the_sheet_drawn_with_its_panels(call: Caller) -> None:
    shown = call.text("fit", "Harbour Satin 300", "Tern 8")
    for word in ("▲ goes in first", "back", "upside down", "front", "╌╌╌", "210 × 297 mm, A4", "maker's own"):
        assert word in shown


def test_a_margin_is_drawn_in_dots(call: Caller, tmp_path: Path) -> None:
    call.text("stock", "add", edited(tmp_path, SATIN, ("[210, 297]", "[210, 290]")))
    assert "······" in call.text("fit", "Harbour Satin 300", "Tern 8")
    document = call.document("fit", "Harbour Satin 300", "Tern 8")
    assert document["margins_mm"] == {"top": 3, "bottom": 5, "left": 3.4, "right": 3.4}


def test_a_card_that_cannot_be_fed_is_an_answer_and_not_an_error(call: Caller, tmp_path: Path) -> None:
    call.text("stock", "add", edited(tmp_path, SATIN, ("0.32", "0.9")))
    document = call.document("fit", "Harbour Satin 300", "Tern 8")
    assert document["feed"] is None
    assert any("do not feed it" in each["text"] for each in document["warnings"])
    assert "none takes it" in call.text("fit", "Harbour Satin 300", "Tern 8")


def test_a_card_for_which_there_is_no_envelope_has_null(call: Caller, tmp_path: Path) -> None:
    large = edited(tmp_path, SATIN, ("[210, 297]", "[329, 900]"), ("148.5", "420"))
    call.text("stock", "add", large)
    assert call.document("fit", "Harbour Satin 300", "Tern 8")["envelope"] is None
    assert "none of the common ones" in call.text("fit", "Harbour Satin 300", "Tern 8")


def test_scripts_get_margins_after_folding_post_insert_and_ways(call: Caller, tmp_path: Path) -> None:
    call.text("stock", "add", edited(tmp_path, SATIN, ("[210, 297]", "[210, 290]"), ("148.5", "145")))
    document = call.document("fit", "Harbour Satin 300", "Tern 8")
    by_panel = {each["panel"]: each for each in document["folded_margins"]}
    # The leading edge's 3 mm are at the back's foot once it is folded; the crease has none.
    assert by_panel["back"] == {
        "panel": "back",
        "top": 0,
        "right": 3.4,
        "bottom": 3,
        "left": 3.4,
        "equal_border_mm": 3.4,
    }
    assert document["fold"] == "top"
    assert document["insert"]["folded_mm"] == [204, 142]
    assert document["mass_g"] == 18.3
    assert document["inside"]["inside_takes"] == "text"
    assert document["borderless_ways"][0]["kind"] == "other-size"
    kingdom = next(each for each in document["post"] if each["country"] == "United Kingdom")
    assert kingdom["goes"] is True
    assert kingdom["noted"] == "2026-11-25"
    assert {panel["name"]: panel["behind"] for panel in document["panels"]} == {
        "back": "inside-right",
        "front": "inside-left",
    }


def test_people_read_of_borders_ways_and_the_post(call: Caller, tmp_path: Path) -> None:
    call.text("stock", "add", edited(tmp_path, SATIN, ("[210, 297]", "[210, 290]"), ("148.5", "145")))
    shown = call.text("fit", "Harbour Satin 300", "Tern 8")
    for words in (
        "To print to the edge",
        "As a letter",
        "noted 2026-11-25",
        "Equal borders",
        "Way round",
    ):
        assert words in shown


def test_the_users_postal_limits_lie_in_the_bench_folder(call: Caller) -> None:
    own = call.folder / "post.toml"
    own.write_text(
        "[[services]]\ncountry = 'United Kingdom'\nname = 'letter'\nmax_mass_g = 20\n"
        "noted = 2027-01-01\nsource = 'invented'\n",
        encoding="utf-8",
    )
    told = call.text("fit", "Harbour Satin 300", "Tern 8")
    assert "United Kingdom, large letter: goes" in told
    assert (
        "not as letter: it weighs 27.2 g, over 20 g" in told.partition("United Kingdom")[2].partition("·")[0]
    )
    own.write_text("[[services]]\ncountry = 'United Kingdom'\n", encoding="utf-8")
    assert "post.toml" in call.refusal("fit", "Harbour Satin 300", "Tern 8")


def test_names_that_are_not_there_get_the_nearest(call: Caller) -> None:
    assert "did you mean 'Harbour Satin 300'" in call.refusal("fit", "Harbour Satin", "Tern 8")
    assert "did you mean 'Tern 8'" in call.refusal("fit", "Harbour Satin 300", "Tern 9")
    assert "did you mean 'rear'" in call.refusal("fit", "Harbour Satin 300", "Tern 8", "--feed", "read")
