"""Upscaling is told from the spectrum, on real photographs: enlarged ones are found, whole ones left in peace."""

from __future__ import annotations

import itertools
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageDraw, ImageFilter

from tackside.picture.check.check import check_picture
from tackside.picture.check.finding import PictureFinding
from tests.extent import share
from tests.picture.photographs import SHARP, enlarged, photograph

BICUBIC, LANCZOS, NEAREST = Image.Resampling.BICUBIC, Image.Resampling.LANCZOS, Image.Resampling.NEAREST
DETAIL = ("detail-missing", "pixels-repeated")


def on_detail(image: Image.Image, path: Path, **how: object) -> list[PictureFinding]:
    image.save(path, **how)  # type: ignore[arg-type]
    return [finding for finding in check_picture(path).findings if finding.id in DETAIL]


@pytest.mark.parametrize("name", SHARP)
@pytest.mark.parametrize("quality", [None, 90, 75])
def test_a_photograph_as_it_was_taken_is_left_in_peace(
    tmp_path: Path, name: str, quality: int | None
) -> None:
    how: dict[str, object] = {} if quality is None else {"quality": quality}
    assert on_detail(photograph(name), tmp_path / ("a.png" if quality is None else "a.jpg"), **how) == []


# Each photograph in half of the ways, the next in the other half.
WAYS = list(itertools.product((2, 3), (BICUBIC, LANCZOS), (None, 90)))


@pytest.mark.parametrize(
    ("name", "factor", "kernel", "quality"),
    [(name, *way) for number, name in enumerate(SHARP) for way in share(WAYS, 2, number)],
)
def test_an_enlarged_photograph_is_found_with_its_factor(
    tmp_path: Path, name: str, factor: int, kernel: Image.Resampling, quality: int | None
) -> None:
    """Enlarging adds nothing above the old Nyquist frequency, 1 ÷ factor of the new one (sampling theorem)."""
    how: dict[str, object] = {} if quality is None else {"quality": quality}
    image = enlarged(photograph(name), factor, kernel)
    (found,) = on_detail(image, tmp_path / ("a.png" if quality is None else "a.jpg"), **how)
    assert found.id == "detail-missing"
    assert found.figure is not None
    assert 0.75 / factor <= found.figure <= 1.25 / factor


@pytest.mark.parametrize("factor", [2, 3, 4])
def test_doubled_pixels_are_found_with_their_factor(tmp_path: Path, factor: int) -> None:
    (found,) = on_detail(enlarged(photograph("coffee.png"), factor, NEAREST), tmp_path / "a.png")
    assert found.id == "pixels-repeated"
    assert found.figure == pytest.approx(factor, rel=0.05)


def test_a_picture_out_of_focus_is_not_called_enlarged_for_sure(tmp_path: Path) -> None:
    blurred = photograph("motorcycle_left.png").filter(ImageFilter.GaussianBlur(1.5))
    (found,) = on_detail(blurred, tmp_path / "a.png")
    assert found.message.code == "picture.detail-missing"


def test_flat_artwork_is_not_taken_for_doubled_pixels(tmp_path: Path) -> None:
    drawing = Image.new("RGB", (600, 600), (250, 246, 235))
    draw = ImageDraw.Draw(drawing)
    for n in range(6):
        draw.ellipse((40 + 60 * n, 60 + 50 * n, 260 + 50 * n, 250 + 45 * n), fill=(30 * n, 90, 200 - 30 * n))
    assert not [each for each in on_detail(drawing, tmp_path / "a.png") if each.id == "pixels-repeated"]


def test_an_even_ground_tells_nothing(tmp_path: Path) -> None:
    assert on_detail(Image.new("RGB", (400, 400), (120, 130, 140)), tmp_path / "a.png") == []


def test_a_sharp_subject_before_a_blurred_ground_is_sharp(tmp_path: Path) -> None:
    """The sharpest quarter of the picture decides: a shallow depth of field is no fault."""
    whole = enlarged(photograph("motorcycle_left.png"), 1.5, LANCZOS).filter(ImageFilter.GaussianBlur(6))
    grass = photograph("grass.png")
    whole.paste(grass, (128, 128))
    assert on_detail(whole, tmp_path / "a.png") == []


def test_detail_is_the_same_at_16_bits(tmp_path: Path) -> None:
    import pyvips

    image = np.asarray(enlarged(photograph("chelsea.png"), 2, LANCZOS))
    pyvips.Image.new_from_array(image.astype(np.uint16) * 257).copy(interpretation="rgb16").pngsave(
        str(tmp_path / "a.png")
    )
    (found,) = [each for each in check_picture(tmp_path / "a.png").findings if each.id in DETAIL]
    assert found.figure == pytest.approx(0.5, abs=0.1)
