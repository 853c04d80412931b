"""Colours and pictures through profiles, against the spaces' own formulas and LittleCMS through Pillow."""

from __future__ import annotations

import io
from typing import cast

import numpy as np
import pytest
import pyvips
from PIL import Image, ImageCms

from tackside.colour.difference import delta_e_76
from tackside.colour.spaces import (
    ADOBE_RGB,
    SRGB,
    WHITE_D50,
    RgbSpace,
    reflectance_to_lightness,
    rgb_to_lab,
    rgb_to_xyz_d50,
    xyz_d50_to_rgb,
    xyz_to_lab,
)
from tackside.errors import BadImage, BadProfile
from tackside.profile.icc.working_space import SpaceName, working_space_profile
from tackside.profile.link.convert import (
    device_to_lab_by_profile,
    embedded_profile,
    rgb_codes_to_lab_by_profile,
    rgb_to_lab_by_profile,
    to_lab_through_xyz,
    with_profile,
)
from tackside.profile.link.convert_picture import convert_image_rgb
from tests.profile.small_profiles import cmyk_profile, corner_lab, grey_profile
from tests.refusals import refused

BOTH = pytest.mark.parametrize(("name", "space"), [("srgb", SRGB), ("adobe-rgb", ADOBE_RGB)])
RGB = np.random.default_rng(11).random((4000, 3))


def picture(values: np.ndarray, interpretation: str | None = None) -> pyvips.Image:
    """A pyvips image of an integer array (h, w, bands)."""
    image = pyvips.Image.new_from_array(values)
    return image if interpretation is None else image.copy(interpretation=interpretation)


@BOTH
def test_littlecms_gives_the_spaces_own_colours(name: SpaceName, space: RgbSpace) -> None:
    # LittleCMS through libvips. Its 16-bit table strays most in the darks, where ΔE*ab is steepest.
    lab = rgb_to_lab_by_profile(RGB, working_space_profile(name))
    exact = rgb_to_lab(RGB, space)
    strays = delta_e_76(lab, exact)
    assert np.median(strays) < 0.05
    assert np.percentile(strays, 95) < 0.2
    assert strays[exact[:, 0] > 20].max() < 0.4
    assert strays.max() < 1.0


@BOTH
def test_littlecms_through_another_binding_agrees(name: SpaceName, space: RgbSpace) -> None:
    # LittleCMS through Pillow, 8 bits: half a step of a* and b* is 0.5, of L* 0.2.
    stored = np.rint(RGB * 255).astype(np.uint8)
    transform = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(working_space_profile(name))),
        ImageCms.createProfile("LAB"),
        "RGB",
        "LAB",
        renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
    )
    coded = np.asarray(ImageCms.applyTransform(Image.fromarray(stored[None]), transform))[0].astype(np.int16)
    theirs = np.column_stack([coded[:, 0] / 2.55, coded[:, 1:].astype(np.uint8).astype(np.int8)])
    ours = rgb_to_lab_by_profile(stored / 255, working_space_profile(name))
    inside = np.abs(rgb_to_lab(stored / 255, space)[:, 1:]).max(axis=1) < 126  # what 8 bits hold
    assert np.abs(ours - theirs)[inside].max(axis=0) == pytest.approx([0.2, 0.5, 0.5], abs=0.5)


def test_a_foreign_srgb_profile_gives_the_same_colours() -> None:
    # LittleCMS's own sRGB, with curves and white of its own rounding
    foreign = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    ours = rgb_to_lab_by_profile(RGB, working_space_profile("srgb"))
    assert np.percentile(delta_e_76(rgb_to_lab_by_profile(RGB, foreign), ours), 95) < 0.2


def test_cmyk_goes_through_its_table() -> None:
    corners = [(0, 0, 0, 0), (1, 0, 0, 0), (0, 1, 0, 0), (0, 0, 1, 0), (0, 0, 0, 1)]
    lab = device_to_lab_by_profile(np.array(corners), cmyk_profile())
    # The profile holds whole steps of a* and b*.
    assert lab == pytest.approx(np.array([corner_lab(cmyk) for cmyk in corners]), abs=0.6)


@pytest.mark.parametrize("header_intent", [0, 1, 3])
def test_a_profile_with_one_table_is_used_whatever_intent_its_header_names(header_intent: int) -> None:
    # libvips alone would drop such a profile where the header names an intent without a table.
    profile = cmyk_profile(tables=(b"A2B0",), header_intent=header_intent)
    lab = device_to_lab_by_profile([[0, 1, 0, 0]], profile)
    assert lab[0] == pytest.approx(corner_lab((0, 1, 0, 0)), abs=0.6)


def test_a_profile_for_other_numbers_is_refused() -> None:
    with refused(BadProfile, "profile.for-other-numbers", space="CMYK", expected="RGB"):
        rgb_to_lab_by_profile([[1, 1, 1]], cmyk_profile())


def test_a_profile_without_its_tables_is_refused_not_taken_for_srgb() -> None:
    # libvips alone would take sRGB in its place and say nothing.
    good = working_space_profile("srgb")
    gutted = good.replace(b"rXYZ", b"zXYZ").replace(b"gXYZ", b"yXYZ")
    with refused(BadProfile, "profile.damaged"):
        rgb_to_lab_by_profile([[1, 1, 1]], gutted)


class Coded:
    """Stands for a picture whose way through a profile gives these codes of X, Y and Z."""

    def __init__(self, codes: np.ndarray) -> None:
        self._codes = codes

    def icc_transform(self, *_: object, **__: object) -> Coded:
        return self

    def numpy(self) -> np.ndarray:
        return self._codes


def test_every_code_of_xyz_is_decoded_as_its_curve_says() -> None:
    codes = np.stack([np.roll(np.arange(65536), by) for by in (0, 1, 700)], axis=-1).astype(np.uint16)
    at = codes / 65535
    # ISO 15076-1, parametric curve of type 3, with the numbers of L*.
    ratio = np.where(at > 216 / 2700, ((at + 0.16) / 1.16) ** 3, at * 2700 / 24389)
    given = to_lab_through_xyz(cast(pyvips.Image, Coded(codes[None])), "relative")
    assert np.allclose(given, xyz_to_lab(ratio * WHITE_D50), rtol=0, atol=1e-10)


@pytest.mark.parametrize("dtype", [np.uint8, np.uint16])
def test_codes_of_a_file_give_what_their_shares_of_the_highest_give(dtype: type) -> None:
    top = np.iinfo(dtype).max
    codes: np.ndarray = np.rint(RGB * top).astype(dtype)
    profile = working_space_profile("adobe-rgb")
    assert np.array_equal(
        rgb_codes_to_lab_by_profile(codes, profile), rgb_to_lab_by_profile(codes / top, profile)
    )
    assert rgb_codes_to_lab_by_profile(codes[:0], profile).shape == (0, 3)
    with refused(BadProfile, "profile.for-other-numbers", space="grey", expected="RGB"):
        rgb_codes_to_lab_by_profile(codes, grey_profile(2.0))


def test_values_beyond_the_range_are_held_and_no_rows_give_none() -> None:
    profile = working_space_profile("srgb")
    assert rgb_to_lab_by_profile([[1.2, 1, 1], [-0.1, 0, 0]], profile) == pytest.approx(
        np.array([[100, 0, 0], [0, 0, 0]]), abs=0.01
    )
    assert rgb_to_lab_by_profile(np.empty((0, 3)), profile).shape == (0, 3)


@pytest.mark.parametrize(("dtype", "top"), [(np.uint8, 255), (np.uint16, 65535)])
def test_a_picture_goes_from_space_to_space_at_its_own_depth(dtype: type, top: int) -> None:
    srgb = RGB[:600].reshape(20, 30, 3)
    stored = np.rint(srgb * top).astype(dtype)
    image = with_profile(picture(stored), working_space_profile("srgb"))
    result = convert_image_rgb(image, embedded_profile(image), "adobe-rgb")
    assert result.format == ("uchar" if top == 255 else "ushort")
    assert embedded_profile(result) == working_space_profile("adobe-rgb")
    expected = xyz_d50_to_rgb(rgb_to_xyz_d50(stored / top, SRGB), ADOBE_RGB)
    # sRGB lies inside Adobe RGB but for rounding, so nothing is clipped.
    assert result.numpy() / top == pytest.approx(expected, abs=1.01 / 255)
    assert np.abs(result.numpy() / top - expected).mean() < (0.3 if top == 255 else 0.05) / 255


def test_a_wide_picture_is_clipped_into_srgb_near_its_formula() -> None:
    wide = RGB[:600].reshape(20, 30, 3)
    stored = np.rint(wide * 65535).astype(np.uint16)
    image = with_profile(picture(stored), working_space_profile("adobe-rgb"))
    result = convert_image_rgb(image, embedded_profile(image), "srgb").numpy() / 65535
    expected = xyz_d50_to_rgb(rgb_to_xyz_d50(stored / 65535, ADOBE_RGB), SRGB)
    inside = ((expected > 0.02) & (expected < 1)).all(axis=-1)
    assert inside.sum() > 200
    assert result[inside] == pytest.approx(expected[inside], abs=1.01 / 255)


def test_a_picture_already_in_the_space_keeps_every_pixel() -> None:
    stored = np.random.default_rng(12).integers(0, 256, (9, 7, 3), dtype=np.uint8)
    result = convert_image_rgb(picture(stored), None, "srgb")
    assert np.array_equal(result.numpy(), stored)
    assert embedded_profile(result) == working_space_profile("srgb")


@pytest.mark.parametrize("top", [255, 65535])
def test_grey_without_a_profile_becomes_neutral_srgb(top: int) -> None:
    grey = np.linspace(0, top, 64).astype(np.uint8 if top == 255 else np.uint16).reshape(8, 8, 1)
    result = convert_image_rgb(picture(grey, "b-w" if top == 255 else "grey16"), None, "srgb").numpy()
    assert np.array_equal(result, grey.repeat(3, axis=2))


def test_grey_goes_by_its_own_profile() -> None:
    levels = np.array([0, 64, 128, 200, 255], dtype=np.uint8).reshape(1, 5, 1)
    image = with_profile(picture(levels, "b-w"), grey_profile(1.8))
    result = convert_image_rgb(image, embedded_profile(image), "srgb").numpy()[0]
    expected = 255 * SRGB.encode((levels[0] / 255) ** 1.8)
    assert result == pytest.approx(expected.repeat(3, axis=1), abs=1)
    lab = device_to_lab_by_profile(levels[0] / 255, grey_profile(1.8))
    assert lab[:, 0] == pytest.approx(reflectance_to_lightness((levels[0, :, 0] / 255) ** 1.8), abs=0.05)


def test_transparency_becomes_white() -> None:
    clear = np.zeros((4, 4, 4), dtype=np.uint8)
    assert convert_image_rgb(picture(clear, "srgb"), None, "srgb").numpy().tolist() == [[[255] * 3] * 4] * 4


@pytest.mark.parametrize("interpretation", ["lab", "scrgb"])
def test_transparency_of_float_pictures_becomes_white(interpretation: str) -> None:
    clear = np.zeros((2, 2, 4), dtype=np.float32)
    result = convert_image_rgb(picture(clear, interpretation), None, "srgb").numpy()
    assert result.shape == (2, 2, 3)
    assert result.min() == 65535


def test_cmyk_with_its_profile_becomes_rgb() -> None:
    inks = np.zeros((2, 2, 4), dtype=np.uint8)
    inks[0, 1] = [0, 0, 0, 255]
    inks[1, 0] = [0, 255, 0, 0]
    image = with_profile(picture(inks, "cmyk"), cmyk_profile())
    result = convert_image_rgb(image, embedded_profile(image), "srgb").numpy()
    assert result.shape == (2, 2, 3)
    assert result[0, 0].min() > 235  # paper, a shade blue
    assert result[0, 1].max() < result[0, 0].min() / 3
    red, green, blue = (int(value) for value in result[1, 0])
    assert red > blue > green  # the invented magenta


def test_cmyk_without_a_profile_is_refused() -> None:
    with refused(BadImage, "profile.picture-without-profile"):
        convert_image_rgb(picture(np.zeros((2, 2, 4), dtype=np.uint8), "cmyk"), None, "srgb")


def test_a_profile_for_another_kind_of_picture_is_refused() -> None:
    stored = np.zeros((2, 2, 3), dtype=np.uint8)
    with refused(BadImage, "profile.picture-channels", channels=3):
        convert_image_rgb(picture(stored), cmyk_profile(), "srgb")
    with pytest.raises(BadProfile):
        convert_image_rgb(picture(stored), b"nonsense", "srgb")


@pytest.mark.parametrize("intent", ["perceptual", "relative", "saturation", "absolute"])
def test_every_intent_of_the_standard_converts(intent: str) -> None:
    image = with_profile(picture(np.zeros((2, 2, 4), dtype=np.uint8), "cmyk"), cmyk_profile())
    result = convert_image_rgb(image, cmyk_profile(), "srgb", intent=intent).numpy()
    assert result.min() > 250  # paper of the media-relative table


def test_a_lab_picture_becomes_rgb() -> None:
    lab = np.zeros((3, 3, 3), dtype=np.float32)
    lab[..., 0] = 53.585  # the L* of sRGB 128 (docs/sources.md, S67)
    result = convert_image_rgb(picture(lab, "lab"), None, "srgb").numpy() / 65535
    assert result == pytest.approx(128 / 255, abs=0.001)


def test_a_linear_light_picture_becomes_encoded_srgb() -> None:
    # Light of 0.2140 is half of the numbers by IEC 61966-2-1 (docs/sources.md, S67).
    linear = np.full((2, 2, 3), 0.2140, dtype=np.float32)
    result = convert_image_rgb(picture(linear, "scrgb"), None, "srgb").numpy() / 65535
    assert result == pytest.approx(0.5, abs=0.001)


def test_no_profile_inside_is_none() -> None:
    assert embedded_profile(picture(np.zeros((2, 2, 3), dtype=np.uint8))) is None
