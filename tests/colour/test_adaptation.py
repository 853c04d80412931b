"""Bradford adaptation against published matrices and the reference library."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tackside.colour.spaces import adapt, bradford_matrix
from tests.colour.library import colour

# ASTM E308 whites, 2° observer.
D65 = (0.95047, 1.0, 1.08883)
D50 = (0.96422, 1.0, 0.82521)
A = (1.09850, 1.0, 0.35585)

whites = st.tuples(st.floats(0.7, 1.2), st.just(1.0), st.floats(0.3, 1.3))


def test_d65_to_d50_is_the_published_matrix() -> None:
    # The Bradford matrix for ASTM E308 whites that colour handbooks print to seven places
    # (docs/sources.md, S69).
    published = [
        [1.0478112, 0.0228866, -0.0501270],
        [0.0295424, 0.9904844, -0.0170491],
        [-0.0092345, 0.0150436, 0.7521316],
    ]
    assert bradford_matrix(D65, D50) == pytest.approx(np.array(published), abs=1e-6)


@pytest.mark.parametrize(("source", "destination"), [(D65, D50), (A, D50), (D50, A)])
def test_adaptation_agrees_with_the_reference_library(
    source: tuple[float, ...], destination: tuple[float, ...]
) -> None:
    # colour-science, chromatic_adaptation by Von Kries with the Bradford transform
    xyz = np.random.default_rng(3).random((100, 3))
    expected = colour.chromatic_adaptation(
        xyz, np.array(source), np.array(destination), method="Von Kries", transform="Bradford"
    )
    assert adapt(xyz, source, destination) == pytest.approx(expected, abs=1e-9)


@given(whites, whites)
def test_a_white_becomes_the_other_white(source: tuple[float, ...], destination: tuple[float, ...]) -> None:
    assert adapt(source, source, destination) == pytest.approx(np.array(destination), abs=1e-9)


@given(whites, whites, st.tuples(st.floats(0, 1), st.floats(0, 1), st.floats(0, 1)))
def test_adaptation_there_and_back_changes_nothing(
    source: tuple[float, ...], destination: tuple[float, ...], xyz: tuple[float, ...]
) -> None:
    back = adapt(adapt(xyz, source, destination), destination, source)
    assert back == pytest.approx(np.array(xyz), abs=1e-9)
