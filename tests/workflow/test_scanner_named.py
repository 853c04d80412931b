"""A scanner that was named once is known again by what its files say."""

from __future__ import annotations

import shutil
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tackside.bench.store import Bench
from tackside.records import Reading
from tackside.workflow.read import read_print
from tackside.workflow.sent_files import SentFile
from tackside.workflow.standing.withdraw import withdraw_reading
from tests.cli.test_read import call, scanned, trial

__all__ = ["call", "trial"]  # fixtures


def tagged(scan: Path, model: str | None) -> Path:
    """A copy of the scan that names its scanner."""
    to = scan.with_name(f"{model}.png")
    if to.exists():
        return to
    if model is None:
        shutil.copy(scan, to)
        return to
    tags = Image.Exif()
    tags[271], tags[272] = "Invented Makers", model
    with Image.open(scan) as picture:
        picture.save(to, exif=tags, dpi=(300, 300), compress_level=1)
    return to


def believable(scan: Path) -> Path:
    """The scan of a duller print, with a scanner's noise."""
    with Image.open(scan) as picture:
        exact = np.asarray(picture.convert("RGB"), dtype=float)
    noise = np.random.default_rng(5).normal(0.0, 1.5, exact.shape)
    to = scan.with_name("believable.png")
    seen = np.clip(40.0 + 0.8 * exact + noise, 0, 255).astype(np.uint8)
    Image.fromarray(seen).save(to, dpi=(300, 300), compress_level=1)
    return to


def read(bench: Bench, trial_id: str, scan: Path, device: str | None = None) -> Reading:
    return read_print(bench, trial_id, [SentFile.at(scan)], device=device)


@pytest.mark.parametrize("model", ["F1", None])
def test_a_scan_whose_file_says_the_same_as_one_that_was_named_takes_its_name(
    call: object, trial: str, tmp_path: Path, model: str | None
) -> None:
    bench = Bench.open(tmp_path / "bench", create=False)
    scan = believable(scanned(tmp_path))
    first = read(bench, trial, tagged(scan, model))
    assert first.device is None
    named = read(bench, trial, tagged(scan, model), "my flatbed")
    again = read(bench, trial, tagged(scan, model))
    assert again.device == "my flatbed"
    assert again.uncertainty.comparable_with == named.uncertainty.comparable_with
    assert "scan.scanner-remembered" in [notice.code for notice in again.notices]
    assert "scan.scanner-remembered" not in [notice.code for notice in named.notices]
    other = read(bench, trial, tagged(scan, "F2"))
    assert other.device is None
    # A person's later word stands.
    read(bench, trial, tagged(scan, model), "the other flatbed")
    assert read(bench, trial, tagged(scan, model)).device == "the other flatbed"


def test_a_name_goes_with_the_reading_that_it_was_given_to(call: object, trial: str, tmp_path: Path) -> None:
    bench = Bench.open(tmp_path / "bench", create=False)
    scan = tagged(believable(scanned(tmp_path)), "F1")
    read(bench, trial, scan, "my flatbed")
    other = read(bench, trial, scan, "not this one")
    assert read(bench, trial, scan).device == "not this one"
    assert other.id is not None
    withdraw_reading(bench, other.id)
    # What the program went on by itself is no person's word: the name before it stands.
    assert read(bench, trial, scan).device == "my flatbed"
    withdraw_reading(bench, other.id, back=True)
    assert read(bench, trial, scan).device == "not this one"


def test_a_name_kept_before_readings_were_noted_with_it_stands(
    call: object, trial: str, tmp_path: Path
) -> None:
    bench = Bench.open(tmp_path / "bench", create=False)
    scan = tagged(believable(scanned(tmp_path)), "F1")
    named = read(bench, trial, scan, "my flatbed")
    (place,) = (bench.folder / "scanners" / "named").iterdir()
    place.write_text("an old name", "utf-8")
    assert read(bench, trial, scan).device == "an old name"
    assert named.id is not None
    withdraw_reading(bench, named.id)
    assert read(bench, trial, scan).device == "an old name"
