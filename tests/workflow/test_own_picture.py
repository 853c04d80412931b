"""A picture of one's own on the sheet: kept with the trial, and in the sheet's colours whenever it is drawn."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
import pyvips

from tackside.bench.store import Bench
from tackside.colour.spaces import ADOBE_RGB, SRGB
from tackside.errors import BadImage
from tackside.profile.icc.working_space import working_space_profile
from tackside.records import Feed, Margins, Printer, Stock
from tackside.sheet.blocks.scene import is_own
from tackside.workflow.sent_files import SentFile
from tackside.workflow.trials import draw_sheet, make_trial

NUMBERS = (140, 180, 90)  # inside sRGB, so that both spaces can hold it
STOCK = Stock(name="Harbour Satin 300", open_size_mm=(148, 210), coated="front")
PRINTER = Printer(
    name="Tern 8",
    grid_ppi=300,
    feeds=(
        Feed(
            name="rear",
            min_size_mm=(89, 127),
            max_size_mm=(329, 1000),
            margins_mm=Margins(top=3, bottom=5, left=3, right=3),
        ),
    ),
)


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    made = Bench.open(tmp_path / "bench")
    made.stocks.add(STOCK)
    made.printers.add(PRINTER)
    return made


@pytest.fixture
def picture(tmp_path: Path) -> SentFile:
    """Upright, one colour, and says that its numbers are of the wider space."""
    pixels = np.full((90, 60, 3), NUMBERS, np.uint8)
    image = pyvips.Image.new_from_memory(pixels.tobytes(), 60, 90, 3, "uchar").copy(interpretation="srgb")
    image.set_type(pyvips.GValue.blob_type, "icc-profile-data", working_space_profile("adobe-rgb"))
    image.pngsave(str(tmp_path / "kept-as-7.png"))
    return SentFile(tmp_path / "kept-as-7.png", "boats.png")


def test_it_is_brought_into_the_sheets_space_and_drawn_again_from_the_bench(
    bench: Bench, picture: SentFile, tmp_path: Path
) -> None:
    trial = make_trial(bench, STOCK.name, PRINTER.name, files=[tmp_path / "sheet.tif"], picture=picture).trial
    assert trial.own_picture is not None
    assert trial.own_picture.name == "boats.png"
    assert bench.trials.get(trial.id).own_picture == trial.own_picture
    picture.path.unlink()
    (place,) = (each.box_mm for each in trial.sheet.targets if is_own(each))
    (tmp_path / "again").mkdir()
    kept = draw_sheet(bench, trial.id, tmp_path / "again")
    linear = ADOBE_RGB.decode(np.array(NUMBERS) / 255) @ ADOBE_RGB.to_xyz_d50.T @ SRGB.from_xyz_d50.T
    for file in (tmp_path / "sheet.tif", bench.file(kept["tif"])):
        sheet = pyvips.Image.new_from_file(str(file))
        x, y = (round(each * 300 / 25.4) for each in place.centre)
        np.testing.assert_allclose(sheet.getpoint(x, y), SRGB.encode(linear) * 255, atol=1.5)
        # Upright in a place that lies: the whole height is used, and the card stays bare beside it.
        assert sheet.getpoint(round((place.x + 2) * 300 / 25.4), y) == [255, 255, 255]


def test_in_a_sheet_of_the_pictures_own_space_its_numbers_stay(
    bench: Bench, picture: SentFile, tmp_path: Path
) -> None:
    file = tmp_path / "wide.tif"
    made = make_trial(bench, STOCK.name, PRINTER.name, files=[file], space="adobe-rgb", picture=picture)
    (place,) = (each.box_mm for each in made.trial.sheet.targets if is_own(each))
    sheet = pyvips.Image.new_from_file(str(file))
    assert sheet.getpoint(*(round(each * 300 / 25.4) for each in place.centre)) == list(NUMBERS)


def test_what_is_no_picture_is_refused_by_its_own_name(bench: Bench, tmp_path: Path) -> None:
    (tmp_path / "kept-as-8").write_text("no picture")
    with pytest.raises(BadImage) as raised:
        make_trial(
            bench, STOCK.name, PRINTER.name, files=[tmp_path / "sheet.tif"],
            picture=SentFile(tmp_path / "kept-as-8", "boats.png"),
        )  # fmt: skip
    assert "boats.png" in str(raised.value)
    assert not (tmp_path / "sheet.tif").exists()
    assert not list(bench.trials.list())
