"""Camera numbers to CIELAB by a print whose colours are known."""

from __future__ import annotations

import numpy as np

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import Floats, lab_to_xyz, xyz_to_lab
from tackside.reading.photo.colour import fit_colours

# A camera that mixes what the eye keeps apart, and bends it a little.
MIXES = np.array([[1.6, -0.4, -0.1], [-0.2, 1.4, -0.15], [0.05, -0.2, 1.3]])


def _prints(seed: int, count: int) -> tuple[Floats, Floats]:
    rng = np.random.default_rng(seed)
    lab = np.column_stack([rng.uniform(12, 94, count), rng.uniform(-45, 45, (count, 2))])
    xyz = lab_to_xyz(lab)
    numbers = np.maximum(xyz @ MIXES.T, 1e-3)
    return numbers * (1.0 + 0.05 * np.tanh(3.0 * (numbers[:, :1] - numbers[:, 1:2]))), lab


def test_colours_left_out_tell_how_well_others_are_read() -> None:
    known, known_lab = _prints(1, 200)
    fitted = fit_colours(known, known_lab)
    other, lab = _prints(2, 200)
    off = delta_e_2000(fitted.lab(other), lab)
    assert np.median(off) < 1.0
    assert 0.5 < np.sqrt(np.mean(off**2)) / np.sqrt(np.mean(fitted.held_out**2)) < 1.6


def test_more_terms_are_taken_only_where_they_read_colours_left_out_better() -> None:
    lab = _prints(3, 200)[1]
    plain = fit_colours(np.maximum(lab_to_xyz(lab) @ MIXES.T, 1e-3), lab)
    assert np.median(plain.held_out) < 0.1
    few = fit_colours(lab_to_xyz(lab[:12]), lab[:12])
    assert few.degree == 1
    assert few.left is None


def test_ratios_hold_at_any_exposure() -> None:
    """Root-polynomials scale with the light (Finlayson, Mackiewicz and Hurlbert 2015, section III)."""
    known, lab = _prints(4, 150)
    fitted = fit_colours(known, lab)
    bare = fitted.matrix[:-1]  # without the constant, which stands for light from the surface
    from tackside.reading.photo.colour import _terms

    once = _terms(known, fitted.degree)[:, :-1] @ bare
    twice = _terms(2.0 * known, fitted.degree)[:, :-1] @ bare
    assert np.abs(twice - 2.0 * once).max() < 1e-9
    assert np.isfinite(xyz_to_lab(np.maximum(once, 1e-4))).all()
