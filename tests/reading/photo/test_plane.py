"""Planes in perspective behind one lens."""

from __future__ import annotations

import cv2
import numpy as np

from tackside.reading.photo.plane import Lens, fit_together, plane_through


def _seen(mm: np.ndarray, tilt_deg: float, shift: tuple[float, float], k1: float, k2: float) -> np.ndarray:
    """By OpenCV's camera model (its documentation of ``projectPoints``), which this project's own does not use."""
    flat = np.column_stack([mm - (150.0, 105.0), np.zeros(len(mm))]) + np.array([*shift, 0.0])
    turn = np.array([np.radians(tilt_deg), np.radians(tilt_deg / 2), 0.1])
    camera = np.array([[3200.0, 0.0, 1500.0], [0.0, 3200.0, 1000.0], [0.0, 0.0, 1.0]])
    px, _ = cv2.projectPoints(flat, turn, np.array([0.0, 0.0, 450.0]), camera, np.array([k1, k2, 0.0, 0.0]))
    return np.asarray(px.reshape(-1, 2))


def _grid(width: float, height: float, count: int) -> np.ndarray:
    x, y = np.meshgrid(np.linspace(5, width - 5, count), np.linspace(5, height - 5, count))
    return np.column_stack([x.ravel(), y.ravel()])


def test_two_sheets_behind_one_bent_lens_are_mapped_to_a_fraction_of_a_pixel() -> None:
    rng = np.random.default_rng(1)
    marks, all_over = _grid(148, 210, 3), _grid(148, 210, 12)
    shifts = ((0.0, 0.0), (155.0, 3.0))
    seen = [_seen(marks, 15.0, shift, -0.08, 0.05) + rng.normal(0, 0.05, (9, 2)) for shift in shifts]
    starts = [plane_through(marks, px) for px in seen]
    maps, lens = fit_together(
        [(marks, px) for px in seen], [each for each in starts if each is not None], Lens.straight(3000, 2000)
    )
    assert lens.k1 < 0
    for one, start, shift in zip(maps, starts, shifts, strict=True):
        assert start is not None
        truth = _seen(all_over, 15.0, shift, -0.08, 0.05)
        off = np.hypot(*(one.to_px(all_over) - truth).T)
        straight = np.column_stack([all_over, np.ones(len(all_over))]) @ start.T
        without = np.hypot(*(straight[:, :2] / straight[:, 2:] - truth).T)
        assert off.max() < 0.6
        assert off.max() < 0.5 * without.max()  # the lens is worth its two numbers


def test_the_local_scale_is_that_of_the_map() -> None:
    marks = _grid(148, 210, 3)
    matrix = plane_through(marks, marks * 6.0 + 40.0)
    assert matrix is not None
    (one,), _ = fit_together([(marks, marks * 6.0 + 40.0)], [matrix], Lens.straight(2000, 1500))
    assert abs(one.px_per_mm((70.0, 100.0)) - 6.0) < 1e-3
