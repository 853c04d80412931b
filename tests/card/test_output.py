"""Image files: resolution tags, profiles byte for byte, printer numbers, safe writing, equal borders, same bytes."""

from __future__ import annotations

import io
import resource
import subprocess
import sys
from pathlib import Path

import numpy as np
import pikepdf
import pytest
import tifffile
from PIL import Image, ImageCms

from tackside.card.file.design import Card, CardPicture, CardText
from tackside.card.make import make_card
from tackside.card.pixels.conversion import Output
from tackside.errors import BadImage, BadRequest
from tackside.press.printer.stock_model import cotton_etching
from tackside.profile.icc.working_space import working_space_profile
from tackside.records import Margins
from tests.card.designs import RED, printer, stock, write_corners
from tests.profile.card_profiles import press_profile
from tests.refusals import PathNamed, refused

PLAIN = Output(sharpen=False)
INTENTS = {"perceptual": 0, "relative": 1, "saturation": 2, "absolute": 3}  # ISO 15076-1


def card(folder: Path, **more: object) -> Card:
    if not (folder / "corners.png").exists():
        write_corners(folder)
    asked = CardPicture(panel="front", file="corners.png", border_mm=12)
    return Card(stock="Harbour Satin 300", printer="Tern 8", pictures=(asked,), folder=folder, **more)


@pytest.mark.parametrize("ppi", [300.0, 360.0, 72.5])
def test_pillow_and_tifffile_read_the_resolution_that_was_asked_for(tmp_path: Path, ppi: float) -> None:
    make_card(card(tmp_path), stock(), printer(grid_ppi=ppi), tmp_path / "card.tif")
    with Image.open(tmp_path / "card.tif") as image:
        assert image.size == (round(210 / 25.4 * ppi), round(297 / 25.4 * ppi))
        assert image.info["dpi"] == pytest.approx((ppi, ppi), rel=1e-6)
    with tifffile.TiffFile(tmp_path / "card.tif") as file:
        tags = file.pages[0].tags
        assert tags["ResolutionUnit"].value == 2  # TIFF 6.0: 2 is the inch
        for name in ("XResolution", "YResolution"):
            numerator, denominator = tags[name].value
            assert numerator / denominator == pytest.approx(ppi, rel=1e-6)
        assert tags["PhotometricInterpretation"].value == 2  # RGB
        assert tags["InterColorProfile"].value == working_space_profile("srgb")


def test_a_jpeg_has_its_size_its_resolution_and_its_profile(tmp_path: Path) -> None:
    make_card(card(tmp_path), stock(), printer(grid_ppi=300), tmp_path / "card.jpg")
    with Image.open(tmp_path / "card.jpg") as image:
        assert image.format == "JPEG"
        assert image.size == (2480, 3508)
        assert image.info["dpi"] == (300, 300)
        assert image.info["icc_profile"] == working_space_profile("srgb")
        # Colour at full resolution: every component is sampled once a pixel (T.81, B.2.2).
        assert [layer[1:3] for layer in image.layer] == [(1, 1)] * 3
        pixels = np.asarray(image)
    assert np.abs(pixels[-200, 200].astype(int) - (40, 50, 190)).max() <= 3


def test_the_profile_in_the_file_is_the_printers_byte_for_byte(tmp_path: Path) -> None:
    profile = press_profile(cotton_etching())
    for name in ("card.tif", "card.jpg"):
        make_card(card(tmp_path), stock(), printer(), tmp_path / name, output=Output(profile=profile))
        with Image.open(tmp_path / name) as image:
            assert image.info["icc_profile"] == profile


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
def test_grey_without_a_profile_is_printed_as_the_same_grey_in_srgb(tmp_path: Path, dtype: type) -> None:
    output = Output(profile=press_profile(cotton_etching()), sharpen=False)
    levels = np.linspace(0, np.iinfo(dtype).max, 600 * 400).reshape(400, 600).astype(dtype)
    made = []
    for name, pixels, kind in (
        ("grey.tif", levels, "minisblack"), ("rgb.tif", np.repeat(levels[..., np.newaxis], 3, axis=2), "rgb")
    ):  # fmt: skip
        tifffile.imwrite(tmp_path / name, pixels, photometric=kind)
        asked = Card(
            stock="Harbour Satin 300",
            printer="Tern 8",
            pictures=(CardPicture(panel="front", file=name),),
            folder=tmp_path,
        )
        make_card(asked, stock(), printer(grid_ppi=72), tmp_path / "card.tif", output=output, force=True)
        made.append(np.asarray(Image.open(tmp_path / "card.tif")))
    assert np.array_equal(*made)


@pytest.mark.parametrize("intent", list(INTENTS))
@pytest.mark.parametrize("bpc", [True, False])
def test_printer_numbers_are_those_of_littlecms(tmp_path: Path, intent: str, bpc: bool) -> None:
    profile = press_profile(cotton_etching())
    colours = np.random.default_rng(7).integers(0, 256, (12, 12, 3), dtype=np.uint8)
    Image.fromarray(np.kron(colours, np.ones((20, 20, 1), np.uint8))).save(tmp_path / "colours.png")
    asked = CardPicture(panel="front", file="colours.png")
    made = Card(stock="S", printer="P", pictures=(asked,), folder=tmp_path)
    square = stock(None).model_copy(update={"open_size_mm": (101.6, 101.6)})
    output = Output(profile=profile, intent=intent, bpc=bpc, sharpen=False)
    make_card(made, square, printer(grid_ppi=120), tmp_path / "card.tif", output=output)
    found = np.asarray(Image.open(tmp_path / "card.tif"))[20::40, 20::40].astype(int)
    # The outside: Pillow's binding of LittleCMS, straight from profile to profile.
    flags = ImageCms.Flags.BLACKPOINTCOMPENSATION if bpc and intent != "absolute" else 0
    transform = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(working_space_profile("srgb"))),
        ImageCms.ImageCmsProfile(io.BytesIO(profile)),
        "RGB",
        "RGB",
        INTENTS[intent],
        flags,
    )
    expected = np.asarray(ImageCms.applyTransform(Image.fromarray(colours), transform)).astype(int)
    assert np.abs(found - expected).max() <= 2
    assert np.abs(found - expected).mean() < 0.5


def test_pictures_keep_their_own_space_when_asked(tmp_path: Path) -> None:
    profile = working_space_profile("adobe-rgb")
    pixels = np.full((200, 300, 3), RED, dtype=np.uint8)
    Image.fromarray(pixels).save(tmp_path / "wide.png", icc_profile=profile)
    asked = CardPicture(panel="front", file="wide.png", border_mm=10)
    made = Card(stock="S", printer="P", pictures=(asked,), folder=tmp_path)
    make_card(made, stock(), printer(), tmp_path / "card.tif", output=Output(space="picture"))
    with Image.open(tmp_path / "card.tif") as image:
        assert image.info["icc_profile"] == profile
        assert image.getpixel((600, 1300)) == RED
    write_corners(tmp_path)
    both = made.model_copy(update={"pictures": (asked, CardPicture(panel="back", file="corners.png"))})
    with refused(BadRequest, "card.pictures-in-two-spaces"):
        make_card(both, stock(), printer(), tmp_path / "card.tif", output=Output(space="picture"))


@pytest.mark.parametrize("name", ["card.pdf", "card.tif", "card.jpg"])
def test_same_card_same_bytes_in_every_form(tmp_path: Path, name: str) -> None:
    output = Output(profile=press_profile(cotton_etching()), surface="matt")
    texts = (CardText(panel="back", text="Printed by hand", colour="#334455"),)
    make_card(card(tmp_path, texts=texts), stock(), printer(), tmp_path / name, output=output)
    first = (tmp_path / name).read_bytes()
    make_card(card(tmp_path, texts=texts), stock(), printer(), tmp_path / name, output=output)
    assert (tmp_path / name).read_bytes() == first


@pytest.mark.parametrize("suffix", [".tif", ".pdf"])
def test_flat_colours_and_pictures_of_one_colour_come_out_alike(tmp_path: Path, suffix: str) -> None:
    Image.fromarray(np.full((200, 300, 3), RED, dtype=np.uint8)).save(tmp_path / "red.png")
    made = Card(
        stock="S",
        printer="P",
        backgrounds=({"panel": "back", "colour": "#{:02x}{:02x}{:02x}".format(*RED)},),
        pictures=(CardPicture(panel="front", file="red.png"),),
        folder=tmp_path,
    )
    profile = press_profile(cotton_etching())
    for output in (Output(profile=profile), Output(space="adobe-rgb"), PLAIN):
        make_card(made, stock(), printer(), tmp_path / f"card{suffix}", output=output)
        if suffix == ".tif":
            pixels = np.asarray(Image.open(tmp_path / "card.tif")).astype(int)
            ground, shown = pixels[400, 600], pixels[1300, 600]
        else:
            with pikepdf.open(tmp_path / "card.pdf") as pdf:
                image = pikepdf.PdfImage(pdf.pages[0].Resources.XObject["/Picture1"])
                shown = np.asarray(image.as_pil_image())[100, 100].astype(int)
                found = pikepdf.parse_content_stream(pdf.pages[0])
                ink = next(i.operands for i in found if str(i.operator) == "scn")
                ground = np.array([float(value) * 255 for value in ink])
        assert np.abs(ground - shown).max() <= 1
        assert (np.abs(shown - RED).max() > 3) == (output != PLAIN)


# Worked by hand: sheet 210 × 297, crease at 148.5 from the top, front below it; ppi 254, so ten pixels to the mm.
@pytest.mark.parametrize(
    ("fit", "border", "left", "top", "right", "bottom"),
    [
        # Fill: 210 − 2·12 wide, 148.5 − 2·12 tall, from 12 and 148.5 + 12.
        ("fill", 12, 120, 1605, 1980, 2850),
        # Fit, 600 : 400 in 186 × 124.5: the height decides, 124.5 · 1.5 = 186.75 is too wide, so the width does:
        # 186 × 124, centred: (124.5 − 124) ÷ 2 = 0.25 under 160.5.
        ("fit", 12, 120, 1607.5, 1980, 2847.5),
        # Fit in 170 × 108.5: the height decides, 162.75 wide, (210 − 162.75) ÷ 2 = 23.625.
        ("fit", 20, 236.25, 1685, 1863.75, 2770),
    ],
)
def test_borders_come_out_as_worked_by_hand(
    tmp_path: Path, fit: str, border: float, left: float, top: float, right: float, bottom: float
) -> None:
    write_corners(tmp_path)
    asked = CardPicture(panel="front", file="corners.png", fit=fit, border_mm=border)
    made = Card(stock="S", printer="P", pictures=(asked,), folder=tmp_path)
    make_card(made, stock(), printer(grid_ppi=254), tmp_path / "card.tif", output=PLAIN)
    inked = np.argwhere((np.asarray(Image.open(tmp_path / "card.tif")) < 250).any(axis=2))
    (y1, x1), (y2, x2) = inked.min(axis=0), inked.max(axis=0) + 1
    assert (x1, y1, x2, y2) == pytest.approx((left, top, right, bottom), abs=0.5)


FILL_UP = """
import resource, sys
from pathlib import Path
from tackside.card.file.design import load_card
from tackside.card.make import make_card
from tackside.errors import TacksideError
from tests.card.designs import printer, stock
resource.setrlimit(resource.RLIMIT_FSIZE, (60_000, 60_000))
import signal; signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
try:
    make_card(load_card(Path(sys.argv[1])), stock("vertical"), printer(grid_ppi=300), Path(sys.argv[2]))
except TacksideError as error:
    print(error)
"""


@pytest.mark.skipif(not hasattr(resource, "RLIMIT_FSIZE"), reason="no limit on file sizes here")
@pytest.mark.parametrize("suffix", [".pdf", ".tif", ".jpg"])
def test_a_disk_that_fills_up_leaves_earlier_files_as_they_were(tmp_path: Path, suffix: str) -> None:
    noise = np.random.default_rng(3).integers(0, 256, (500, 700, 3), dtype=np.uint8)
    Image.fromarray(noise).save(tmp_path / "noise.png")
    lines = ['stock = "S"', 'printer = "P"']
    for panel in ("front", "inside-left"):
        lines += ["[[pictures]]", f'panel = "{panel}"', 'file = "noise.png"']
    (tmp_path / "card.toml").write_text("\n".join(lines))
    out = tmp_path / f"card{suffix}"
    earlier = {out: b"earlier", tmp_path / f"card-inside{suffix}": b"earlier inside"}
    for path, content in earlier.items():
        path.write_bytes(content)
    before = sorted(tmp_path.iterdir())
    said = subprocess.run(
        [sys.executable, "-c", FILL_UP, str(tmp_path / "card.toml"), str(out)],
        check=True,
        capture_output=True,
        text=True,
        cwd=Path(__file__).parents[2],
    ).stdout
    assert "cannot" in said
    assert str(out) in said or "disk" in said
    assert {path: path.read_bytes() for path in earlier} == earlier
    assert sorted(tmp_path.iterdir()) == before


def test_a_picture_that_breaks_off_is_named_and_nothing_is_written(tmp_path: Path) -> None:
    noise = np.random.default_rng(3).integers(0, 256, (400, 400, 3), dtype=np.uint8)
    Image.fromarray(noise).save(tmp_path / "noise.jpg")
    whole = (tmp_path / "noise.jpg").read_bytes()
    (tmp_path / "noise.jpg").write_bytes(whole[: len(whole) // 2])
    asked = CardPicture(panel="front", file="noise.jpg")
    made = Card(stock="S", printer="P", pictures=(asked,), folder=tmp_path)
    for name in ("card.tif", "card.pdf", "card.jpg"):
        with refused(BadImage, "picture.breaks-off", file=PathNamed("noise.jpg")):
            make_card(made, stock(), printer(), tmp_path / name)
    assert [path.name for path in tmp_path.iterdir()] == ["noise.jpg"]


def test_margins_do_not_move_what_is_printed(tmp_path: Path) -> None:
    write_corners(tmp_path)
    make_card(card(tmp_path), stock(), printer(), tmp_path / "one.tif")
    wide = Margins(top=9, bottom=9, left=9, right=9)
    make_card(card(tmp_path), stock(), printer(wide), tmp_path / "other.tif")
    assert (tmp_path / "one.tif").read_bytes() == (tmp_path / "other.tif").read_bytes()
