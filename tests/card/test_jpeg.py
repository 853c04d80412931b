"""The JPEG: rows of blocks that stand for themselves, of which a run encodes only those that a card's words reach."""

from __future__ import annotations

import io
from pathlib import Path

import numpy as np
import pytest
import pyvips
from hypothesis import given, settings
from hypothesis import strategies as st
from PIL import Image

from tackside.card.file.design import Card, CardPicture, CardText
from tackside.card.make import make_card
from tackside.card.pixels import jpeg
from tackside.card.pixels.jpeg import save_jpeg
from tackside.card.pixels.raster import DrawnPart, FaceGround
from tackside.card.series.row_faults import ListRow, Rows
from tackside.card.series.series import make_series
from tackside.profile.icc.working_space import working_space_profile
from tests.card.designs import printer, stock, write_corners

PROFILE = working_space_profile("srgb")


def noisy(width: int, height: int, seed: int) -> np.ndarray:
    return np.random.default_rng(seed).integers(0, 256, (height, width, 3), dtype=np.uint8)


def saved(sheet: DrawnPart, path: Path) -> bytes:
    save_jpeg(sheet, PROFILE, path, 95)
    return path.read_bytes()


def image_of(pixels: np.ndarray) -> pyvips.Image:
    return pyvips.Image.new_from_array(pixels).copy(interpretation="srgb", xres=6, yres=6)


@settings(max_examples=60, deadline=None)
@given(
    size=st.tuples(st.integers(1, 70), st.integers(1, 150)),
    bands=st.lists(st.tuples(st.integers(0, 149), st.integers(1, 40)), max_size=5),
)
def test_what_is_encoded_in_part_is_as_if_all_of_it_were(
    tmp_path_factory: pytest.TempPathFactory, size: tuple[int, int], bands: list[tuple[int, int]]
) -> None:
    """Words at the head, at the foot, in rows that touch or overlap, or nowhere; more rows than there are markers."""
    path = tmp_path_factory.mktemp("sheet") / "sheet.jpg"
    width, height = size
    ground, card = noisy(width, height, 1), noisy(width, height, 1)
    changed = []
    for number, (first, count) in enumerate(bands):
        first = first % height
        past = min(first + count, height)
        card[first:past, : width // 2 + 1] = noisy(width // 2 + 1, past - first, 2 + number)
        changed.append((first, past))
    kept = FaceGround(image_of(ground))
    whole = saved(DrawnPart(image_of(card), None, ()), path)
    assert saved(DrawnPart(image_of(card), kept, tuple(changed)), path) == whole
    assert saved(DrawnPart(image_of(card), kept, tuple(changed)), path) == whole  # the ground as kept
    assert saved(DrawnPart(image_of(ground), kept, ()), path) == saved(
        DrawnPart(image_of(ground), None, ()), path
    )


def test_its_pixels_are_those_of_a_plain_jpeg(tmp_path: Path) -> None:
    """Beside libvips' own file without restart markers; decoded by Pillow."""
    pixels = noisy(333, 217, 3)
    ours = saved(DrawnPart(image_of(pixels), None, ()), tmp_path / "sheet.jpg")
    plain = image_of(pixels).jpegsave_buffer(Q=95, subsample_mode="off")
    decoded = [np.asarray(Image.open(io.BytesIO(data))) for data in (ours, plain)]
    np.testing.assert_array_equal(*decoded)
    with Image.open(io.BytesIO(ours)) as opened:
        assert opened.info["jfif_density"] == (152, 152)  # 6 pixels a mm, nearest
        assert opened.info["icc_profile"] == PROFILE


def test_a_run_encodes_its_ground_once_and_then_words_alone(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    heights: list[int] = []
    whole = jpeg._encoded

    def encoded(image: pyvips.Image, quality: int, keep: int) -> bytes:
        heights.append(image.height)
        return whole(image, quality, keep)

    monkeypatch.setattr(jpeg, "_encoded", encoded)
    monkeypatch.setattr("os.cpu_count", lambda: 1)
    write_corners(tmp_path)
    card = Card(
        stock="S",
        printer="P",
        pictures=(CardPicture(panel="front", file="corners.png"),),
        texts=(CardText(panel="back", text="For {name}", size_pt=12),),
        folder=tmp_path,
    )
    rows = Rows("guests.csv", ("name",), tuple(ListRow(n, n + 1, {"name": f"Guest {n}"}) for n in (1, 2, 3)))
    found = make_series(card, rows, stock(), printer(), tmp_path / "card.jpg")
    sheet, *words = heights
    assert sheet == round(297 / 25.4 * 150)
    assert len(words) == 3
    assert max(words) < 40  # of 12 points at 150 ppi: 25 pixels, and what is left of the blocks
    two = card.model_copy(update={"texts": (card.texts[0].model_copy(update={"text": "For Guest 2"}),)})
    alone = make_card(two, stock(), printer(), tmp_path / "alone.jpg")
    assert found[1].sheet.files["outside"].read_bytes() == alone.files["outside"].read_bytes()
