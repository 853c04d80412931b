"""Card files: the documented example is read, every fault is one line, nothing is half-written."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tackside.card.file.design import Card, CardPicture, CardText, load_card
from tackside.card.make import make_card
from tackside.errors import BadImage, BadRecord, BadRequest, DoesNotFit, StorageTrouble
from tackside.messages.place import Place
from tests.card.designs import printer, stock, write_corners
from tests.refusals import PathNamed, refused

EXAMPLE = """
stock = "Harbour Satin 300"
printer = "Tern 8"
[[pictures]]
panel = "front"
file = "boats.jpg"
fit = "fill"
border_mm = 0
[[texts]]
panel = "back"
text = "Printed by hand at the harbour"
size_pt = 8
"""


def write(folder: Path, text: str) -> Path:
    path = folder / "card.toml"
    path.write_text(text, encoding="utf-8")
    return path


def test_the_documented_example_is_read(tmp_path: Path) -> None:
    card = load_card(write(tmp_path, EXAMPLE))
    assert card.pictures[0].file == "boats.jpg"
    assert card.texts[0].size_pt == 8
    assert card.folder == tmp_path


@pytest.mark.parametrize(
    ("old", "new", "words"),
    [
        ('fit = "fill"', 'fit = "stretch"', "fit"),
        ("border_mm = 0", "border_mm = -3", "border_mm"),
        ("border_mm = 0", "boarder_mm = 3", "boarder_mm"),
        ('printer = "Tern 8"', "", "printer is missing"),
        ("size_pt = 8", "size_pt = nan", "size_pt"),
        ('file = "boats.jpg"', 'file = "../boats.jpg"', "leaves the folder"),
        ('file = "boats.jpg"', 'file = "/etc/boats.jpg"', "leaves the folder"),
        ('file = "boats.jpg"', 'file = "C:\\\\boats.jpg"', "leaves the folder"),
        ('printer = "Tern 8"', 'printer = "Tern 8"\nfold = "right"', "fold"),
        ('printer = "Tern 8"', 'printer = "Tern 8"\nfolder = "/etc"', "folder"),
        ('printer = "Tern 8"', "printer =", "not valid TOML"),
    ],
)
def test_faults_name_file_and_field(tmp_path: Path, old: str, new: str, words: str) -> None:
    path = write(tmp_path, EXAMPLE.replace(old, new, 1))
    with pytest.raises(BadRecord, match=words) as caught:
        load_card(path)
    assert "card.toml" in caught.value.what
    assert "\n" not in str(caught.value)


def test_two_pictures_on_one_panel_are_refused(tmp_path: Path) -> None:
    with refused(BadRecord, "card-file.two-pictures-on-a-panel", panel="front"):
        load_card(write(tmp_path, EXAMPLE + '[[pictures]]\npanel = "front"\nfile = "b.jpg"\n'))


def test_an_empty_card_is_refused(tmp_path: Path) -> None:
    with refused(BadRecord, "card-file.holds-nothing"):
        load_card(write(tmp_path, 'stock = "S"\nprinter = "P"\n'))


def test_an_unknown_panel_names_those_there_are(tmp_path: Path) -> None:
    write_corners(tmp_path)
    card = Card(
        stock="S", printer="P", pictures=(CardPicture(panel="lid", file="corners.png"),), folder=tmp_path
    )
    with refused(BadRecord, "card.unknown-panel", name="lid") as caught:
        make_card(card, stock(), printer(), tmp_path / "card.pdf")
    assert caught.value.place == Place("card", ("pictures", 0, "panel"))
    panels = ("back", "front", "inside-right", "inside-left", "outside", "inside")
    assert caught.value.message.value("panels") == panels


def test_a_card_that_cannot_be_fed_is_refused(tmp_path: Path) -> None:
    write_corners(tmp_path)
    large = stock().model_copy(update={"open_size_mm": (400.0, 297.0)})
    card = Card(
        stock="S", printer="P", pictures=(CardPicture(panel="front", file="corners.png"),), folder=tmp_path
    )
    with refused(DoesNotFit, "fit.refused"):
        make_card(card, large, printer(), tmp_path / "card.pdf")


@pytest.mark.parametrize("suffix", [".pdf", ".tif"])
def test_a_broken_picture_leaves_the_earlier_file_untouched(tmp_path: Path, suffix: str) -> None:
    path = write_corners(tmp_path)
    path.write_bytes(path.read_bytes()[:700])
    out = tmp_path / f"card{suffix}"
    out.write_bytes(b"earlier")
    card = Card(
        stock="S", printer="P", pictures=(CardPicture(panel="front", file="corners.png"),), folder=tmp_path
    )
    with refused(BadImage, "picture.breaks-off", file=PathNamed("corners.png")):
        make_card(card, stock(), printer(), out)
    assert out.read_bytes() == b"earlier"
    assert sorted(each.name for each in tmp_path.iterdir()) == sorted([f"card{suffix}", "corners.png"])


def test_other_suffixes_and_missing_folders_are_refused(tmp_path: Path) -> None:
    write_corners(tmp_path)
    card = Card(
        stock="S", printer="P", pictures=(CardPicture(panel="front", file="corners.png"),), folder=tmp_path
    )
    with refused(BadRequest, "card.unknown-kind-of-file"):
        make_card(card, stock(), printer(), tmp_path / "card.docx")
    for suffix in ("pdf", "tif"):
        with pytest.raises(StorageTrouble):
            make_card(card, stock(), printer(), tmp_path / "nowhere" / f"card.{suffix}")


def test_a_flat_card_has_a_front_and_a_back_without_crease(tmp_path: Path) -> None:
    Image.new("RGB", (300, 400), (10, 20, 30)).save(tmp_path / "a.png")
    pictures = tuple(CardPicture(panel=panel, file="a.png") for panel in ("front", "back"))
    card = Card(stock="S", printer="P", pictures=pictures, folder=tmp_path)
    made = make_card(card, stock(None), printer(), tmp_path / "card.tif")
    assert made.files == {"outside": tmp_path / "card.tif", "back": tmp_path / "card-back.tif"}


@pytest.mark.parametrize("suffix", [".pdf", ".tif"])
def test_text_with_a_blank_line_reaches_every_kind_of_file(tmp_path: Path, suffix: str) -> None:
    card = Card(stock="S", printer="P", texts=(CardText(panel="back", text="A\n\nB"),), folder=tmp_path)
    make_card(card, stock(), printer(), tmp_path / f"card{suffix}")
    assert (tmp_path / f"card{suffix}").stat().st_size > 1000


FILLS_THE_DISK = """
import resource, signal, sys
from pathlib import Path
from tackside.card.file.design import load_card
from tackside.card.make import make_card
from tackside.errors import StorageTrouble
from tests.card.designs import printer, stock
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))
try:
    make_card(load_card(sys.argv[1]), stock(), printer(grid_ppi=300), Path(sys.argv[2]))
except StorageTrouble as error:
    print(error)
    sys.exit(2)
"""


@pytest.mark.skipif(
    os.name != "posix", reason="the system has no limit on file sizes to stand for a full disk"
)
@pytest.mark.parametrize("suffix", [".pdf", ".tif"])
def test_a_disk_that_refuses_half_way_leaves_the_earlier_file(tmp_path: Path, suffix: str) -> None:
    noise = np.random.default_rng(5).integers(0, 255, (300, 400, 3), dtype=np.uint8)
    Image.fromarray(noise).save(tmp_path / "boats.jpg")
    out = tmp_path / f"card{suffix}"
    out.write_bytes(b"earlier")
    path = write(tmp_path, EXAMPLE)
    ran = subprocess.run(
        [sys.executable, "-c", FILLS_THE_DISK, str(path), str(out)],
        cwd=Path(__file__).parents[2],
        env={**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)},
        capture_output=True,
        text=True,
        check=False,
    )
    assert (ran.returncode, ran.stderr) == (2, "")
    assert "cannot" in ran.stdout
    assert out.read_bytes() == b"earlier"
    assert sorted(each.name for each in tmp_path.iterdir()) == sorted(["boats.jpg", "card.toml", out.name])
