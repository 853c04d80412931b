"""The nearest of many colours, held against SciPy's tree; and that a card is worked out without loading SciPy."""

from __future__ import annotations

import subprocess
import sys

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays
from scipy.spatial import KDTree

from tackside.profile.device.near import Near

COORDINATES = st.floats(-130, 130, width=32)


def distances(points: np.ndarray, places: np.ndarray, count: int) -> tuple[np.ndarray, np.ndarray]:
    """By ours and by SciPy's, (m, count) both."""
    numbers = Near.of(points).query(places, count)
    assert numbers.shape == (len(places), count)
    assert all(len(set(row)) == count for row in numbers.tolist())
    ours = np.linalg.norm(points[numbers] - places[:, None], axis=2)
    return ours, KDTree(points).query(places, k=range(1, count + 1))[0]


@pytest.mark.parametrize("count", [1, 12])
def test_the_nodes_of_a_printer_are_found_from_inside_and_from_far_beyond(count: int) -> None:
    rng = np.random.default_rng(4)
    device = np.stack(np.meshgrid(*[np.linspace(0, 1, 17)] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
    points = np.column_stack(
        [
            20 + 75 * device.mean(axis=1),
            70 * (device[:, 0] - device[:, 1]),
            60 * (device[:, 1] - device[:, 2]),
        ]
    )
    places = np.concatenate([rng.uniform([0, -128, -128], [100, 127, 127], (2000, 3)), points[::50]])
    ours, theirs = distances(points, places, count)
    assert ours == pytest.approx(theirs, abs=1e-9)


@settings(max_examples=150, deadline=None)
@given(
    points=st.integers(1, 60).flatmap(lambda count: arrays(np.float64, (count, 3), elements=COORDINATES)),
    places=arrays(np.float64, (5, 3), elements=st.floats(-400, 400, width=32)),
    count=st.integers(1, 12),
)
def test_any_points_are_searched_to_the_end(points: np.ndarray, places: np.ndarray, count: int) -> None:
    # All in one place, in a line, in a plane, and fewer than are asked for too.
    ours, theirs = distances(points, places, min(count, len(points)))
    assert ours == pytest.approx(theirs, rel=1e-9, abs=1e-9)


def test_a_card_is_worked_out_without_loading_scipy() -> None:
    # It takes a fifth of a second to load, in the first command on each card.
    program = """
import sys
import numpy as np
from tackside.profile.device.device_model import fit_device_model
device = np.stack(np.meshgrid(*[np.linspace(0, 1, 4)] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
red, green, blue = device.T
lab = np.column_stack([10 + 85 * device.mean(axis=1), 60 * (red - green), 50 * (green - blue)])
model = fit_device_model(device, lab)
model.from_lab(lab, "relative", True)
sys.exit("scipy" in sys.modules)
"""
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stderr
