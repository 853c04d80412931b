"""HEIC, as phones write it: upright, in its own colours, with all its bits; a damaged one costs one line."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from tackside.colour.spaces import DISPLAY_P3, SRGB, rgb_to_lab
from tackside.errors import BadImage
from tackside.files import heic as unpacking
from tackside.files.outside import suffix_of
from tackside.picture.check.survey import survey
from tackside.picture.file.colours import reduced
from tackside.picture.file.open import Picture, open_picture
from tackside.picture.file.place import pixels_for
from tackside.profile.icc.inspect import describe
from tackside.profile.icc.working_space import display_p3_profile, working_space_profile
from tackside.profile.link.convert import rgb_to_lab_by_profile
from tackside.units import Box
from tests.heic import heic, wedge
from tests.refusals import refused

P3, BT709, SRGB_CURVE, PQ = 12, 1, 13, 16  # ITU-T H.273, tables 2 and 3


def two_halves(width: int = 120, height: int = 80) -> np.ndarray:
    """Red above, blue below."""
    pixels = np.zeros((height, width, 3), np.uint8)
    pixels[: height // 2] = (200, 30, 30)
    pixels[height // 2 :] = (20, 40, 180)
    return pixels


def write(path: Path, data: bytes) -> Path:
    path.write_bytes(data)
    return path


def shown(picture: Picture, space: str = "srgb") -> np.ndarray:
    return pixels_for(picture, Box(0, 0, *picture.size_px), picture.size_px, space)  # type: ignore[arg-type]


def test_its_pixels_are_those_that_were_packed(tmp_path: Path) -> None:
    picture = open_picture(write(tmp_path / "a.heic", heic(two_halves())))
    assert (picture.size_px, picture.bits, picture.profile) == ((120, 80), 8, None)
    assert [each.code for each in picture.warnings] == ["picture.taken-for-srgb"]
    assert np.abs(shown(picture).astype(int) - two_halves())[4:36].max() <= 3
    assert suffix_of(tmp_path / "a.heic") == ".heic"


# CIPA DC-008 (Exif), tag 0x0112, carried out by the encoder as ISO/IEC 23008-12's irot and imir; Pillow is the judge.
@pytest.mark.parametrize("orientation", range(1, 9))
def test_it_is_turned_upright_once(tmp_path: Path, orientation: int) -> None:
    stored = np.zeros((80, 120, 3), np.uint8)
    stored[:40, :60], stored[:40, 60:], stored[40:] = (200, 30, 30), (30, 160, 30), (20, 40, 180)
    turned = Image.fromarray(stored)
    exif = Image.Exif()
    exif[0x0112] = orientation
    turned.save(tmp_path / "a.png", exif=exif)
    expected = np.asarray(ImageOps.exif_transpose(Image.open(tmp_path / "a.png")))
    picture = open_picture(write(tmp_path / "a.heic", heic(stored, orientation=orientation)))
    assert picture.size_px == (expected.shape[1], expected.shape[0])
    far = np.abs(shown(picture).astype(int) - expected)
    assert np.median(far) <= 2
    assert np.mean(far > 12) < 0.05  # along the edges alone
    assert np.abs(reduced(picture.path, upright=True)[0].astype(int) - expected).mean() < 3


def test_a_profile_inside_is_heeded(tmp_path: Path) -> None:
    made = heic(two_halves(), profile=working_space_profile("adobe-rgb"))
    picture = open_picture(write(tmp_path / "a.heic", made))
    assert picture.profile == working_space_profile("adobe-rgb")
    assert np.abs(shown(picture, "adobe-rgb").astype(int) - two_halves())[4:36].max() <= 3


def test_primaries_told_by_number_are_heeded(tmp_path: Path) -> None:
    """As other phones write it: no profile, but the primaries of P3 by their number in ITU-T H.273."""
    made = heic(two_halves(), nclx=(P3, SRGB_CURVE))
    picture = open_picture(write(tmp_path / "a.heic", made))
    assert picture.profile is not None
    assert describe(picture.profile) == "Display P3"
    red = rgb_to_lab(np.array([[200, 30, 30]]) / 255, DISPLAY_P3)
    taken_for_srgb = rgb_to_lab(np.array([200, 30, 30]) / 255, SRGB)
    assert np.abs(rgb_to_lab_by_profile([[200 / 255, 30 / 255, 30 / 255]], picture.profile) - red).max() < 0.3
    assert np.linalg.norm(red - taken_for_srgb) > 5  # another colour
    srgb = open_picture(write(tmp_path / "b.heic", heic(two_halves(), nclx=(BT709, SRGB_CURVE))))
    assert srgb.profile == working_space_profile("srgb")
    assert srgb.warnings == ()


# W3C, CSS Color Module Level 4, its sample code gives display-p3's matrix to XYZ under D65; typed from memory
# (docs/sources.md, S170).
def test_display_p3_is_as_published() -> None:
    published = np.array(
        [
            [608311 / 1250200, 189793 / 714400, 198249 / 1000160],
            [35783 / 156275, 247089 / 357200, 198249 / 2500400],
            [0.0, 32229 / 714400, 5220557 / 5000800],
        ]
    )
    assert np.abs(DISPLAY_P3.to_xyz - published).max() < 1e-6
    assert describe(display_p3_profile()) == "Display P3"


def test_ten_bits_stay_ten_bits(tmp_path: Path) -> None:
    steps = np.repeat(np.arange(1024, dtype=np.uint32), 2)
    ramp = (steps * 65535 // 1023).astype(np.uint16)
    pixels = np.repeat(np.tile(ramp, (64, 1))[..., None], 3, axis=2)
    path = write(tmp_path / "a.heic", heic(pixels, quality=100))
    picture = open_picture(path)
    assert picture.bits == 16
    found = np.asarray(picture.stream().numpy())
    assert found.dtype == np.uint16
    assert found.max() == 65535  # white is white, not 1023 of 1024
    assert len(np.unique(found[32, :, 1])) > 900
    assert np.abs(found[32].astype(int) - pixels[32]).mean() < 65535 / 1023
    assert survey(path).highlights is not None


def test_hdr_is_refused(tmp_path: Path) -> None:
    path = write(tmp_path / "a.heic", heic(two_halves(), nclx=(9, PQ)))
    with refused(BadImage, "picture.hdr"):
        open_picture(path)


def test_its_size_is_bounded_before_it_is_unpacked(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    path = write(tmp_path / "a.heic", heic(wedge()))
    monkeypatch.setattr(unpacking.Heic, "pixels", lambda _: pytest.fail("it was unpacked"))
    with refused(BadImage, "picture.too-many-pixels"):
        open_picture(path, most_pixels=1000)


def test_a_damaged_one_costs_one_line(tmp_path: Path) -> None:
    """Cut short anywhere, and with bytes turned over: refused, or a picture of the same size; never a crash."""
    whole = heic(wedge())
    rng = np.random.default_rng(3)
    damaged = [whole[:length] for length in range(32, len(whole) - 1, max(1, len(whole) // 40))]
    for _ in range(60):
        turned = bytearray(whole)
        for at in rng.integers(24, len(whole), 4):
            turned[at] ^= int(rng.integers(1, 256))
        damaged.append(bytes(turned))
    refusals = 0
    for number, data in enumerate(damaged):
        path = write(tmp_path / f"{number}.heic", data)
        try:
            picture = open_picture(path)
            pixels_for(picture, Box(0, 0, *picture.size_px), (24, 24), "srgb")
        except BadImage:
            refusals += 1
    assert refusals > 40


def test_a_jpeg_that_is_called_heic_is_a_jpeg(tmp_path: Path) -> None:
    Image.new("RGB", (40, 30), (60, 110, 160)).save(tmp_path / "named.heic", "JPEG")
    assert open_picture(tmp_path / "named.heic").size_px == (40, 30)
