"""Whatever a path is (a pipe, a device, a folder, a name that can't be): one line with the fix, and no waiting."""

from __future__ import annotations

import itertools
import sys
from pathlib import Path

import pytest

from tests.cli import odd_paths
from tests.cli.odd_paths import CALLS, ODD, WORDS, call, furnish, places_and_paths, taken
from tests.extent import share

# Every place meets those that a reader could wait for or read without end; of the others each place meets two.
ALWAYS = ("pipe", "zero")
TURNS = ("long", "nul", "loop", "folder", "undecodable", "through a file", "root", "null", "very long")


@pytest.fixture(scope="module")
def world(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("world")
    furnish(folder)
    return folder


@pytest.fixture(scope="module")
def odd(world: Path) -> dict[str, str]:
    return odd_paths.odd_paths(world / "odd")


def test_every_place_that_takes_a_path_is_tried() -> None:
    assert set(CALLS) - WORDS == taken()


def told(place: tuple[str, str], path: str) -> str | None:
    return call(tuple(path if word == ODD else word for word in CALLS[place])).fault()


@pytest.mark.skipif(sys.platform != "linux", reason="pipes, devices and names of this kind are Linux's")
@pytest.mark.parametrize(
    ("place", "names"),
    [
        (place, (*ALWAYS, *itertools.islice(itertools.cycle(TURNS), 2 * at, 2 * at + 2)))
        for at, place in enumerate(CALLS)
    ],
    ids=[" ".join(each).strip() for each in CALLS],
)
def test_an_odd_path_costs_one_line(
    place: tuple[str, str],
    names: tuple[str, ...],
    world: Path,
    odd: dict[str, str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.chdir(world)
    monkeypatch.setenv("HOME", str(world / "home"))
    monkeypatch.setenv("TACKSIDE_BENCH", str(world / "bench"))
    faults = {name: told(place, odd[name]) for name in names if (place, name) in places_and_paths(names)}
    assert {name: fault for name, fault in faults.items() if fault} == {}


@pytest.mark.slow
@pytest.mark.skipif(sys.platform != "linux", reason="pipes, devices and names of this kind are Linux's")
def test_every_odd_path_in_every_place(
    world: Path, odd: dict[str, str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(world)
    monkeypatch.setenv("HOME", str(world / "home"))
    monkeypatch.setenv("TACKSIDE_BENCH", str(world / "bench"))
    every = share(places_and_paths(odd), 5)
    faults = {(*place, name): fault for place, name in every if (fault := told(place, odd[name]))}
    assert faults == {}
    left = [
        each
        for each in world.rglob("*")
        if each.name.startswith((".tackside-", "tackside-")) or ".part-" in each.name
    ]
    assert left == []
