"""A picture as a card will show it: written in strips, whatever the picture is made of."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import pyvips
import skimage.data
from PIL import Image

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import ADOBE_RGB, SRGB, lab_to_rgb, rgb_to_lab
from tackside.errors import BadImage, BadRequest, StorageTrouble
from tackside.messages.message import Message
from tackside.picture.file import strips
from tackside.picture.file.open import open_picture
from tackside.picture.file.strips import write_picture
from tackside.picture.proof.advice import IntentVariant
from tackside.picture.proof.proof import (
    VARIANTS,
    gamut_of,
    maps_of,
    rgb_stream,
    sample_of,
    weigh_variants,
    write_proof,
)
from tackside.press.printer.stock_model import cotton_etching, semi_gloss
from tackside.profile.device.device import ProfileDevice
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import embedded_profile
from tackside.profile.link.link import device_link
from tests.profile.card_profiles import press_profile
from tests.profile.littlecms import printed_lab
from tests.profile.small_profiles import cmyk_profile, grey_profile
from tests.refusals import refused

SRGB_PROFILE = working_space_profile("srgb")
RELATIVE = IntentVariant("relative", True)
COFFEE = Path(skimage.data.__file__).parent / "coffee.png"  # a photograph in scikit-image's wheel, CC0


def cotton() -> ProfileDevice:
    return ProfileDevice(press_profile(cotton_etching()))


def saved(path: Path, pixels: np.ndarray, profile: bytes | None = SRGB_PROFILE) -> Path:
    image = pyvips.Image.new_from_array(pixels)
    if profile is not None:
        image = image.copy()
        image.set_type(pyvips.GValue.blob_type, "icc-profile-data", profile)
    image.write_to_file(str(path))
    return path


@pytest.fixture(params=["whole", "in strips"])
def way(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """How a picture is worked on."""
    if request.param == "in strips":
        monkeypatch.setattr(strips, "SMALL_BYTES", 0)


@pytest.mark.usefixtures("way")
@pytest.mark.parametrize("ending", [".tif", ".png"])
@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
def test_strips_make_up_the_whole_picture(
    tmp_path: Path, ending: str, dtype: type, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(strips, "STRIP_BYTES", 3 * 50 * 7)  # seven rows: the last strip is shorter
    top = np.iinfo(dtype).max
    pixels = np.random.default_rng(1).integers(0, top, (40, 50, 3), dtype=dtype, endpoint=True)
    path = saved(tmp_path / "in.tif", pixels)
    write_proof(open_picture(path), cotton(), RELATIVE, tmp_path / f"out{ending}")
    written = pyvips.Image.new_from_file(str(tmp_path / f"out{ending}"))
    expected = device_link(SRGB_PROFILE, cotton(), "relative").apply(pixels)
    assert np.array_equal(written.numpy(), expected)
    assert embedded_profile(written) == SRGB_PROFILE


@pytest.mark.usefixtures("way")
@pytest.mark.parametrize("size", [(1, 1), (1, 300), (300, 1), (17, 33)])
def test_pictures_of_any_shape_are_written(tmp_path: Path, size: tuple[int, int]) -> None:
    pixels = np.full((*size, 3), 128, np.uint8)
    write_proof(open_picture(saved(tmp_path / "in.png", pixels)), cotton(), RELATIVE, tmp_path / "out.tif")
    assert pyvips.Image.new_from_file(str(tmp_path / "out.tif")).numpy().shape == (*size, 3)


@pytest.mark.usefixtures("way")
def test_a_jpeg_of_a_16_bit_picture_has_8_bits(tmp_path: Path) -> None:
    pixels = np.full((30, 20, 3), 40_000, np.uint16)
    write_proof(open_picture(saved(tmp_path / "in.tif", pixels)), cotton(), RELATIVE, tmp_path / "out.jpg")
    written = np.asarray(Image.open(tmp_path / "out.jpg"))
    expected = device_link(SRGB_PROFILE, cotton(), "relative").apply(pixels[:1, :1])[0, 0] / 257
    assert written[10, 10] == pytest.approx(expected, abs=2)


def test_the_embedded_profile_is_honoured(tmp_path: Path) -> None:
    # The same colours in two spaces make the same proof.
    lab = np.random.default_rng(2).uniform([40, -20, -20], [80, 20, 20], (20, 20, 3))
    proofs = []
    for name, space in (("srgb", SRGB), ("adobe-rgb", ADOBE_RGB)):
        numbers = np.rint(lab_to_rgb(lab, space) * 65535).astype(np.uint16)
        profile = working_space_profile(name)  # type: ignore[arg-type]
        path = saved(tmp_path / f"{name}.tif", numbers, profile)
        write_proof(open_picture(path), cotton(), RELATIVE, tmp_path / "out.tif")
        proofs.append(pyvips.Image.new_from_file(str(tmp_path / "out.tif")).numpy() / 65535)
    assert delta_e_2000(*(rgb_to_lab(proof, SRGB) for proof in proofs)).max() < 0.5


@pytest.mark.parametrize(
    ("bands", "profile"), [(1, grey_profile(2.2)), (1, None), (4, cmyk_profile()), (4, None)]
)
def test_grey_cmyk_and_transparent_pictures_are_proofed(
    tmp_path: Path, bands: int, profile: bytes | None
) -> None:
    pixels = np.full((12, 10, bands), 90, np.uint8)
    image = pyvips.Image.new_from_array(pixels)
    if bands == 4 and profile is not None:
        image = image.copy(interpretation="cmyk")
    if profile is not None:
        image.set_type(pyvips.GValue.blob_type, "icc-profile-data", profile)
    path = tmp_path / ("in.tif" if profile else "in.png")
    image.write_to_file(str(path))
    picture = open_picture(path)
    stream, _ = rgb_stream(picture)
    assert stream.bands == 3
    write_proof(picture, cotton(), RELATIVE, tmp_path / "out.png")
    assert pyvips.Image.new_from_file(str(tmp_path / "out.png")).numpy().shape == (12, 10, 3)


@pytest.mark.usefixtures("way")
def test_a_picture_cut_short_leaves_no_proof(tmp_path: Path) -> None:
    whole = tmp_path / "whole.jpg"
    Image.open(COFFEE).convert("RGB").save(whole)
    cut = tmp_path / "cut.jpg"
    cut.write_bytes(whole.read_bytes()[:-20_000])
    with refused(BadImage, "picture.breaks-off"):
        write_proof(open_picture(cut), cotton(), RELATIVE, tmp_path / "out.tif")
    with refused(BadImage, "picture.breaks-off"):
        sample_of(open_picture(cut))
    assert sorted(path.name for path in tmp_path.iterdir()) == ["cut.jpg", "whole.jpg"]


def test_a_small_picture_is_decoded_once_for_figures_and_proof(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    picture = open_picture(COFFEE)
    write_proof(picture, cotton(), RELATIVE, tmp_path / "twice.png")
    sample = sample_of(picture, keep_whole=True)
    monkeypatch.setattr(type(picture), "stream", lambda _: pytest.fail("decoded again"))
    write_proof(picture, cotton(), RELATIVE, tmp_path / "once.png", sample=sample)
    assert (tmp_path / "once.png").read_bytes() == (tmp_path / "twice.png").read_bytes()


@pytest.mark.usefixtures("way")
def test_a_proof_written_twice_of_one_sample_is_the_same(tmp_path: Path) -> None:
    # The first takes the pixels that the sample kept, and writes over them.
    pixels = np.random.default_rng(8).integers(0, 256, (60, 80, 3), dtype=np.uint8)
    picture = open_picture(saved(tmp_path / "in.png", pixels))
    sample = sample_of(picture, keep_whole=True)
    before = sample.pixels.copy()
    for name in ("first.png", "second.png"):
        write_proof(picture, cotton(), RELATIVE, tmp_path / name, sample=sample)
    assert (tmp_path / "first.png").read_bytes() == (tmp_path / "second.png").read_bytes()
    assert np.array_equal(sample.pixels, before)


def test_a_fault_of_the_work_comes_through_and_nothing_is_left(tmp_path: Path) -> None:
    def broken(_: object) -> np.ndarray:
        raise ZeroDivisionError("the work's own")

    image = pyvips.Image.new_from_array(np.zeros((9, 9, 3), np.uint8))
    with pytest.raises(ZeroDivisionError, match="the work's own"):
        write_picture(tmp_path / "out.tif", image, broken, SRGB_PROFILE)
    assert list(tmp_path.iterdir()) == []


@pytest.mark.usefixtures("way")
def test_a_name_without_a_picture_format_or_folder_is_refused(tmp_path: Path) -> None:
    image = pyvips.Image.new_from_array(np.zeros((9, 9, 3), np.uint8))
    with refused(BadRequest, "picture.no-written-format"):
        write_picture(tmp_path / "out.webp", image, lambda strip: strip, SRGB_PROFILE)
    with refused(StorageTrouble, "file.cannot-write", reason=Message("file.nothing-there")):
        write_picture(tmp_path / "none" / "out.tif", image, lambda strip: strip, SRGB_PROFILE)


def test_a_sample_keeps_the_pictures_average(tmp_path: Path) -> None:
    pixels = np.random.default_rng(3).integers(0, 256, (300, 401, 3), dtype=np.uint8)
    sample = sample_of(open_picture(saved(tmp_path / "in.png", pixels)), most_pixels=10_000)
    assert sample.pixels.shape[0] * sample.pixels.shape[1] <= 10_000
    assert sample.pixels.mean() == pytest.approx(pixels.mean(), abs=1)


def test_a_small_picture_is_its_own_sample(tmp_path: Path) -> None:
    pixels = np.random.default_rng(3).integers(0, 256, (30, 40, 3), dtype=np.uint8)
    sample = sample_of(open_picture(saved(tmp_path / "in.png", pixels)))
    assert np.array_equal(sample.pixels, pixels)
    assert sample.lab == pytest.approx(rgb_to_lab(pixels / 255, SRGB), abs=1)


def test_what_the_card_holds_is_inside_and_what_it_lacks_is_outside(tmp_path: Path) -> None:
    pixels = np.full((20, 20, 3), 150, np.uint8)
    pixels[:5] = (0, 255, 0)  # sRGB's green lies far outside any inkjet on matt stock (common practice)
    sample = sample_of(open_picture(saved(tmp_path / "in.png", pixels)))
    gamut = gamut_of(sample, cotton())
    assert gamut.share == 0.25
    assert gamut.mean > 5


def test_the_deeper_card_holds_more_of_a_photograph() -> None:
    sample = sample_of(open_picture(COFFEE), most_pixels=20_000)
    gloss = ProfileDevice(press_profile(semi_gloss()))
    assert gamut_of(sample, gloss).share < gamut_of(sample, cotton()).share


def test_figures_of_a_photograph_are_those_of_littlecms() -> None:
    sample = sample_of(open_picture(COFFEE), most_pixels=20_000)
    numbers = sample.pixels.reshape(-1, 3).astype(np.uint16) * 257
    weighed = weigh_variants(sample, cotton())
    assert {each.variant for each in weighed} == set(VARIANTS)
    for each in weighed:
        variant = each.variant
        exact = printed_lab(numbers, SRGB_PROFILE, cotton().profile, variant.intent, bpc=variant.bpc)
        differences = delta_e_2000(rgb_to_lab(numbers / 65535, SRGB), exact)
        assert each.figures.de00_mean == pytest.approx(differences.mean(), abs=0.1)
        assert each.figures.de00_p95 == pytest.approx(np.percentile(differences, 95), abs=0.3)


def test_maps_have_the_samples_shape_and_agree_with_the_figures() -> None:
    sample = sample_of(open_picture(COFFEE), most_pixels=20_000)
    maps = maps_of(sample, cotton(), RELATIVE)
    assert maps.outside.shape == maps.de00.shape == maps.lost_contrast.shape == sample.pixels.shape[:2]
    assert np.mean(maps.outside > 0) == gamut_of(sample, cotton()).share
    assert maps.lost_contrast.min() >= 0
    assert maps.lost_contrast.max() <= 1
