"""Device values to CIELAB and back by every intent, against LittleCMS through another binding, and by formula."""

from __future__ import annotations

import io

import numpy as np
import pytest
from PIL import Image, ImageCms

from tackside.colour.difference import delta_e_76, delta_e_2000
from tackside.colour.spaces import ADOBE_RGB, SRGB, WHITE_D50, RgbSpace, lab_to_xyz, rgb_to_lab, xyz_to_lab
from tackside.errors import BadProfile
from tackside.profile.icc.inspect import read_header
from tackside.profile.icc.working_space import SpaceName, working_space_profile
from tackside.profile.link.convert import (
    INTENTS,
    PILLOW_MODES,
    device_to_lab_by_profile,
    lab_to_device_by_profile,
)
from tests.profile.small_profiles import cmyk_profile, grey_profile
from tests.profile.table_profiles import PAPER, cmyk_printer, invented_to_lab, less_chroma, rgb_printer

PROFILES = {
    "rgb v2": lambda: rgb_printer(2),
    "rgb v4": lambda: rgb_printer(4),
    "cmyk v2": lambda: cmyk_printer(2),
    "cmyk v4": lambda: cmyk_printer(4),
    "srgb": lambda: working_space_profile("srgb"),
    "adobe rgb": lambda: working_space_profile("adobe-rgb"),
    "grey": lambda: grey_profile(1.8),
}
ALL = pytest.mark.parametrize("name", PROFILES)


def theirs_to_device(profile: bytes, lab: np.ndarray, intent: int) -> np.ndarray:
    """LittleCMS through Pillow: CIELAB, rounded to the 8 bits that it takes, to 8-bit device values, 0 to 1."""
    coded = np.stack([lab[:, 0] * 2.55, lab[:, 1] % 256, lab[:, 2] % 256], axis=1)
    image = Image.frombytes("LAB", (len(lab), 1), np.rint(coded).astype(np.uint8).tobytes())
    opened = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    mode = PILLOW_MODES[read_header(profile).colour_space]
    transform = ImageCms.buildTransform(ImageCms.createProfile("LAB"), opened, "LAB", mode, intent)
    return np.asarray(ImageCms.applyTransform(image, transform))[0].reshape(len(lab), -1) / 255


def theirs_to_lab(profile: bytes, device: np.ndarray, intent: int) -> np.ndarray:
    mode = PILLOW_MODES[read_header(profile).colour_space]
    image = Image.frombytes(mode, (len(device), 1), np.rint(device * 255).astype(np.uint8).tobytes())
    opened = ImageCms.ImageCmsProfile(io.BytesIO(profile))
    transform = ImageCms.buildTransform(opened, ImageCms.createProfile("LAB"), mode, "LAB", intent)
    coded = np.asarray(ImageCms.applyTransform(image, transform))[0]
    return np.column_stack([coded[:, 0] / 2.55, coded[:, 1:].astype(np.int8)])


def on_8_bits(lab: np.ndarray) -> np.ndarray:
    """The colours that Pillow's 8-bit CIELAB holds, so that both sides start from the same."""
    return np.column_stack([np.rint(lab[:, 0] * 2.55) / 2.55, np.rint(lab[:, 1:])])


@ALL
@pytest.mark.parametrize("intent", ["relative", "absolute"])
def test_colours_become_the_device_values_of_littlecms(name: str, intent: str) -> None:
    profile = PROFILES[name]()
    channels = 1 if name == "grey" else 4 if "cmyk" in name else 3
    # Well inside what the device can do: at the edge two interpolations cut off differently.
    device = np.random.default_rng(5).uniform(0.2, 0.8, (600, channels)) * (0.5 if channels == 4 else 1)
    lab = on_8_bits(device_to_lab_by_profile(device, profile, intent=intent))
    ours = lab_to_device_by_profile(lab, profile, intent)
    theirs = theirs_to_device(profile, lab, INTENTS.index(intent))
    assert np.median(np.abs(ours - theirs)) < 0.5 / 255  # half a step of their 8 bits
    # A dark channel beside two light ones hardly shows: what matters is the colour, which both must hit.
    ours_seen, theirs_seen = (
        device_to_lab_by_profile(each, profile, intent=intent) for each in (ours, theirs)
    )
    assert np.percentile(delta_e_2000(ours_seen, theirs_seen), 99) < 1
    assert np.percentile(delta_e_2000(ours_seen, lab), 95) < 0.5 if channels == 3 else True


@pytest.mark.parametrize(("name", "space"), [("srgb", SRGB), ("adobe-rgb", ADOBE_RGB)])
def test_colours_become_the_device_values_of_the_spaces_formula(name: SpaceName, space: RgbSpace) -> None:
    device = np.random.default_rng(4).uniform(0.1, 0.95, (2000, 3))
    ours = lab_to_device_by_profile(rgb_to_lab(device, space), working_space_profile(name))
    assert np.median(np.abs(ours - device)) < 0.0005
    assert np.percentile(delta_e_2000(rgb_to_lab(ours, space), rgb_to_lab(device, space)), 99) < 0.5


def test_wide_working_spaces_are_not_cut_at_the_ends_of_16_bit_cielab() -> None:
    # Adobe RGB (1998): full green has a* -129.1 under D50 by the specification's own primaries.
    green = device_to_lab_by_profile([[0, 1, 0]], working_space_profile("adobe-rgb"))
    exact = rgb_to_lab(np.array([[0.0, 1.0, 0.0]]), ADOBE_RGB)
    assert exact[0, 1] < -128
    assert green == pytest.approx(exact, abs=0.1)


@ALL
@pytest.mark.parametrize("intent", INTENTS)
def test_device_values_become_the_colours_of_littlecms(name: str, intent: str) -> None:
    profile = PROFILES[name]()
    channels = 1 if name == "grey" else 4 if "cmyk" in name else 3
    device = np.rint(np.random.default_rng(6).random((600, channels)) * 255) / 255
    ours = device_to_lab_by_profile(device, profile, intent=intent)
    theirs = theirs_to_lab(profile, device, INTENTS.index(intent))
    inside = np.abs(ours[:, 1:]).max(axis=1) < 126  # what their 8 bits hold
    off = np.abs(ours - theirs)[inside]
    if "v4" in name and intent in ("perceptual", "saturation"):
        # LittleCMS moves the black of version 4 of its own accord; ours is the plain table. Light tones agree.
        off = off[ours[inside, 0] > 60]
    assert np.median(off, axis=0) == pytest.approx([0.1, 0.25, 0.25], abs=0.25)
    assert np.percentile(off, 99) < 1.1


@pytest.mark.parametrize("version", [2, 4])
def test_the_relative_table_gives_the_printers_own_formula(version: int) -> None:
    device = np.random.default_rng(7).random((2000, 3))
    lab = device_to_lab_by_profile(device, rgb_printer(version))
    off = delta_e_2000(lab, invented_to_lab(device))  # the table interpolates between 17 nodes
    assert np.median(off) < 0.1
    assert np.percentile(off, 99) < 1


@pytest.mark.parametrize("version", [2, 4])
def test_each_intent_goes_by_its_own_table_and_nothing_else(version: int) -> None:
    profile = rgb_printer(version)
    device = np.random.default_rng(8).uniform(0.3, 0.9, (500, 3))
    lab = invented_to_lab(device)
    relative = lab_to_device_by_profile(lab, profile, "relative")
    assert np.median(np.abs(relative - device)) < 0.003
    for intent in ("perceptual", "saturation"):
        printed = device_to_lab_by_profile(lab_to_device_by_profile(lab, profile, intent), profile)
        assert np.median(delta_e_76(printed, less_chroma(lab))) < 0.5


@pytest.mark.parametrize("name", ["rgb v2", "rgb v4"])
def test_absolute_is_relative_times_the_media_white(name: str) -> None:
    # ISO 15076-1:2010, 6.3.2.2: XYZ of the medium's white over D50.
    profile = PROFILES[name]()
    device = np.random.default_rng(9).random((100, 3))
    relative = device_to_lab_by_profile(device, profile)
    absolute = device_to_lab_by_profile(device, profile, intent="absolute")
    assert lab_to_xyz(absolute) == pytest.approx(lab_to_xyz(relative) * PAPER / WHITE_D50, abs=2e-5)
    back = lab_to_device_by_profile(absolute, profile, "absolute")
    assert device_to_lab_by_profile(back, profile, intent="absolute") == pytest.approx(absolute, abs=3)


def test_paper_asked_for_absolutely_is_bare_paper() -> None:
    white = lab_to_device_by_profile(xyz_to_lab(PAPER)[None], rgb_printer(), "absolute")
    assert white == pytest.approx(np.ones((1, 3)), abs=0.01)


def test_a_profile_without_a_way_back_is_refused_in_one_line() -> None:
    with pytest.raises(BadProfile, match="but not back"):
        lab_to_device_by_profile([[50, 0, 0]], cmyk_profile())


def test_no_colours_give_no_device_values() -> None:
    assert lab_to_device_by_profile(np.empty((0, 3)), rgb_printer()).shape == (0, 3)
    with pytest.raises(ValueError, match="CIELAB of shape"):
        lab_to_device_by_profile([[np.nan, 0, 0]], rgb_printer())
