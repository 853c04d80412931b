"""Photographs that cannot be read cost one line each; those that can are read in the known print's terms."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageOps

from tackside.colour.difference import delta_e_2000
from tackside.errors import BadScan
from tackside.workflow.judge import judge_print
from tackside.workflow.photo.read import look_at_photo, read_photo
from tackside.workflow.sent_files import SentFile
from tests.reading.photo import prints

pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def pair(tmp_path_factory: pytest.TempPathFactory) -> prints.Prints:
    return prints.laid_out(tmp_path_factory.mktemp("phone"), ink=0.8)


def _refused(pair: prints.Prints, path: Path, **named: str) -> str:
    look = look_at_photo(pair.bench, SentFile.at(path), **named)  # type: ignore[arg-type]
    assert not look.is_ready
    with pytest.raises(BadScan) as caught:
        read_photo(pair.bench, SentFile.at(path), **named)  # type: ignore[arg-type]
    assert caught.value.message.code == look.faults[0].message.code
    assert all(
        0.0 <= each <= 1.0
        for fault in look.faults
        for area in fault.areas
        for point in area
        for each in point
    )
    return look.faults[0].message.code


def test_a_print_beside_a_known_one_is_read_and_judged(pair: prints.Prints, tmp_path: Path) -> None:
    path = prints.photograph(tmp_path / "pair.jpg", [pair.new, pair.known])
    found = read_photo(pair.bench, SentFile.at(path))
    (reading,) = found.readings
    assert (reading.trial, reading.beside, reading.kind) == (pair.new.trial.id, pair.known.trial.id, "photo")
    truth = {patch.name: patch.lab for patch in pair.truth.patches}
    off = delta_e_2000(
        np.array([patch.lab for patch in reading.patches]),
        np.array([truth[patch.name] for patch in reading.patches]),
    )
    assert np.median(off) <= 1.5
    judged = judge_print(pair.bench, pair.new.trial.id)
    assert judged.verdict.against == pair.known.trial.id
    assert judged.verdict.estimate
    assert not {"line_gain", "size_error"} & set(judged.verdict.measures)


def test_a_reduced_picture_says_the_same_before_it_is_sent(pair: prints.Prints, tmp_path: Path) -> None:
    path = prints.photograph(tmp_path / "pair.jpg", [pair.known, pair.new])
    with Image.open(path) as image:
        image.resize((1400, 1050)).save(tmp_path / "small.jpg", quality=85)
        full = image.width
    look = look_at_photo(pair.bench, SentFile.at(tmp_path / "small.jpg"), full_width=full)
    assert look.is_ready
    assert (look.trial, look.beside) == (pair.new.trial.id, pair.known.trial.id)


def test_one_sheet_alone(pair: prints.Prints, tmp_path: Path) -> None:
    assert _refused(pair, prints.photograph(tmp_path / "one.jpg", [pair.new])) == "photo.one-sheet"


def test_two_prints_of_one_trial(pair: prints.Prints, tmp_path: Path) -> None:
    assert _refused(pair, prints.photograph(tmp_path / "twice.jpg", [pair.new, pair.new])) == "photo.twice"


def test_mirrored(pair: prints.Prints, tmp_path: Path) -> None:
    path = prints.photograph(tmp_path / "pair.jpg", [pair.new, pair.known])
    with Image.open(path) as image:
        ImageOps.mirror(image).save(tmp_path / "mirrored.jpg", quality=92)
    assert _refused(pair, tmp_path / "mirrored.jpg") == "photo.mirrored"


def test_half_in_shadow(pair: prints.Prints, tmp_path: Path) -> None:
    def shadow(scene: Any, places: Any) -> Any:
        return scene * np.where(places[..., 1:] > 0.0, 0.45, 1.0).astype(np.float32)

    path = prints.photograph(tmp_path / "half.jpg", [pair.new, pair.known], over=shadow)
    assert _refused(pair, path) in ("photo.shadow", "photo.one-lamp", "photo.glare")


def test_at_night_under_one_lamp(pair: prints.Prints, tmp_path: Path) -> None:
    def lamp(scene: Any, places: Any) -> Any:
        # A lamp 250 mm above one corner: the inverse square of the way, and the cosine.
        way = (places[..., :1] + 150.0) ** 2 + (places[..., 1:] + 100.0) ** 2 + 250.0**2
        return scene * ((250.0**2 / way) ** 1.5).astype(np.float32)

    path = prints.photograph(tmp_path / "lamp.jpg", [pair.new, pair.known], over=lamp)
    assert _refused(pair, path) == "photo.one-lamp"


def test_a_bent_sheet(pair: prints.Prints, tmp_path: Path) -> None:
    def bent(places: Any) -> Any:
        bow = 4.0 * (places[..., 1:] / 100.0) ** 2  # seen from the side, a sheet that curls up at both ends
        return np.concatenate([places[..., :1] + bow, places[..., 1:]], axis=-1).astype(np.float32)

    path = prints.photograph(tmp_path / "bent.jpg", [pair.new, pair.known], bent=bent)
    assert _refused(pair, path) == "photo.bent"


def test_fingers_over_marks(pair: prints.Prints, tmp_path: Path) -> None:
    path = prints.photograph(tmp_path / "pair.jpg", [pair.new, pair.known])
    with Image.open(path) as image:
        pixels = np.array(image)
    look = look_at_photo(pair.bench, SentFile.at(path))
    (left, top), _, _, (_, bottom) = next(sheet.outline for sheet in look.sheets if sheet.is_new)
    height, width = pixels.shape[:2]
    reach = int(0.05 * width)
    x = int(left * width)
    pixels[
        max(int(top * height) - reach, 0) : int(bottom * height) + reach, max(x - reach, 0) : x + reach
    ] = (190, 140, 120)
    Image.fromarray(pixels).save(tmp_path / "fingers.jpg", quality=92)
    assert _refused(pair, tmp_path / "fingers.jpg") == "photo.marks-covered"


def test_two_prints_that_were_both_read(pair: prints.Prints, tmp_path: Path) -> None:
    bench = prints.laid_out(tmp_path, ink=1.0)
    bench.bench.readings.add(bench.truth.model_copy(update={"trial": bench.new.trial.id}))
    path = prints.photograph(tmp_path / "pair.jpg", [bench.new, bench.known])
    assert _refused(bench, path) == "photo.no-new-print"
    assert read_photo(bench.bench, SentFile.at(path), trial=bench.new.trial.id).beside == bench.known.trial.id


def test_where_nothing_is_known_the_two_are_compared_with_each_other_alone(tmp_path: Path) -> None:
    both = prints.laid_out(tmp_path, ink=0.8, is_known=False)
    path = prints.photograph(tmp_path / "pair.jpg", [both.new, both.known])
    one, other = read_photo(both.bench, SentFile.at(path), trial=both.new.trial.id).readings
    assert one.is_read_like(other)
    assert {flaw.code for flaw in one.flaws} == {"photo.relative-only"}


def test_a_photograph_of_a_screen(pair: prints.Prints, tmp_path: Path) -> None:
    def on_a_screen(scene: Any, places: Any) -> Any:
        # Stripes of red, green and blue, each a third of 0.27 mm, which the picture's pixels see too coarsely.
        phase = places[..., :1] / 0.27 + np.array([0.0, 1.0, 2.0]) / 3.0
        return (scene * (0.7 + 0.3 * np.cos(2.0 * np.pi * phase))).astype(np.float32)

    path = prints.photograph(tmp_path / "screen.jpg", [pair.new, pair.known], over=on_a_screen)
    assert _refused(pair, path) == "photo.screen"


@pytest.mark.parametrize(
    ("shot", "code"),
    [
        (replace(prints.PLAIN, blur_px=2.2), "photo.blurred"),
        (replace(prints.PLAIN, fills=0.45), "photo.too-small"),
        (replace(prints.PLAIN, fills=1.15), "photo.cut-off"),
    ],
)
def test_blurred_too_small_and_cut_off(
    pair: prints.Prints, tmp_path: Path, shot: prints.Shot, code: str
) -> None:
    """Codes cannot be read then: the person has named the trials."""
    path = prints.photograph(tmp_path / "shot.jpg", [pair.new, pair.known], shot)
    assert _refused(pair, path, trial=pair.new.trial.id, beside=pair.known.trial.id) == code
