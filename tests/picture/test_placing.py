"""Parts of pictures brought to size: exact sizes, the right part, real photographs unharmed."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import skimage.data
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tackside.picture.file.open import open_picture
from tackside.picture.file.place import pixels_for
from tackside.units import Box

# Photographs inside scikit-image's wheel: chelsea and coffee (CC0), retina (public domain), per its
# docstrings.
PHOTOGRAPHS = Path(skimage.data.__file__).parent


@pytest.fixture(scope="module")
def slope(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A picture whose red grows with x and whose green grows with y."""
    y, x = np.mgrid[0:200, 0:250]
    path = tmp_path_factory.mktemp("slope") / "slope.png"
    Image.fromarray(np.dstack([x, y, np.zeros_like(x)]).astype(np.uint8)).save(path)
    return path


@settings(max_examples=60, deadline=None)
@given(
    st.floats(0, 120),
    st.floats(0, 90),
    st.floats(20, 130),
    st.floats(20, 110),
    st.integers(5, 400),
    st.integers(5, 400),
)
def test_the_part_asked_for_is_the_part_that_comes(
    slope: Path, x: float, y: float, w: float, h: float, out_w: int, out_h: int
) -> None:
    part = Box(x, y, w, h)
    found = pixels_for(open_picture(slope), part, (out_w, out_h), "srgb").astype(float)
    assert found.shape == (out_h, out_w, 3)
    # The middle of the result shows the middle of the part: within half a pixel of the result, and rounding.
    middle = found[(out_h - 1) // 2 : out_h // 2 + 1, (out_w - 1) // 2 : out_w // 2 + 1].mean(axis=(0, 1))
    assert middle[0] == pytest.approx(x + w / 2 - 0.5, abs=0.5 * w / out_w + 1.0)
    assert middle[1] == pytest.approx(y + h / 2 - 0.5, abs=0.5 * h / out_h + 1.0)


@pytest.mark.parametrize("name", ["chelsea.png", "coffee.png", "retina.jpg"])
def test_reducing_a_photograph_agrees_with_pillow(name: str) -> None:
    """Against Pillow's Lanczos of three lobes, another implementation of the same kernel."""
    path = PHOTOGRAPHS / name
    size = (150, 100)
    picture = open_picture(path)
    found = pixels_for(picture, Box(0, 0, *picture.size_px), size, "srgb").astype(float)
    reference = np.asarray(
        Image.open(path).convert("RGB").resize(size, Image.Resampling.LANCZOS), dtype=float
    )
    assert np.abs(found - reference).mean() < 1.5
    assert np.abs(found.mean(axis=(0, 1)) - reference.mean(axis=(0, 1))).max() < 0.7


def test_a_photograph_at_its_own_size_is_not_touched() -> None:
    picture = open_picture(PHOTOGRAPHS / "coffee.png")
    found = pixels_for(picture, Box(100, 50, 300, 200), (300, 200), "srgb")
    original = np.asarray(Image.open(PHOTOGRAPHS / "coffee.png").convert("RGB"))
    np.testing.assert_array_equal(found, original[50:250, 100:400])
