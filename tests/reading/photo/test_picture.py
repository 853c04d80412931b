"""Photographs are looked at as they are meant to be held."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageOps

from tackside.reading.photo.picture import open_photo


@pytest.mark.parametrize("said", range(1, 9))
def test_exif_s_orientation_is_followed(tmp_path: Path, said: int) -> None:
    """Held as Pillow holds it (``ImageOps.exif_transpose``); the tag is CIPA DC-008's."""
    rng = np.random.default_rng(said)
    stored = Image.fromarray(rng.integers(0, 255, (240, 320, 3), dtype=np.uint8))
    exif = Image.Exif()
    exif[274] = said
    path = tmp_path / "shot.png"
    stored.save(path, exif=exif)
    with Image.open(path) as image:
        held = np.asarray(ImageOps.exif_transpose(image))
    assert np.array_equal(open_photo(path).pixels, held)
