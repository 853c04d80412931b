"""Regressions for scanners: against scipy and a published table of terms, and what they must reach on the press."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.interpolate import RBFInterpolator

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import lab_to_xyz, xyz_to_lab
from tackside.press import kernels
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import Print
from tackside.press.printer.stock_model import StockModel, cotton_etching, matt_coated, semi_gloss
from tackside.press.scanner.scanner_model import ScannerModel, office
from tackside.profile.link.convert import rgb_to_lab_by_profile
from tackside.reading.scanners.choosing import choose
from tackside.reading.scanners.model import Recipe, apply, channels_of, fit, products

Floats = NDArray[np.float64]
CUBE = np.stack(np.meshgrid(*[np.linspace(0, 1, 5)] * 3), axis=-1).reshape(-1, 3)  # 125 patches
STRONG = replace(
    office(),
    space="adobe-rgb",
    tone=0.85,
    cross_talk=((0.80, 0.16, 0.04), (0.10, 0.78, 0.12), (0.03, 0.15, 0.82)),
)
GLOSSY_TOO = replace(
    semi_gloss(), name="another", paper_lab=(93.0, -0.5, 1.0), black_l=7.0, hold_c=0.93, hold_m=0.95, hold_g=0.92,
    tone_increase=0.16,
)  # fmt: skip


def flat_print(stock: StockModel) -> Print:
    return Print(np.zeros((1, 1, 3), np.float32), 300.0, (1.0, 1.0), stock, PrinterModel())


def scanned(xyz: Floats, scanner: ScannerModel, seed: int) -> Floats:
    """CIELAB by the scan's profile of flat patches: the press's own exposure, 400 pixels each, averaged in light."""
    rng = np.random.default_rng(seed)
    light = np.repeat(xyz[:, None, :], 400, axis=1).astype(np.float32)
    out = np.empty(light.shape, np.uint8 if scanner.bits == 8 else np.uint16)
    level, tone, gamma = (np.float32(value) for value in (scanner.noise, scanner.tone, scanner.gamma))
    noise = rng.standard_normal(light.shape, dtype=np.float32)
    kernels.expose(light, scanner.xyz_to_file.astype(np.float32), noise, level, tone, gamma, out)
    assert scanner.profile is not None
    lab = rgb_to_lab_by_profile(out.reshape(-1, 3) / np.iinfo(out.dtype).max, scanner.profile)
    return xyz_to_lab(lab_to_xyz(lab.reshape(len(xyz), 400, 3)).mean(axis=1))


def primaries(scanner: ScannerModel) -> Floats:
    assert scanner.profile is not None
    return lab_to_xyz(rgb_to_lab_by_profile(np.eye(3), scanner.profile)).T


@pytest.mark.parametrize("scanner", [office(), STRONG], ids=["office", "strong cross-talk"])
@pytest.mark.parametrize(
    ("stock", "other"),
    [(semi_gloss(), GLOSSY_TOO), (matt_coated(), cotton_etching())],
    ids=["glossy", "matt"],
)
def test_125_patches_characterise_a_scanner_for_its_surface(
    scanner: ScannerModel, stock: StockModel, other: StockModel
) -> None:
    # This project's own limits: docs/sources.md, S47.
    chosen = choose(
        scanned(flat_print(stock).xyz_of(CUBE), scanner, 1),
        flat_print(stock).lab_of(CUBE),
        primaries(scanner),
    )
    stated = max(float(np.sqrt(np.mean(chosen.held_out**2))), float(np.percentile(chosen.held_out, 95)) / 2)
    stated = float(np.hypot(stated, 0.3))
    held_out = np.random.default_rng(2).random((300, 3))
    for card, most in ((stock, 1.2), (other, 2.0)):
        print_ = flat_print(card)
        read = apply(chosen.model, scanned(print_.xyz_of(held_out), scanner, 3))
        off = delta_e_2000(read, print_.lab_of(held_out))
        assert np.median(off) <= most
        assert np.mean(off <= 2 * stated) >= 0.95
    raw = delta_e_2000(
        scanned(flat_print(stock).xyz_of(held_out), scanner, 3), flat_print(stock).lab_of(held_out)
    )
    assert np.median(raw) > 2.0  # without the model the scanner is plainly wrong: the test can fail


def test_the_terms_are_those_of_the_published_tables() -> None:
    rgb = np.array([[0.2, 0.5, 0.9]])
    r, g, b = rgb[0]
    # G. D. Finlayson, M. Mackiewicz, A. Hurlbert, IEEE Trans. Image Processing 24(5), 2015, table I, degrees 2 and 3
    # (docs/sources.md, S83): r, g, b, √rg, √gb, √rb; then ∛rg², ∛gb², ∛rb², ∛gr², ∛bg², ∛br², ∛rgb.
    second = [r, g, b, (r * g) ** 0.5, (g * b) ** 0.5, (r * b) ** 0.5]
    third = [
        *second,
        *((x * y * y) ** (1 / 3) for x, y in ((r, g), (g, b), (r, b), (g, r), (b, g), (b, r))),
        (r * g * b) ** (1 / 3),
    ]
    assert sorted(products(rgb, 2, rooted=True)[0]) == pytest.approx(sorted(second))
    assert sorted(products(rgb, 3, rooted=True)[0]) == pytest.approx(sorted(third))
    # G. Hong, M. R. Luo, P. A. Rhodes, Color Res. Appl. 26(1), 2001: nine terms of degree 2 beside the constant.
    full = [r, g, b, r * g, r * b, g * b, r * r, g * g, b * b]
    assert sorted(products(rgb, 2, rooted=False)[0]) == pytest.approx(sorted(full))


def test_a_root_polynomial_keeps_its_hue_when_the_light_changes() -> None:
    # The very claim of the paper: the terms scale with exposure.
    rgb = np.random.default_rng(1).random((20, 3))
    assert products(0.5 * rgb, 3, rooted=True) == pytest.approx(0.5 * products(rgb, 3, rooted=True))


def test_the_table_is_scipys_thin_plate_interpolant() -> None:
    rng = np.random.default_rng(6)
    scan_lab = np.column_stack([rng.uniform(20, 90, 60), rng.uniform(-40, 40, (60, 2))])
    true_lab = scan_lab + np.sin(scan_lab / 15)
    space = np.eye(3)
    model = fit(scan_lab, true_lab, space, Recipe("table", 1, 0.0))
    plain = fit(scan_lab, true_lab, space, Recipe("lab-polynomial", 1))
    at = np.cbrt(channels_of(scan_lab, space, (1, 1, 1)))
    theirs = RBFInterpolator(at, true_lab - apply(plain, scan_lab), kernel="linear", degree=0)
    new = scan_lab[:10] + 1.5
    expected = apply(plain, new) + theirs(np.cbrt(channels_of(new, space, (1, 1, 1))))
    assert apply(model, scan_lab) == pytest.approx(true_lab, abs=1e-6)
    assert apply(model, new) == pytest.approx(expected, abs=1e-4)


def test_a_straight_matrix_is_found_exactly() -> None:
    rng = np.random.default_rng(8)
    channels = rng.uniform(0.05, 1.0, (60, 3))
    mix = np.array([[0.42, 0.36, 0.18], [0.22, 0.72, 0.06], [0.02, 0.12, 0.68]])
    seen, true = xyz_to_lab(channels), xyz_to_lab(channels @ mix.T)
    model = fit(seen, true, np.eye(3), Recipe("polynomial", 1))
    # numpy's own least squares on the same linear problem.
    solved, *_ = np.linalg.lstsq(np.column_stack([np.ones(60), channels]), channels @ mix.T, rcond=None)
    assert np.array(model.terms) == pytest.approx(solved, abs=1e-6)
    assert delta_e_2000(apply(model, seen), true).max() < 1e-3
