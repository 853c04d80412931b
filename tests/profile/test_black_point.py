"""Black point compensation: one black for every way to a card, neutral as in ISO 18619, whichever LittleCMS is here."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
import pyvips

from tackside.card.pixels.conversion import OutputColour
from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import SRGB, WHITE_D50, compensate, lab_to_xyz, rgb_to_lab
from tackside.profile.device.device import ProfileDevice, relative_lab
from tackside.profile.device.device_model import fit_device_model
from tackside.profile.icc.inspect import to_icc_absolute
from tackside.profile.icc.working_space import SpaceName, working_space_profile
from tackside.profile.link.convert import device_to_lab_by_profile, with_profile
from tackside.profile.link.convert_picture import convert_image_rgb
from tackside.profile.link.lifted import is_curves_alone, lifted
from tackside.profile.link.link import link_to_lab
from tackside.profile.link.passage import rgb_codes_to_lab
from tackside.profile.link.profile_black import card_black_l, source_black_l
from tests.profile import press_cards
from tests.profile.littlecms import (
    PCS_LAB,
    black_lightness,
    exact_lab,
    led_to_black,
    neutral_library,
    printed_lab,
)
from tests.profile.table_profiles import PAPER, cmyk_printer, rgb_printer, tinted_printer, tinted_to_lab
from tests.profile.test_link import SOURCE, cotton, gloss, pixels_of

VERSIONS = pytest.mark.parametrize("version", [2, 4])
PRINTERS: dict[str, Callable[[], bytes]] = {
    "rgb v2": lambda: rgb_printer(2),
    "rgb v4": lambda: rgb_printer(4),
    "tinted v2": lambda: tinted_printer(2),
    "tinted v4": lambda: tinted_printer(4),
    "cmyk v2": lambda: cmyk_printer(2),
    "cmyk v4": lambda: cmyk_printer(4),
    "gloss": gloss,
    "cotton": cotton,
}


def sixteen(codes: np.ndarray) -> np.ndarray:
    return codes.astype(np.uint16) * 257


@VERSIONS
def test_a_tinted_black_does_not_tint_the_greys_above_it(version: int) -> None:
    greys = np.repeat(np.arange(70, 256, 5), 3).reshape(-1, 3).astype(np.uint8)
    printed = link_to_lab(SOURCE, ProfileDevice(tinted_printer(version)), "relative").apply(greys[None])[0]
    # ISO 18619 leads neutrals to neutrals; the table holds them from about L* 25 on. The end is the table's own white.
    assert np.hypot(printed[:-1, 1], printed[:-1, 2]).max() < 0.5
    # By hand, for one of them: sRGB 145 is light of 0.2831 (L* 60.2); black of L* 14 is light of 0.0173.
    # 0.2831 · (1 − 0.0173) + 0.0173 = 0.2955, which is L* 61.26.
    assert printed[15, 0] == pytest.approx(61.26, abs=0.1)


@VERSIONS
def test_a_tinted_card_is_printed_as_the_standard_says(version: int) -> None:
    pixels = pixels_of("chelsea.png")
    exact = printed_lab(sixteen(pixels), SOURCE, tinted_printer(version), "relative", bpc=True)
    link = link_to_lab(SOURCE, ProfileDevice(tinted_printer(version)), "relative", bpc=True)
    strays = delta_e_2000(link.apply(pixels[None])[0], exact)
    assert np.percentile(strays, 99) < 0.5
    assert np.median(strays) < 0.1


@pytest.mark.parametrize("intent", ["perceptual", "relative", "saturation"])
@pytest.mark.parametrize("name", ["tinted v2", "tinted v4", "cmyk v4"])
def test_a_littlecms_that_takes_black_for_neutral_gives_the_same(name: str, intent: str) -> None:
    card, pixels = PRINTERS[name](), pixels_of("coffee.png")[:5000]
    last = [intent, "relative", "relative"]
    theirs = exact_lab(
        sixteen(pixels),
        [SOURCE, card, card, PCS_LAB],
        [intent, *last],
        [True, True, False, False],
        library=neutral_library(),
    )
    ours = link_to_lab(SOURCE, ProfileDevice(card), intent, bpc=True).apply(pixels[None])[0]  # type: ignore[arg-type]
    assert np.percentile(delta_e_2000(ours, theirs), 99) < 0.5


@VERSIONS
def test_both_ways_to_a_tinted_card_agree(version: int) -> None:
    """The profile of a printer, and a model fitted to a reading of it, lead the same colours to the same black."""
    patches = press_cards.patches()
    model = fit_device_model(patches, to_icc_absolute(tinted_to_lab(patches), PAPER))
    profile = ProfileDevice(tinted_printer(version))
    lab = rgb_to_lab(pixels_of("chelsea.png") / 255, SRGB) * [1, 0.8, 0.8]
    aims = compensate(lab, 14.0)
    held = lab[delta_e_2000(relative_lab(profile, profile.from_lab(aims, "relative", False)), aims) < 0.5]
    assert len(held) > 15_000
    prints = [relative_lab(device, device.from_lab(held, "relative", True)) for device in (profile, model)]
    assert np.percentile(delta_e_2000(*prints), 99) < 0.6


@pytest.mark.parametrize("intent", ["perceptual", "relative", "saturation"])
@pytest.mark.parametrize("name", PRINTERS)
def test_black_is_as_light_as_littlecms_finds_it(name: str, intent: str) -> None:
    card = PRINTERS[name]()
    assert card_black_l(card, intent) == pytest.approx(black_lightness(card, intent), abs=0.05)


def test_a_working_space_has_no_light_in_its_black() -> None:
    for space in ("srgb", "adobe-rgb"):
        for intent in ("perceptual", "relative", "saturation"):
            assert source_black_l(working_space_profile(space), intent) == pytest.approx(0, abs=1e-6)  # type: ignore[arg-type]


def test_a_black_lighter_than_50_counts_as_50() -> None:
    assert compensate([[0, 0, 0]], 70.0)[0] == pytest.approx([50, 0, 0], abs=1e-9)


def test_compensation_there_and_back_is_none() -> None:
    lab = rgb_to_lab(np.random.default_rng(1).random((500, 3)), SRGB)
    assert compensate(compensate(lab, 21.0), 0.0, 21.0) == pytest.approx(lab, abs=1e-9)
    assert compensate(lab, 21.0) == pytest.approx(led_to_black(lab, 21.0), abs=1e-3)
    black, white = compensate([[8.0, 0, 0], [100, 0, 0]], 21.0, 8.0)
    assert black == pytest.approx([21, 0, 0], abs=1e-9)
    assert white == pytest.approx([100, 0, 0], abs=1e-9)


@VERSIONS
def test_a_pictures_own_tinted_black_goes_to_black_without_its_lightness(version: int) -> None:
    codes = np.random.default_rng(3).integers(0, 256, (800, 3), dtype=np.uint8)
    profile = tinted_printer(version)
    plain = device_to_lab_by_profile(codes / 255, profile)
    black = lab_to_xyz([14.0, 0, 0])
    aims = (lab_to_xyz(plain) - black) * WHITE_D50 / (WHITE_D50 - black)
    found = rgb_codes_to_lab(codes, profile, "relative", bpc=True)
    assert lab_to_xyz(found) == pytest.approx(aims, abs=5e-4)
    picture = pyvips_of(codes)
    shown = convert_image_rgb(with_profile(picture, profile), profile, "adobe-rgb").numpy()[0]
    again = device_to_lab_by_profile(shown / 255, working_space_profile("adobe-rgb"))
    inside = np.all((shown > 0) & (shown < 255), axis=1)
    assert inside.sum() > 300
    assert np.percentile(delta_e_2000(again, found)[inside], 95) < 1  # 8 bits


@pytest.mark.parametrize("intent", ["perceptual", "relative", "saturation"])
@pytest.mark.parametrize("name", ["tinted v2", "tinted v4", "cotton"])
def test_the_file_to_print_holds_what_the_proof_shows(name: str, intent: str) -> None:
    card, pixels = PRINTERS[name](), pixels_of("coffee.png")[:4000]
    numbers = OutputColour(card, "srgb", intent, True).of_picture(pyvips_of(pixels), SOURCE).numpy()[0]  # type: ignore[arg-type]
    printed = device_to_lab_by_profile(numbers / 255, card)
    proof = link_to_lab(SOURCE, ProfileDevice(card), intent, bpc=True).apply(pixels[None])[0]  # type: ignore[arg-type]
    strays = delta_e_2000(printed, proof)
    assert np.median(strays) < 0.3
    assert np.percentile(strays, 99) < 1.5  # 8 bits, and the library's own short cut for them


def test_a_picture_whose_profile_has_tables_is_printed_as_its_proof_shows() -> None:
    source, card = rgb_printer(2), cotton()  # a print's space serves as the picture's
    codes = np.random.default_rng(4).integers(0, 256, (3000, 3), dtype=np.uint8)
    assert not is_curves_alone(source)
    numbers = OutputColour(card, "srgb", "relative", True).of_picture(pyvips_of(codes), source).numpy()[0]
    proof = link_to_lab(source, ProfileDevice(card), "relative", bpc=True).apply(codes[None])[0]
    strays = delta_e_2000(device_to_lab_by_profile(numbers / 255, card), proof)
    assert np.median(strays) < 0.5
    assert np.percentile(strays, 95) < 1.5  # 8 bits twice


@pytest.mark.parametrize("space", ["srgb", "adobe-rgb"])
def test_compensation_laid_into_curves_is_compensation(space: SpaceName) -> None:
    profile = working_space_profile(space)
    assert is_curves_alone(profile)
    codes = np.random.default_rng(5).integers(0, 65536, (2000, 3)).astype(np.uint16)
    plain, mixed = (
        exact_lab(codes, [each, PCS_LAB], ["relative"] * 2, [False] * 2)
        for each in (profile, lifted(profile, 21.0, 0.0))
    )
    inside = np.abs(plain[:, 1:]).max(axis=1) < 120  # what 16 bits of CIELAB hold
    assert delta_e_2000(mixed, led_to_black(plain, 21.0))[inside].max() < 0.1


def pyvips_of(codes: np.ndarray) -> pyvips.Image:
    return pyvips.Image.new_from_array(codes[None]).copy(interpretation="srgb")
