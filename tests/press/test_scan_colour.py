"""What the scanner makes of colour: true where it is colorimetric, and wrong in the ways it is told to be."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import rgb_to_lab
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import Print, print_sheet
from tackside.press.printer.stock_model import semi_gloss
from tackside.press.scanner.scanner_model import ScannerModel, colorimetric, office
from tackside.press.scanner.scanning import Scan, scan
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import rgb_to_lab_by_profile

STEPS = np.round(np.linspace(0, 255, 4)).astype(np.uint8)
COLOURS = np.stack(np.meshgrid(STEPS, STEPS, STEPS, indexing="ij"), axis=-1).reshape(8, 8, 3)
PATCH_PX = 120  # 5.08 mm at 600 ppi


@pytest.fixture(scope="module")
def printed() -> Print:
    image = np.repeat(np.repeat(COLOURS, PATCH_PX, axis=0), PATCH_PX, axis=1)
    return print_sheet(image, 600, replace(semi_gloss(), mottle=0.0, grain=0.0), PrinterModel())


def patch_means(scanned: Scan) -> np.ndarray:
    """Mean of the middle of each patch as a share of full scale, (64, 3)."""
    full = np.iinfo(scanned.image.dtype).max
    means = []
    for row, column in np.ndindex(8, 8):
        middle = np.array([column + 0.5, row + 0.5, 1.0]) * [5.08, 5.08, 1.0]
        x, y = (int(place) for place in scanned.truth[0].sheet_to_px @ middle)
        means.append(scanned.image[y - 12 : y + 12, x - 12 : x + 12].reshape(-1, 3).mean(axis=0) / full)
    return np.array(means)


@pytest.mark.parametrize("tilt_deg", [0.0, -3.0])
def test_colorimetric_scan_gives_back_what_was_laid_down(printed: Print, tilt_deg: float) -> None:
    scanned = scan(printed, replace(colorimetric(), tilt_deg=tilt_deg, noise=0.0))
    read = rgb_to_lab(patch_means(scanned), scanned.scanner.rgb_space)
    assert delta_e_2000(read, printed.lab_of(COLOURS.reshape(-1, 3) / 255)).max() <= 0.2


def test_colorimetric_scan_is_true_through_its_embedded_profile_too(printed: Print) -> None:
    scanned = scan(printed, colorimetric())
    assert scanned.profile is not None
    read = rgb_to_lab_by_profile(patch_means(scanned), scanned.profile)
    miss = delta_e_2000(read, printed.lab_of(COLOURS.reshape(-1, 3) / 255))
    assert np.median(miss) <= 0.2
    assert miss.max() <= 0.5


def test_eight_bits_in_the_wide_space_are_nearly_as_true_where_it_holds_the_colour(printed: Print) -> None:
    scanned = scan(printed, replace(colorimetric(), space="adobe-rgb", bits=8))
    assert scanned.image.dtype == np.uint8
    assert scanned.profile == working_space_profile("adobe-rgb")
    means = patch_means(scanned)
    inside = np.all((means > 0.02) & (means < 0.98), axis=1)
    assert np.count_nonzero(inside) > 40
    read = rgb_to_lab(means, scanned.scanner.rgb_space)
    assert delta_e_2000(read, printed.lab_of(COLOURS.reshape(-1, 3) / 255))[inside].max() <= 0.3


def test_srgb_clips_the_richest_colours_and_the_scanners_own_space_none(printed: Print) -> None:
    own, narrow = (patch_means(scan(printed, replace(colorimetric(), space=s))) for s in ("scanner", "srgb"))
    assert own.min() > 0.02
    assert np.any(narrow < 1e-3)


def test_no_profile_is_embedded_where_none_is_wanted(printed: Print) -> None:
    assert scan(printed, replace(colorimetric(), embed=False, space="srgb")).profile is None


def test_everyday_scanner_bends_colour_but_keeps_grey_near_grey(printed: Print) -> None:
    scanned = scan(printed, office())
    read = rgb_to_lab(patch_means(scanned), scanned.scanner.rgb_space)
    truth = printed.lab_of(COLOURS.reshape(-1, 3) / 255)
    assert np.median(delta_e_2000(read, truth)) > 2
    grey = np.all(COLOURS.reshape(-1, 3) == COLOURS.reshape(-1, 3)[:, :1], axis=1)
    assert np.abs(read[grey, 1:] - truth[grey, 1:]).max() < 3


def test_rows_of_the_everyday_cross_talk_keep_white_white() -> None:
    assert np.sum(office().cross_talk, axis=1) == pytest.approx([1, 1, 1])


def test_noise_has_the_size_it_is_given(printed: Print) -> None:
    noisy, clean = (scan(printed, replace(colorimetric(), noise=level, blur_um=0.0)) for level in (0.01, 0.0))
    decode = noisy.scanner.rgb_space.decode
    x, y = (int(place) for place in noisy.truth[0].sheet_to_px @ [7.5 * 5.08, 7.5 * 5.08, 1.0])
    part = np.s_[y - 20 : y + 20, x - 20 : x + 20]
    light = decode(clean.image[part] / 65535)
    difference = decode(noisy.image[part] / 65535) - light
    assert np.std(difference) == pytest.approx(0.01 * np.sqrt(light.mean() + 0.002), rel=0.05)


def test_blur_widens_an_edge_as_a_gaussian_does() -> None:
    image = np.full((300, 600, 3), 255, np.uint8)
    image[:, :300] = 0
    stock = replace(semi_gloss(), mottle=0.0, grain=0.0, feather_um=0.0, spread_um=0.0)
    printed = print_sheet(image, 600, stock, PrinterModel(), at_ppi=600)
    spreads = []
    for blur_um in (0.0, 80.0):
        scanned = scan(printed, ScannerModel(ppi=600, noise=0.0, blur_um=blur_um))
        row = scanned.scanner.rgb_space.decode(scanned.image[scanned.image.shape[0] // 2, 220:660, 1] / 65535)
        slope = np.clip(np.diff(row), 0, None)
        places = np.arange(len(slope))
        spreads.append(np.average((places - np.average(places, weights=slope)) ** 2, weights=slope))
    widened_um = np.sqrt(spreads[1] - spreads[0]) * 25400 / 600
    assert widened_um == pytest.approx(80.0, rel=0.05)


def test_same_seeds_give_the_same_bytes_and_other_seeds_others(printed: Print) -> None:
    image = np.repeat(np.repeat(COLOURS, 30, axis=0), 30, axis=1)
    first, again = (print_sheet(image, 600, semi_gloss(), PrinterModel()) for _ in range(2))
    assert first.xyz.tobytes() == again.xyz.tobytes()
    assert scan(first, office()).image.tobytes() == scan(again, office()).image.tobytes()
    assert scan(first, office()).image.tobytes() != scan(first, replace(office(), seed=9)).image.tobytes()
    other = print_sheet(image, 600, replace(semi_gloss(), seed=9), PrinterModel())
    assert first.xyz.tobytes() != other.xyz.tobytes()
