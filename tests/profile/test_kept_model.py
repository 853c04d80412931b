"""A card's model whose prints are kept: the same numbers, without fitting it anew."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

from tackside.errors import BadRequest
from tackside.profile.device import kept_model
from tackside.profile.device.device import relative_lab, relative_print
from tackside.profile.device.device_model import DeviceModel, fit_device_model
from tackside.profile.device.kept_model import KeptModel
from tests.refusals import refused

STEPS = np.linspace(0, 1, 4)
NUMBERS = np.stack(np.meshgrid(STEPS, STEPS, STEPS, indexing="ij"), axis=-1).reshape(-1, 3)
LAB = NUMBERS @ np.array([[30.0, 40, 25], [45, -45, 35], [8, 12, -55]]) + [10.3, 1.7, 2.1]
COLOURS = np.random.default_rng(3).uniform([0, -60, -60], [100, 60, 60], (300, 3))


@pytest.fixture
def fits(monkeypatch: pytest.MonkeyPatch) -> list[int]:
    """How often a model was fitted."""
    counted: list[int] = []

    def fit(*given: np.ndarray) -> DeviceModel:
        counted.append(1)
        return fit_device_model(*given)

    monkeypatch.setattr(kept_model, "fit_device_model", fit)
    return counted


def test_a_second_proof_fits_nothing_and_shows_the_same(tmp_path: Path, fits: list[int]) -> None:
    plain = fit_device_model(NUMBERS, LAB)
    expected = relative_lab(plain, plain.from_lab(COLOURS, "relative", True)).astype(np.float32)
    for times in (1, 1):
        model = KeptModel(NUMBERS, LAB, tmp_path)
        assert np.array_equal(relative_print(model, COLOURS, "relative", bpc=True), expected)
        assert model.white_lab == pytest.approx(plain.white_lab, abs=1e-12)
        assert model.black_lab == pytest.approx(plain.black_lab, abs=1e-12)
        assert model.channels == 3
        assert len(fits) == times


def test_other_colours_ways_and_cards_are_kept_apart(tmp_path: Path) -> None:
    model = KeptModel(NUMBERS, LAB, tmp_path)
    ways = [("relative", True), ("relative", False), ("absolute", False)]
    prints = [relative_print(model, COLOURS, intent, bpc=bpc) for intent, bpc in ways]  # type: ignore[arg-type]
    prints.append(relative_print(model, COLOURS[::-1], "relative", bpc=True))
    prints.append(relative_print(KeptModel(NUMBERS, LAB + 1, tmp_path), COLOURS, "relative", bpc=True))
    assert len({each.tobytes() for each in prints}) == len(prints) == len(list(tmp_path.iterdir()))


@pytest.mark.parametrize(
    "damage", [lambda data: data[:-1], lambda data: data[:200] + b"?" + data[201:], lambda _: b""]
)
def test_damaged_prints_are_worked_out_again(tmp_path: Path, fits: list[int], damage: object) -> None:
    first = relative_print(KeptModel(NUMBERS, LAB, tmp_path), COLOURS, "relative", bpc=True)
    (file,) = tmp_path.iterdir()
    whole = file.read_bytes()
    file.write_bytes(damage(whole))  # type: ignore[operator]
    again = relative_print(KeptModel(NUMBERS, LAB, tmp_path), COLOURS, "relative", bpc=True)
    assert np.array_equal(first, again)
    assert len(fits) == 2
    assert file.read_bytes() == whole


def test_a_folder_that_takes_nothing_costs_time_alone(tmp_path: Path, fits: list[int]) -> None:
    (tmp_path / "file").touch()
    model = KeptModel(NUMBERS, LAB, tmp_path / "file" / "prints")
    assert relative_print(model, COLOURS, "relative", bpc=True).shape == COLOURS.shape
    assert model.to_lab([[1, 1, 1]])[0] == pytest.approx(model.white_lab)
    assert len(fits) == 1


def test_a_reading_that_makes_no_model_is_refused_once_it_is_asked(tmp_path: Path) -> None:
    model = KeptModel(NUMBERS[:9], LAB[:9], tmp_path)
    with refused(BadRequest, "profile.too-few-patches"):
        _ = model.white_lab
    assert not list(tmp_path.iterdir())
