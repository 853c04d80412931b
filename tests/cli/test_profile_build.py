"""``tackside profile build``, ``check`` and ``refine``, and the commands that take a built profile up."""

from __future__ import annotations

import io
import shutil
import time
from pathlib import Path

import numpy as np
import pytest
import pyvips
from PIL import ImageCms

from tackside.bench.store import Bench
from tackside.press.instrument import measure
from tackside.profile.device.device import ProfileDevice
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import with_profile
from tests.cli.bench_of_examples import Caller
from tests.profile.build.presses import chart
from tests.workflow.own_profiles import bench_with, built_once, device_trial, press_of, read_by_instrument

__all__ = ["built_once"]  # a fixture

SATIN = "harbour-satin-300"
SCRIPTS_RELY_ON = {"file", "de00_median", "de00_p95", "roundtrip_median", "roundtrip_p99"}


@pytest.fixture(scope="module")
def prepared(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, str]:
    """A bench with a card that was read, slips among the patches, and its trial."""
    folder = tmp_path_factory.mktemp("bench")
    bench = bench_with(folder / "bench", SATIN)
    trial = device_trial(bench, SATIN)
    number = next(n for n, each in enumerate(trial.sheet.patches) if each.rgb == (0.0, 1.0, 0.0))
    read_by_instrument(bench, trial, SATIN, slips={number + 40: (50.0, 70.0, -60.0)})
    shutil.copytree(bench.folder, folder / "untouched")
    return bench.folder, trial.id


@pytest.fixture
def fresh(prepared: tuple[Path, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    """The bench as it was before anything was built."""
    shutil.copytree(prepared[0].parent / "untouched", tmp_path / "bench")
    return Caller(tmp_path / "bench", capsys)


@pytest.fixture
def call(prepared: tuple[Path, str], capsys: pytest.CaptureFixture[str]) -> Caller:
    return Caller(prepared[0], capsys)


@pytest.fixture
def trial(prepared: tuple[Path, str]) -> str:
    return prepared[1]


@pytest.fixture(scope="module")
def picture(tmp_path_factory: pytest.TempPathFactory) -> Path:
    rows = np.random.default_rng(3).integers(0, 256, (40, 60, 3), dtype=np.uint8)
    file = tmp_path_factory.mktemp("pictures") / "noise.png"
    image = pyvips.Image.new_from_array(np.repeat(np.repeat(rows, 8, 0), 8, 1)).copy(interpretation="srgb")
    with_profile(image, working_space_profile("srgb")).pngsave(str(file))
    return file


def test_bad_input_is_one_line_and_writes_nothing(call: Caller, trial: str, tmp_path: Path) -> None:
    out, data = tmp_path / "card.icc", tmp_path / "data.txt"
    data.write_bytes(measure(press_of(SATIN), chart(60)))
    assert "takes trials or --data" in call.refusal("profile", "build", "--out", out)
    assert "takes trials or --data" in call.refusal("profile", "build", trial, "--data", data, "--out", out)
    assert "too few" in call.refusal("profile", "build", "--data", data, "--out", out)
    assert "end it in .icc" in call.refusal("profile", "build", trial, "--out", tmp_path / "card.txt")
    assert "no trial" in call.refusal("profile", "build", "AAAA2345", "--out", out)
    assert "longer than" in call.refusal(
        "profile", "build", trial, "--out", out, "--description", "words " * 40
    )
    swapped = measure(press_of(SATIN), 1 - chart(200)).decode()
    plain = measure(press_of(SATIN), chart(200)).decode()
    mixed = [
        line if not line[:1].isdigit() else " ".join([*line.split()[:4], *other.split()[4:]])
        for line, other in zip(plain.splitlines(), swapped.splitlines(), strict=True)
    ]
    data.write_text("\n".join(mixed))
    assert "no darker than the paper" in call.refusal("profile", "build", "--data", data, "--out", out)
    assert not out.exists()
    there = tmp_path / "there.icc"
    there.write_bytes(b"mine")
    assert "exists already" in call.refusal("profile", "build", trial, "--out", there)
    assert there.read_bytes() == b"mine"
    data.rename(tmp_path / "data.icc")
    told = call.refusal(
        "profile", "build", "--data", tmp_path / "data.icc", "--out", tmp_path / "data.icc", "--force"
    )
    assert "one of the files to read" in told


def test_four_inks_are_refused_in_a_line(call: Caller, tmp_path: Path) -> None:
    rows = "\n".join(f"{n} {n % 101} {n * 7 % 101} {n * 13 % 101} 0 50 0 0" for n in range(200))
    (tmp_path / "inks.txt").write_text(
        "CGATS.17\nNUMBER_OF_FIELDS 8\nBEGIN_DATA_FORMAT\nSAMPLE_ID CMYK_C CMYK_M CMYK_Y CMYK_K LAB_L LAB_A LAB_B\n"
        f"END_DATA_FORMAT\nNUMBER_OF_SETS 200\nBEGIN_DATA\n{rows}\nEND_DATA\n"
    )
    told = call.refusal("profile", "build", "--data", tmp_path / "inks.txt", "--out", tmp_path / "inks.icc")
    assert "four device numbers" in told


@pytest.mark.slow
def test_a_card_gets_its_own_profile(call: Caller, trial: str, tmp_path: Path) -> None:
    out = tmp_path / "card.icc"
    built = call.document("profile", "build", trial, "--out", out, "--description", "Satin, größer")
    assert set(built) >= SCRIPTS_RELY_ON
    assert built["file"] == str(out)
    assert 0 < built["de00_median"] < built["de00_p95"] < 1.5
    assert built["roundtrip_median"] < 0.25
    assert built["roundtrip_p99"] < 1.0
    assert built["grey_steps_back"] == 0
    slip = next(each for each in built["notices"] if each["code"] == "profile-build.outliers")
    assert slip["values"]["count"] == 1
    assert len(built["to_print"]) == 5
    opened = ImageCms.ImageCmsProfile(io.BytesIO(out.read_bytes())).profile
    assert opened.profile_description.startswith("Satin, gr")
    shown = call.document("profile", "show", out)
    assert [each for each in shown["faults"] if each["severity"] == "wrong"] == []
    again = time.process_time()
    assert "exists already" in call.refusal("profile", "build", trial, "--out", out)
    data = out.read_bytes()
    call.document("profile", "build", trial, "--out", out, "--description", "Satin, größer", "--force")
    assert out.read_bytes() == data  # taken from what was built before
    assert time.process_time() - again < 4
    text = call.text("profile", "build", trial, "--out", tmp_path / "b.icc", "--description", "Satin, größer")
    for piece in ("Fit to the patches", "Smoothness", "let the program manage colours", "left out"):
        assert piece in text


@pytest.mark.slow
def test_version_2_for_older_programs(call: Caller, tmp_path: Path) -> None:
    data, out = tmp_path / "data.txt", tmp_path / "old.icc"
    data.write_bytes(measure(press_of(SATIN), chart(200)))
    built = call.document("profile", "build", "--data", data, "--out", out, "--v2")
    assert (built["kept"], built["trials"], built["description"]) == (None, [], "data")
    assert call.document("profile", "show", out)["version"].startswith("2.")


@pytest.mark.slow
def test_proof_choose_and_match_take_it_up(fresh: Caller, trial: str, tmp_path: Path, picture: Path) -> None:
    call = fresh
    before = call.document("choose", picture)
    assert {each["profile"] for each in before["ranking"]} == {None}
    built = call.document("profile", "build", trial, "--out", tmp_path / "card.icc")
    name = built["description"]
    after = call.document("choose", picture)
    assert {each["profile"] for each in after["ranking"]} == {name}
    proof = call.document("proof", picture, "--card", trial, "--out", tmp_path / "a.png")
    same = call.document("proof", picture, "--profile", tmp_path / "card.icc", "--out", tmp_path / "b.png")
    assert proof["de00"] == pytest.approx(same["de00"])
    assert (tmp_path / "a.png").read_bytes() == (tmp_path / "b.png").read_bytes()
    match = call.document("profile", "match", trial)
    assert match["profiles"][0]["description"] == name
    assert match["profiles"][0]["de00_median"] < 0.5


@pytest.mark.slow
def test_a_card_is_made_by_the_own_profile(call: Caller, trial: str, tmp_path: Path, picture: Path) -> None:
    shutil.copy(picture, tmp_path / "noise.png")
    card = tmp_path / "card.toml"
    card.write_text(
        'stock = "Harbour Satin 300"\nprinter = "Tern 8"\n[[pictures]]\npanel = "front"\nfile = "noise.png"\n'
    )
    call.document("profile", "build", trial, "--out", tmp_path / "built.icc")
    call.warnings("card", "make", card, "--card", trial, "--out", tmp_path / "own.tif")
    image = pyvips.Image.new_from_file(str(tmp_path / "own.tif"))
    inside = image.get("icc-profile-data")
    device = ProfileDevice(inside)
    assert device.name.startswith("Harbour Satin 300")
    out = tmp_path / "built.icc"
    assert inside == out.read_bytes()
    call.warnings("card", "make", card, "--profile", out, "--out", tmp_path / "by-file.tif")
    other = pyvips.Image.new_from_file(str(tmp_path / "by-file.tif"))
    assert (image - other).abs().max() == 0
    assert "both say how" in call.refusal(
        "card", "make", card, "--card", trial, "--profile", out, "--out", tmp_path / "c.tif"
    )
    card.write_text(card.read_text().replace("Harbour Satin 300", "Other"))
    assert "not of this card" in call.refusal(
        "card", "make", card, "--card", trial, "--out", tmp_path / "d.tif"
    )


@pytest.mark.slow
def test_a_sheet_goes_through_a_profile_and_is_checked(fresh: Caller, trial: str, tmp_path: Path) -> None:
    call = fresh
    out = tmp_path / "card.icc"
    call.document("profile", "build", trial, "--out", out)
    args = ("sheet", "Harbour Satin 300", "Tern 8", "--profile", out)
    assert "no profile" in call.refusal(*args[:4], tmp_path / "none.icc", "--out", tmp_path / "s.tif")
    assert "bare numbers" in call.refusal(*args, "--purpose", "device", "--out", tmp_path / "s.tif")
    made = call.document(*args, "--intent", "perceptual", "--out", tmp_path / "s.tif")
    assert (made["through"]["intent"], made["through"]["bpc"]) == ("perceptual", True)
    image = pyvips.Image.new_from_file(str(tmp_path / "s.tif"))
    assert "icc-profile-data" not in image.get_fields()
    per_mm = made["ppi"] / 25.4
    for patch, sent in list(zip(made["patches"], made["through"]["sent"], strict=True))[::40]:
        x, y, w, h = patch["box_mm"]
        pixel = image(int((x + w / 2) * per_mm), int((y + h / 2) * per_mm))
        assert pixel == pytest.approx([255 * each for each in sent], abs=1e-6)
    assert "went through no profile" in call.refusal("profile", "check", trial)
    bench = Bench.open(call.folder)
    printed = bench.trials.get(made["trial"])
    assert printed.settings.colour_managed_by == "application"
    read_by_instrument(bench, printed, SATIN, seed=7)
    found = call.document("profile", "check", printed.id)
    assert found["de00_median"] < 0.6
    assert found["says"]["code"] == "own-profile.check.kept"
    assert "keeps what the profile promised" in call.text("profile", "check", printed.id)
    refined = call.document("profile", "refine", printed.id, "--out", tmp_path / "better.icc")
    assert refined["trials"] == [trial, printed.id]
    noted = call.document(*args[:4], "My own paper profile", "--out", tmp_path / "noted.tif")
    assert noted["through"] is None
    assert Bench.open(call.folder).trials.get(noted["trial"]).settings.profile == "My own paper profile"
