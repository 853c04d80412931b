"""What no print gives is refused; what a print gives is not."""

from __future__ import annotations

from pathlib import Path

import pytest
import pyvips

from tackside.errors import BadRequest, BadScan
from tackside.profile.icc.working_space import working_space_profile
from tackside.reading.files import require_plausible
from tackside.reading.scan.read import read_scan
from tackside.records import Reading
from tackside.sheet.render import render
from tackside.sheet.write import write_tiff
from tests.reading.scan import prints

PLAN = prints.planned()


@pytest.fixture(scope="module")
def scan(tmp_path_factory: pytest.TempPathFactory) -> Reading:
    path = tmp_path_factory.mktemp("scan") / "scan.tif"
    return read_scan(prints.scanned(path, prints.printed()), PLAN)


def test_the_sheets_own_file_is_no_scan_however_it_was_saved(tmp_path: Path) -> None:
    own = tmp_path / "own.tif"
    write_tiff(PLAN, render(PLAN), own)
    small = pyvips.Image.new_from_file(str(own)).resize(0.417)
    small.jpegsave(str(tmp_path / "small.jpg"), Q=75)
    other = small.copy()
    other.set_type(pyvips.GValue.blob_type, "icc-profile-data", working_space_profile("adobe-rgb"))
    other.tiffsave(str(tmp_path / "other.tif"))
    for name in ("own.tif", "small.jpg", "other.tif"):
        with pytest.raises(BadScan) as refused:
            require_plausible(read_scan(tmp_path / name, PLAN))
        assert refused.value.message.code == "reading.own-file"


def changed(reading: Reading, **changes: object) -> Reading:
    """The reading with its first patch so changed."""
    first, *rest = reading.patches
    return reading.model_copy(update={"patches": (first.model_copy(update=changes), *rest)})


def still(reading: Reading) -> Reading:
    return reading.model_copy(
        update={"patches": tuple(patch.model_copy(update={"sd": 0.0}) for patch in reading.patches)}
    )


def test_a_print_is_let_through_and_impossible_ones_are_not(scan: Reading) -> None:
    measured = scan.model_copy(update={"kind": "instrument"})
    require_plausible(scan)
    require_plausible(measured)
    black, white = changed(scan, lab=(0.9, 0.0, 0.0)), changed(scan, lab=(100.6, 0.0, -9.0))
    for reading, code in ((black, "too-black"), (white, "too-white"), (still(scan), "no-noise")):
        with pytest.raises(BadScan) as refused:
            require_plausible(reading)
        assert refused.value.message.code == f"reading.{code}"
    with pytest.raises(BadRequest) as refused_file:
        require_plausible(still(measured))
    assert refused_file.value.message.code == "reading.repeats-alike"
    require_plausible(changed(scan, lab=(1.1, 0.0, 0.0)))
    require_plausible(changed(measured, lab=(100.4, 0.0, -12.0)))
    require_plausible(changed(measured, lab=(0.9, 0.0, 0.0)).model_copy(update={"condition": "M3"}))
