"""``tackside profile show`` and ``list``: what is said of profiles, and one line for what is none."""

from __future__ import annotations

import os
from pathlib import Path

import numpy as np
import pytest
import pyvips
from lxml import html

from tackside.colour.spaces import xyz_to_lab
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import with_profile
from tests.cli.bench_of_examples import Caller
from tests.profile.small_profiles import cmyk_profile
from tests.profile.table_profiles import PAPER, rgb_printer


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    return Caller(tmp_path / "bench", capsys)


@pytest.fixture
def printer(tmp_path: Path) -> Path:
    path = tmp_path / "printer.icc"
    path.write_bytes(rgb_printer())
    return path


def test_a_profile_is_shown_with_all_that_scripts_rely_on(call: Caller, printer: Path) -> None:
    shown = call.document("profile", "show", printer)
    assert shown["description"] == "Tern 8, Harbour Satin 300"
    assert (shown["class"], shown["colour_space"], shown["connection_space"]) == ("output", "RGB", "Lab")
    assert (shown["version"], shown["size"]) == ("2.4", len(rgb_printer()))
    assert shown["created"] == "2026-01-01T12:30:00Z"
    assert shown["white_lab"] == pytest.approx(xyz_to_lab(PAPER), abs=0.01)
    assert shown["white_lab_relative"] == pytest.approx([100, 0, 0], abs=0.01)
    assert shown["black_l"] == shown["black_lab"][0] == pytest.approx(7.7, abs=0.05)
    assert 400_000 < shown["gamut_volume"] < 700_000
    assert shown["faults"] == []
    assert [each["intent"] for each in shown["intents"]] == [
        "perceptual",
        "relative",
        "saturation",
        "absolute",
    ]
    assert shown["intents"][2]["to_device"] == {"tag": "B2A2", "repeats": "perceptual", "same_data": True}
    assert shown["smoothness"]["black"]["rms"] < 0.3
    assert len(shown["neutral"]["lab"]) == len(shown["neutral"]["level"]) == 21


def test_faults_are_said_in_words(call: Caller, tmp_path: Path) -> None:
    path = tmp_path / "one-way.icc"
    path.write_bytes(cmyk_profile())
    shown = call.document("profile", "show", path)
    assert {each["where"] for each in shown["faults"] if each["severity"] == "wrong"} >= {"B2A0", "gamt"}
    text = call.text("profile", "show", path)
    assert "✗ Its perceptual table from colours is missing (B2A0)." in text
    assert "no way back" in text


@pytest.mark.parametrize("suffix", [".jpg", ".png", ".tif"])
def test_the_profile_inside_a_picture_is_shown(call: Caller, tmp_path: Path, suffix: str) -> None:
    path = tmp_path / f"boats{suffix}"
    image = pyvips.Image.new_from_array(np.zeros((4, 4, 3), dtype=np.uint8)).copy(interpretation="srgb")
    with_profile(image, working_space_profile("adobe-rgb")).write_to_file(str(path))
    shown = call.document("profile", "show", path)
    assert shown["description"] == "compatible with Adobe RGB (1998)"
    assert shown["embedded"] is True


def test_a_profile_that_shows_no_colours_has_every_key(call: Caller, tmp_path: Path, printer: Path) -> None:
    link = bytearray(working_space_profile("srgb"))
    link[12:16] = b"link"
    path = tmp_path / "link.icc"
    path.write_bytes(link)
    shown = call.document("profile", "show", path)
    assert shown["gamut_volume"] is None
    assert "device link" in shown["unusable"]
    assert set(shown) == set(call.document("profile", "show", printer))


def test_a_page_is_written_whole(call: Caller, printer: Path, tmp_path: Path) -> None:
    out = tmp_path / "profile.html"
    assert call.document("profile", "show", printer, "--page", out)["page"] == str(out)
    page = html.document_fromstring(out.read_text(encoding="utf-8"))
    assert page.xpath("string(//h1)") == "Tern 8, Harbour Satin 300"
    assert "is written as" not in call.refusal("profile", "show", printer, "--page", tmp_path / "page.pdf")
    assert not (tmp_path / "page.pdf").exists()


def test_what_is_no_profile_is_refused_in_one_line(call: Caller, tmp_path: Path) -> None:
    good = rgb_printer()
    cases = {
        "cut.icc": (good[:2000], "cut short"),
        "oversized.icc": (b"\x7f\xff\xff\xff" + good[4:], "cut short"),
        "random.icc": (os.urandom(4000), "signature is missing"),
        "empty.icc": (b"", "is empty"),
        "list.icc": (good[:128] + b"\xff\xff\xff\xff" + good[132:], "list of contents is damaged"),
        "notes.txt": (b"dear reader, " * 40, "neither a colour profile nor a picture"),
        "broken.png": (b"\x89PNG\r\n\x1a\n" + bytes(50), "is damaged"),
    }
    for name, (content, words) in cases.items():
        (tmp_path / name).write_bytes(content)
        assert words in call.refusal("profile", "show", tmp_path / name)
    assert "there is no file" in call.refusal("profile", "show", tmp_path / "missing.icc")
    assert "is a folder" in call.refusal("profile", "show", tmp_path)
    plain = tmp_path / "plain.png"
    pyvips.Image.new_from_array(np.zeros((4, 4, 3), dtype=np.uint8)).write_to_file(str(plain))
    assert "no colour profile inside" in call.refusal("profile", "show", plain)


def test_profiles_of_a_folder_and_of_the_system_are_listed(
    call: Caller, printer: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kept = tmp_path / "data" / "icc"
    kept.mkdir(parents=True)
    (kept / "space.icc").write_bytes(working_space_profile("srgb"))
    monkeypatch.setattr("sys.platform", "linux")
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("XDG_DATA_DIRS", str(tmp_path / "none"))
    monkeypatch.setattr(Path, "home", lambda: tmp_path / "home")
    mine = tmp_path / "mine"
    mine.mkdir()
    printer.rename(mine / "printer.icc")
    listed = call.document("profile", "list", mine)
    described = [each["description"] for each in listed["profiles"]]
    assert described[:2] == ["Tern 8, Harbour Satin 300", "sRGB IEC 61966-2-1"]
    assert listed["profiles"][0]["class"] == "output"
    assert "Harbour Satin" in call.text("profile", "list", mine)
    (mine / "broken.icc").write_bytes(b"nothing")
    code, out, err = call._call("profile", "list", mine)
    assert (code, err.count("\n")) == (0, 1)
    assert "broken.icc" in err
    assert "Harbour Satin" in " ".join(out.split())
    assert "there is no folder" in call.refusal("profile", "list", tmp_path / "nowhere")
