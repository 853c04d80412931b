"""A JPEG reduced by its own blocks while it is decoded: the colours are those of the whole picture."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import pyvips
from PIL import Image
from skimage import data

from tackside.errors import BadImage
from tackside.picture.file.colours import LEAST_PX, REDUCED_PX, Colours, colours_of, count, reduced
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import with_profile
from tests.profile.small_profiles import cmyk_profile


def saved(folder: Path, width: int, height: int, name: str = "harbour.jpg") -> Path:
    tile = np.asarray(data.coffee())
    rows, columns = -(-height // tile.shape[0]), -(-width // tile.shape[1])
    pixels = np.tile(tile, (rows, columns, 1))[:height, :width].copy()
    image = with_profile(pyvips.Image.new_from_array(pixels), working_space_profile("srgb"))
    image.write_to_file(str(folder / name), **({"Q": 92} if name.endswith("jpg") else {}))
    return folder / name


@pytest.mark.parametrize(
    ("size", "block"),
    [((6000, 800), 8), ((3840, 500), 8), ((3839, 500), 4), ((700, 1920), 4), ((960, 640), 2), ((900, 600), None),
     ((10_400, 300), None)],
)  # fmt: skip
def test_a_jpeg_comes_down_by_whole_blocks_and_not_too_far(
    tmp_path: Path, size: tuple[int, int], block: int | None
) -> None:
    pixels, space = reduced(saved(tmp_path, *size))
    longest = max(pixels.shape[:2])
    if block is None:
        assert longest == REDUCED_PX
    else:
        assert pixels.shape[:2] == pytest.approx(np.array(size[::-1]) / block, rel=0, abs=1)
        assert LEAST_PX <= longest <= 2 * REDUCED_PX
    assert space.profile == working_space_profile("srgb")


def spread(colours: Colours) -> np.ndarray:
    """Mean and standard deviation of each channel, in levels of 255."""
    cells = np.stack([colours.cells >> 10, colours.cells >> 5 & 31, colours.cells & 31], axis=1) * 8 + 3.5
    mean = colours.weights @ cells
    return np.concatenate([mean, np.sqrt(colours.weights @ (cells - mean) ** 2)])


def test_the_colours_are_those_of_means_of_blocks(tmp_path: Path) -> None:
    path = saved(tmp_path, 4800, 3200)
    whole = np.asarray(pyvips.Image.new_from_file(str(path)).numpy(), dtype=np.float64)
    means = whole.reshape(400, 8, 600, 8, 3).mean(axis=(1, 3))
    pixels, space = reduced(path)
    # Within a block the decoder's rounding, and what lies beyond 0 and 255 before it is cut off.
    assert np.abs(pixels - means).mean() < 1
    assert spread(colours_of(path)) == pytest.approx(
        spread(count(np.rint(means).astype(np.uint8), space)), abs=0.5
    )


def test_the_same_picture_as_png_has_nearly_the_same_colours(tmp_path: Path) -> None:
    one, other = saved(tmp_path, 4800, 3200), saved(tmp_path, 4800, 3200, "harbour.png")
    assert spread(colours_of(one)) == pytest.approx(spread(colours_of(other)), abs=2)


def test_grey_and_cmyk_jpegs_come_down_the_same_way(tmp_path: Path) -> None:
    wide = pyvips.Image.new_from_file(str(saved(tmp_path, 4000, 800)))
    wide.colourspace("b-w").jpegsave(str(tmp_path / "grey.jpg"))
    pixels, _ = reduced(tmp_path / "grey.jpg")
    assert pixels.shape == (100, 500, 3)
    assert np.ptp(pixels.astype(int), axis=2).max() <= 1
    inks = Image.open(tmp_path / "harbour.jpg").convert("CMYK")
    inks.save(tmp_path / "inks.jpg", quality=95, icc_profile=cmyk_profile())
    inks.save(tmp_path / "inks.tif", icc_profile=cmyk_profile())
    pixels, space = reduced(tmp_path / "inks.jpg")
    assert pixels.shape == (100, 500, 3)
    assert space.profile == working_space_profile("srgb")
    for within in (None, 90):  # a TIFF of inks was refused
        theirs, space = reduced(tmp_path / "inks.tif", within)
        assert theirs.shape[:2] == ((128, 640) if within is None else (18, 90))
        assert theirs.mean(axis=(0, 1)) == pytest.approx(pixels.mean(axis=(0, 1)), abs=4)
        assert space.profile == working_space_profile("srgb")


def test_a_jpeg_cut_short_is_refused(tmp_path: Path) -> None:
    whole = saved(tmp_path, 4800, 3200).read_bytes()
    (tmp_path / "cut.jpg").write_bytes(whole[: len(whole) // 2])
    with pytest.raises(BadImage):
        reduced(tmp_path / "cut.jpg")
