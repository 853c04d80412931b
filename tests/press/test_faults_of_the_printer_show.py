"""Each fault that the virtual printer can have shows the symptom that docs/sources.md, S50, names for it."""

from __future__ import annotations

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import ADOBE_RGB, SRGB, lab_to_lch, rgb_to_xyz_d50, xyz_d50_to_rgb, xyz_to_lab
from tackside.press.printer.driver import rgb_to_xyz
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.stock_model import matt_coated, semi_gloss

STOCK = semi_gloss()
GREYS = np.repeat(np.linspace(0, 1, 11)[:, np.newaxis], 3, axis=1)
SOLIDS = np.array([[0, 1, 1], [1, 0, 1], [1, 1, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]], dtype=float)
MUTED = np.array([[0.7, 0.4, 0.4], [0.4, 0.6, 0.4], [0.4, 0.4, 0.7], [0.7, 0.6, 0.4], [0.4, 0.6, 0.7]])


def lab(rgb: np.ndarray, printer: PrinterModel) -> np.ndarray:
    return xyz_to_lab(rgb_to_xyz(rgb, STOCK, printer))


def test_wide_numbers_read_as_srgb_come_out_dull_with_right_greys() -> None:
    wide = xyz_d50_to_rgb(rgb_to_xyz_d50(MUTED, SRGB), ADOBE_RGB)
    meant, got = lab(MUTED, PrinterModel()), lab(wide, PrinterModel(reads_as="srgb"))
    # Both spaces share the blue primary, so blue loses little; each hue loses some, and the mean tells.
    kept = lab_to_lch(got)[:, 1] / lab_to_lch(meant)[:, 1]
    assert np.all(kept < 1)
    assert np.mean(kept) < 0.9
    grey = xyz_d50_to_rgb(rgb_to_xyz_d50(GREYS, SRGB), ADOBE_RGB)
    assert delta_e_2000(lab(grey, PrinterModel()), lab(GREYS, PrinterModel())).max() < 3


def test_wide_numbers_read_as_wide_come_out_as_srgb_ones_would() -> None:
    wide = xyz_d50_to_rgb(rgb_to_xyz_d50(MUTED, SRGB), ADOBE_RGB)
    assert np.allclose(lab(wide, PrinterModel(reads_as="adobe-rgb")), lab(MUTED, PrinterModel()), atol=0.01)


def test_srgb_numbers_read_as_wide_come_out_vivid() -> None:
    meant, got = lab(MUTED, PrinterModel()), lab(MUTED, PrinterModel(reads_as="adobe-rgb"))
    # Green is all but the same hue in both spaces, so it gains little; the mean tells.
    assert np.mean(lab_to_lch(got)[:, 1] / lab_to_lch(meant)[:, 1]) > 1.1
    assert np.abs(lab(GREYS, PrinterModel(reads_as="adobe-rgb"))[:, 1:]).max() < 4


def test_managing_twice_casts_the_greys_and_leaves_the_solids() -> None:
    once, twice = PrinterModel(), PrinterModel(managed="twice")
    assert delta_e_2000(lab(SOLIDS, once), lab(SOLIDS, twice)).max() < 1e-6
    cast = lab(GREYS, twice)[:, 1:] - lab(GREYS, once)[:, 1:]
    assert np.hypot(cast[:, 0], cast[:, 1]).max() > 4


def test_managing_nowhere_casts_the_greys_the_other_way() -> None:
    once, twice, never = (lab(GREYS, PrinterModel(managed=by)) for by in ("once", "twice", "nobody"))
    a, b = (twice - once)[3:8, 1:], (never - once)[3:8, 1:]
    assert np.all(np.sum(a * b, axis=1) < 0)


def test_too_little_ink_lifts_the_black_and_too_much_closes_the_shadows() -> None:
    right, less, more = (lab(GREYS, PrinterModel(ink=ink)) for ink in (1.0, 0.7, 1.3))
    assert less[0, 0] > right[0, 0] + 8
    assert more[2, 0] - more[0, 0] < 0.5 * (right[2, 0] - right[0, 0])


def test_a_missing_ink_leaves_its_hue_out_and_the_others_alone() -> None:
    whole, lacking = PrinterModel(), PrinterModel(missing=("m",))
    assert delta_e_2000(lab(SOLIDS[1:2], lacking), lab(np.ones((1, 3)), whole)).max() < 1e-6
    assert delta_e_2000(lab(SOLIDS[[0, 2]], lacking), lab(SOLIDS[[0, 2]], whole)).max() < 1e-6


def test_a_setting_made_for_another_card_shifts_the_tones() -> None:
    own, other = lab(GREYS, PrinterModel()), lab(GREYS, PrinterModel(media=matt_coated()))
    assert delta_e_2000(own, other).max() > 2
