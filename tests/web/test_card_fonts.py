"""Fonts of a card's own in the workbench: sent or taken from this computer, kept with the card, printed."""

from __future__ import annotations

import io
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from tackside.bench.store import Bench
from tackside.card.type.system_fonts import system_fonts
from tackside.web.app import create_app
from tackside.web.workbench import Options
from tackside.workflow.cards import fonts as card_fonts
from tackside.workflow.cards.keep_file import keep_card_file
from tackside.workflow.cards.kept import parts_of
from tests.card.fonts import shipped, write_collection, write_locked
from tests.web.at_work import until
from tests.web.card_bench import NAME, finished
from tests.web.test_cards import fields_of
from tests.web.workshop import TestClient, furnish, serving

BASE = f"/cards/{NAME}"


def write_own(path: Path, name: str = "Kittiwake Round") -> Path:
    """A font with a name of its own, as name IDs 1, 4 and 6 of OpenType say it."""
    font = shipped("serif-italic")
    for number, text in ((1, name), (4, name), (6, name.replace(" ", ""))):
        font["name"].setName(text, number, 3, 1, 0x409)
        font["name"].setName(text, number, 1, 0, 0)
    font.save(path)
    return path


def bring(client: TestClient, bench: Bench, file: Path) -> Any:
    sent = client.post(f"{BASE}/fonts", files={"file": (file.name, file.read_bytes(), "font/ttf")})
    assert sent.status_code == 303, sent.text
    return finished(bench, bench.jobs.list(kind="card-font")[0])


def test_a_font_that_was_sent_is_chosen_by_its_own_name_kept_and_printed(
    client: TestClient, bench: Bench, tmp_path: Path
) -> None:
    job = bring(client, bench, write_own(tmp_path / "round.ttf"))
    told = client.get(f"{BASE}/fonts/{job.id}", headers={"HX-Request": "true"}).json()
    assert (told["state"], told["fonts"]) == ("done", ["Kittiwake Round"])
    page = client.get(f"{BASE}?font=Kittiwake%20Round").text
    assert "<option>Kittiwake Round</option>" in page
    assert "Kittiwake Round stands among the letters now." in page
    typed = {**fields_of(page), "t0_face": "Kittiwake Round"}
    assert "<option selected>Kittiwake Round</option>" in client.post(f"{BASE}/unsaved", data=typed).text
    assert client.post(f"{BASE}/check", data=typed).text.count("Kittiwake") == 0  # no fault names it
    client.post(BASE, data=typed)
    kept = bench.cards.get(NAME)
    (font,) = kept.fonts
    assert (font.name, font.file) == ("Kittiwake Round", "round.ttf")
    assert bench.file(font.sha256).read_bytes() == (tmp_path / "round.ttf").read_bytes()
    assert 'face = "Kittiwake Round"' in kept.toml
    client.post(f"{BASE}/make", data={**fields_of(client.get(BASE).text), "pdf": "yes"})
    made = finished(bench, bench.jobs.list(kind="card-files", subject=NAME)[0])
    with pikepdf.open(io.BytesIO(bench.file(made.result["files"]["card.pdf"]).read_bytes())) as pdf:
        names = {
            str(each.get("/BaseFont", "")) for each in pdf.objects if isinstance(each, pikepdf.Dictionary)
        }
    assert any("KittiwakeRound" in name for name in names)
    # What no text is set in any more is no part of the card.
    client.post(BASE, data={**fields_of(client.get(BASE).text), "t0_face": "serif"})
    assert bench.cards.get(NAME).fonts == ()


def test_a_collection_brings_each_of_its_fonts(client: TestClient, bench: Bench, tmp_path: Path) -> None:
    job = bring(client, bench, write_collection(tmp_path / "two.ttc"))
    names = client.get(f"{BASE}/fonts/{job.id}", headers={"HX-Request": "true"}).json()["fonts"]
    assert len(set(names)) == 2
    second = {**fields_of(client.get(BASE).text), "t0_face": names[1]}
    client.post(BASE, data=second)
    (font,) = parts_of(bench.cards.get(NAME)).fonts
    assert (font.file, font.number) == ("two.ttc", 2)


# OpenType 1.9, OS/2, fsType: 2 is restricted licence embedding, 0x200 bitmaps alone.
@pytest.mark.parametrize("embedding", [0x0002, 0x0200])
def test_a_font_whose_licence_forbids_it_is_refused(bench: Bench, tmp_path: Path, embedding: int) -> None:
    file = write_locked(tmp_path / "locked.ttf", embedding)
    with pytest.raises(Exception, match=r"the licence of locked.ttf does not let it be put into other files"):
        card_fonts.look_at_font(bench, bench.keep_file(file, file.name), file.name)


@pytest.mark.parametrize("data", [b"", b"no font at all", b"ttcf\x00\x02", b"wOFF" + b"\x00" * 80])
def test_what_is_no_font_is_refused_by_its_name(bench: Bench, tmp_path: Path, data: bytes) -> None:
    (tmp_path / "notes.ttf").write_bytes(data)
    sha256 = bench.keep_file(tmp_path / "notes.ttf", "notes.ttf")
    with pytest.raises(Exception, match=r"notes.ttf is not a font that can be used"):
        card_fonts.look_at_font(bench, sha256, "notes.ttf")


def test_a_font_of_this_computer_is_kept_with_the_card(
    client: TestClient, bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    folder = tmp_path / "fonts"
    folder.mkdir()
    write_own(folder / "round.ttf")
    write_locked(folder / "locked.ttf", 0x0002)
    assert [each.name for each in system_fonts((folder,))] == ["Kittiwake Round"]
    monkeypatch.setattr(card_fonts, "font_folders", lambda: (folder,))
    assert "<option>Kittiwake Round</option>" in client.get(BASE).text
    client.post(f"{BASE}/fonts", data={"computer_font": "Kittiwake Round"})
    finished(bench, bench.jobs.list(kind="card-font")[0])
    (folder / "round.ttf").unlink()
    client.post(BASE, data={**fields_of(client.get(BASE).text), "t0_face": "Kittiwake Round"})
    assert [each.name for each in bench.cards.get(NAME).fonts] == ["Kittiwake Round"]
    refused = client.post(f"{BASE}/fonts", data={"computer_font": "/etc/passwd"})
    assert refused.status_code == 422
    assert client.post(f"{BASE}/fonts", data={}).status_code == 404


def test_a_card_files_fonts_are_kept_with_it_and_stay(
    client: TestClient, bench: Bench, tmp_path: Path
) -> None:
    write_own(tmp_path / "round.ttf")
    was = bench.cards.get(NAME)
    (tmp_path / "card.toml").write_text(
        f'stock = "{was.stock}"\nprinter = "{was.printer}"\n[[fonts]]\nname = "brush"\nfile = "round.ttf"\n'
        '[[texts]]\npanel = "front"\ntext = "Hello"\n',
        encoding="utf-8",
    )
    keep_card_file(bench, tmp_path / "card.toml", "Brushed")
    typed = {**fields_of(client.get("/cards/Brushed").text), "t0_text": "Hello again"}
    client.post("/cards/Brushed", data=typed)
    kept = bench.cards.get("Brushed")
    assert "Hello again" in kept.toml
    assert [each.name for each in kept.fonts] == [
        "brush"
    ]  # no text is set in it: it is there for missing letters


def test_two_files_of_one_name_stay_apart(client: TestClient, bench: Bench, tmp_path: Path) -> None:
    for number in (1, 2):
        (tmp_path / str(number)).mkdir()
        file = write_own(tmp_path / str(number) / "round.ttf", "Sans" if number == 1 else "Kittiwake Round")
        bring(client, bench, file)
    found = card_fonts.fonts_at_hand(bench, bench.cards.get(NAME))
    assert len({each.file for each in found}) == 2
    assert [each.name for each in found] == ["Sans 2", "Kittiwake Round"]  # "sans" are letters of our own


def test_how_far_words_shrink_and_where_the_outside_lies_are_fields(client: TestClient, bench: Bench) -> None:
    typed = {**fields_of(client.get(BASE).text), "t0_least": "9", "t0_lines": "2", "outside_on": "back"}
    client.post(BASE, data=typed)
    parts = parts_of(bench.cards.get(NAME))
    assert (parts.texts[0].smallest_pt, parts.texts[0].most_lines, parts.outside_on) == (9.0, 2, "back")
    shown = fields_of(client.get(BASE).text)
    assert (shown["t0_least"], shown["t0_lines"], shown["outside_on"]) == ("9", "2", "back")
    # A smaller size takes along what nobody typed, and refuses what was typed.
    client.post(BASE, data={**shown, "t0_size": "8"})
    assert parts_of(bench.cards.get(NAME)).texts[0].smallest_pt == 8.0
    refused = client.post(BASE, data={**fields_of(client.get(BASE).text), "t0_least": "11"})
    assert refused.status_code == 422
    assert 'id="t0_least-fault"' in refused.text
    client.post(
        BASE, data={**fields_of(client.get(BASE).text), "t0_least": "", "t0_lines": "", "outside_on": ""}
    )
    parts = parts_of(bench.cards.get(NAME))
    assert (parts.texts[0].smallest_pt, parts.texts[0].most_lines, parts.outside_on) == (None, None, None)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    bench = furnish(tmp_path_factory.mktemp("fonts") / "bench")
    with serving(create_app(bench.folder, Options())) as address:
        yield address


@pytest.mark.browser
@pytest.mark.slow
def test_a_font_is_brought_and_chosen_without_losing_what_was_typed(
    site: str, chromium: Any, tmp_path: Path
) -> None:
    context = chromium.new_context(locale="en-GB", viewport={"width": 1280, "height": 900})
    page = context.new_page()
    try:
        page.goto(f"{site}{BASE}")
        until(page, "() => document.querySelector('form[data-card]')?.desk")
        page.fill("#t0_text", "Fair winds")
        page.set_input_files("#font-file", write_own(tmp_path / "round.ttf"))
        page.click("text=Bring the font")
        page.wait_for_selector("text=Kittiwake Round stands among the letters now.", timeout=60_000)
        assert page.input_value("#t0_text") == "Fair winds"
        page.click("#fields-t0 summary")
        before = page.inner_html("[data-drawn=t0]")
        page.select_option("#t0_face", "Kittiwake Round")
        until(page, f"() => document.querySelector('[data-drawn=t0]').innerHTML !== {before!r}")
        page.click("[data-keep]")
        page.wait_for_selector("#t0_face", state="attached")
        assert re.search("kept=", page.url)
        assert page.input_value("#t0_face") == "Kittiwake Round"
    finally:
        context.close()
