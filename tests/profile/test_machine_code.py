"""The kept machine code of loops: the same numbers without numba, and never code that is damaged or another's."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from tackside.profile.icc import tetra
from tackside.profile.link import link_kernel
from tackside.profile.link.link import _NODE, _REST, CODES, WALK
from tackside.tasks import machine_code

pytestmark = pytest.mark.skipif(not machine_code._IS_TRIED, reason="tried on Linux, x86-64")
MODULE, NAME = "tackside.profile.link.link_kernel", "look_up_8"
RANDOM = np.random.default_rng(4)
TABLE = RANDOM.random((len(CODES) ** 3, 3), np.float32) * np.float32(255)
PIXELS = RANDOM.integers(0, 256, (5000, 3), np.uint8)


def given(out: np.ndarray) -> tuple[Any, ...]:
    return PIXELS, TABLE, _NODE, _REST, WALK, len(CODES), np.float32(0.5), out


@pytest.fixture(scope="module")
def cache(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cache")


@pytest.fixture(autouse=True)
def _own_cache(cache: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", str(cache))
    machine_code._loop.cache_clear()


@pytest.fixture
def kept(cache: Path) -> Path:
    """The code of one loop, made once and laid there whole before each test."""
    out = np.empty_like(PIXELS)
    found = machine_code._place(MODULE, NAME, tuple(map(machine_code._kind, given(out))))
    assert found is not None
    first = cache / "first"
    if not first.exists():
        machine_code.loop(MODULE, NAME, *given(out))
        first.write_bytes(found.read_bytes())
        machine_code._loop.cache_clear()
    machine_code._keep(found, first.read_bytes()[32:])
    return found


def taken() -> np.ndarray:
    out = np.empty_like(PIXELS)
    machine_code.loop(MODULE, NAME, *given(out))(*given(out))
    return out


def runs_by_numba() -> bool:
    return machine_code.loop(MODULE, NAME, *given(np.empty_like(PIXELS))) is link_kernel.look_up_8


def test_kept_code_gives_what_numba_gives(kept: Path) -> None:
    expected = np.empty_like(PIXELS)
    link_kernel.look_up_8(*given(expected))
    assert np.array_equal(taken(), expected)
    assert not runs_by_numba()


def test_a_later_process_loads_no_numba(kept: Path) -> None:
    program = (
        "import sys, numpy as np; from tackside.profile.link.link import CODES, Link; "
        "link = Link(np.zeros((len(CODES),) * 3 + (3,), np.float32), 'srgb'); "
        "link.apply(np.zeros((2, 2, 3), np.uint8)); print('numba' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "False"


@pytest.mark.parametrize("damage", ["cut", "changed", "empty", "gone", "no code"])
def test_damaged_code_is_not_loaded_and_made_again(
    kept: Path, damage: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    whole = kept.read_bytes()
    changed = bytes([whole[0] ^ 1]) + whole[1:]
    if damage == "gone":
        kept.unlink()
    elif damage == "no code":  # rightly sealed, and nothing that LLVM takes
        machine_code._keep(kept, b"no code at all")
    else:
        kept.write_bytes({"cut": whole[:-1], "changed": changed, "empty": b""}[damage])
    monkeypatch.setattr(machine_code, "_compiled", lambda *_: whole[32:])
    assert runs_by_numba()
    assert kept.read_bytes() == whole


def test_code_that_others_may_write_is_not_loaded(kept: Path) -> None:
    assert machine_code._kept(kept) is not None
    kept.chmod(0o666)
    assert machine_code._kept(kept) is None
    kept.chmod(0o600)
    kept.parent.chmod(0o777)
    assert machine_code._kept(kept) is None
    kept.parent.chmod(0o700)


def test_other_arguments_than_it_was_made_for_are_a_fault_of_the_caller(kept: Path) -> None:
    out = np.empty_like(PIXELS)
    call = machine_code.loop(MODULE, NAME, *given(out))
    with pytest.raises(TypeError, match="a loop for"):
        call(*given(out.astype(np.float32)))
    with pytest.raises(TypeError, match="contiguous"):
        call(PIXELS[::2], *given(out)[1:])


def test_a_loop_that_makes_arrays_has_no_code_of_its_own() -> None:
    like = (np.zeros((8, 3)), 2, np.zeros((1, 3)), np.zeros((1, 3)))
    assert machine_code._compiled(tetra._look_up, tuple(map(machine_code._kind, like))) is None


def test_only_so_many_are_kept(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(machine_code, "MOST_KEPT", 3)
    for number in range(5):
        place = kept.with_name(f"{number}.loop")
        machine_code._keep(place, b"code")
        os.utime(place, (number, number))
    machine_code._keep(kept.with_name("5.loop"), b"code")
    assert len(list(kept.parent.glob("*.loop"))) == 3
    assert kept.with_name("5.loop").exists()


def test_an_unwritable_cache_costs_time_alone(kept: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("XDG_CACHE_HOME", "/proc/none")
    monkeypatch.setattr(machine_code, "_compiled", lambda *_: b"code")
    assert runs_by_numba()
