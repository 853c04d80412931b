"""What is said of pictures, profiles and choices on pages in German: no English but names."""

from __future__ import annotations

import html
import re
from pathlib import Path

import pytest
import pyvips

from tackside.bench.store import Bench
from tackside.messages.catalogue import Plural, all_entries, strings_in
from tackside.profile.icc.working_space import working_space_profile
from tests.web.at_work import hues, run_jobs, send
from tests.web.test_card_language import LONG
from tests.web.test_profiles import bare
from tests.web.workshop import SATIN, TERN, TestClient


@pytest.fixture
def german(client: TestClient) -> TestClient:
    client.cookies.set("tackside_language", "de")
    client.cookies.set("tackside_units", "in")
    return client


def english_in(page: str) -> set[str]:
    """The codes of messages that the page says in English, at the head of a sentence or within one."""
    said = " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page)).split()).casefold()
    return {
        code
        for code, entry in all_entries()
        for text in strings_in(entry)
        for one in ((text.one, text.many) if isinstance(text, Plural) else (text,))
        if any(
            part.strip().casefold() in said
            for part in re.split(r"\{[^}]*\}", one)
            if len(part.strip()) >= LONG and " " in part.strip()
        )
    }


def main_of(page: str) -> str:
    """What the page is about: scripts' data and the frame of the workbench left out."""
    found = re.search(r"<main.*</main>", page, re.DOTALL)
    assert found is not None
    return re.sub(r'data-(?:gamut|proof)="[^"]*"', "", found[0])


@pytest.mark.slow
def test_a_pictures_page_is_german(bench: Bench, german: TestClient, tmp_path: Path) -> None:
    pixels = hues()
    pixels[:60] = 255
    pyvips.Image.new_from_array(pixels).jpegsave(str(tmp_path / "a.jpg"), Q=90)
    page = send(german, "/pictures", ("boats.jpg", (tmp_path / "a.jpg").read_bytes()))
    place = {"stock": SATIN.name, "printer": TERN.name, "panel": "front", "distance": "30"}
    run_jobs(bench)
    german.post(f"{page}/look", data=place)
    assert [job.state for job in run_jobs(bench)] == ["done"]
    told = main_of(german.get(page, params=place).text)
    assert "Es hat kein Farbprofil" in told  # picture.profile-missing
    assert "liegen ganz oben" in told  # picture.clipped-highlights
    assert "unterscheidet das Auge" in told  # picture.resolution-low
    assert re.search(r"nicht größer als \d+(?:,\d+)? × \d+(?:,\d+)? in", told)  # in the person's unit
    assert "sRGB (angenommen)" in told
    assert english_in(told) == set()
    assert 'lang="en"' not in told


@pytest.mark.slow
def test_a_profiles_page_is_german(bench: Bench, german: TestClient) -> None:
    bare(bench)
    profile = working_space_profile("srgb")[:84] + bytes(16) + working_space_profile("srgb")[100:]
    page = send(german, "/profiles", ("screen.icc", profile))
    run_jobs(bench)
    told = main_of(german.get(page).text)
    assert "Ein Profil für einen Bildschirm oder einen Arbeitsfarbraum" in told  # profile.lead-sound
    assert "Es trägt keine Profil-ID" in told  # profile-fault.no-id
    assert "mit Farbmanagement gedruckt" in told  # match.through-management
    assert "ΔE00 im Median" in told  # what it means for the card
    assert english_in(told) == set()
    assert 'lang="en"' not in told


@pytest.mark.slow
def test_a_choices_page_is_german(bench: Bench, german: TestClient, tmp_path: Path) -> None:
    pyvips.Image.new_from_array(hues()).pngsave(str(tmp_path / "a.png"))
    sent = (tmp_path / "a.png").read_bytes()
    choice = send(german, "/choose", ("noon.png", sent), ("cut.png", sent[:2000]))
    assert [job.state for job in run_jobs(bench)] == ["done"]
    told = main_of(german.get(choice).text)
    assert re.search(r"<h1[^>]*>Für dieses Bild nehmen Sie ", told)
    assert "mgerechnet mit der eigenen Messung des Kartons, " in told
    assert re.search("perzeptiv|relativ farbmetrisch", told)
    assert "cut.png" in told
    assert english_in(told) == set()
    assert 'lang="en"' not in told


def test_the_measure_finds_english() -> None:
    assert "picture.profile-missing" in english_in(
        "<p>It has no colour profile, so its colours are a guess; sRGB is assumed.</p>"
    )
