"""What reading a card works out is all that a choice asks of it."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms

from tackside.picture.choose import samples
from tackside.picture.choose.cards import CardReading
from tackside.picture.choose.choose import choose
from tackside.picture.choose.workshop import as_known
from tackside.picture.file.colours import Space, colours_of
from tackside.picture.proof.ways import PrintWay, ways_of
from tackside.picture.work_out import work_out
from tackside.press.printer.stock_model import semi_gloss
from tackside.profile.icc.working_space import working_space_profile
from tackside.records import PatchReading
from tests.picture.photographs import FOLDER
from tests.picture.test_choose import SRGB, read_card
from tests.profile.card_profiles import press_profile


def test_a_card_that_was_worked_out_is_not_worked_out_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    reading = read_card(semi_gloss()).reading
    assert work_out(reading, tmp_path)
    fresh = {
        way.variant: samples.sample_way(way, SRGB)
        for way in ways_of([(CardReading("", reading), True)], [])[0]
    }

    def never(way: PrintWay, space: object) -> object:
        raise AssertionError(f"{way.stock} is worked out again")

    monkeypatch.setattr(samples, "sample_way", never)
    ways, _ = ways_of([(CardReading("Harbour Satin 300", reading), True)], [])
    found = choose([FOLDER / "coffee.png"], ways, cache=tmp_path)
    assert {each.way.stock for each in found.ranking} == {"Harbour Satin 300"}
    for number, way in enumerate(found.table(SRGB).ways):
        np.testing.assert_array_equal(found.table(SRGB).printed[number], fresh[way.variant])


def test_a_reading_that_no_card_can_be_made_of_is_left_alone(tmp_path: Path) -> None:
    reading = read_card(semi_gloss()).reading
    few = reading.model_copy(update={"patches": reading.patches[:20]})
    no_numbers = reading.model_copy(update={"patches": (PatchReading(name="a", rgb=None, lab=(50, 0, 0)),)})
    assert not work_out(few, tmp_path)
    assert not work_out(no_numbers, tmp_path)
    assert not list(tmp_path.iterdir())


def test_another_makers_profile_of_a_known_space_is_that_space(tmp_path: Path) -> None:
    """sRGB as LittleCMS makes it (by Pillow), not as we do."""
    Image.new("RGB", (9, 9), (200, 30, 30)).save(
        tmp_path / "a.png", icc_profile=ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    )
    theirs = colours_of(tmp_path / "a.png").space
    assert theirs != SRGB
    assert as_known(theirs) == SRGB
    # A printer profile stands for any other space.
    odd = Space(press_profile(semi_gloss()))
    assert as_known(odd) == odd
    assert as_known(Space(working_space_profile("adobe-rgb"))) != SRGB
