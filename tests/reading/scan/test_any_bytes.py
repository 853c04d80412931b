"""Whatever becomes of a file's bytes, it is read or refused in plain words; nothing else escapes."""

from __future__ import annotations

import random
from pathlib import Path
from typing import Any

import pytest

from tackside.errors import TacksideError
from tackside.reading.files import read_files
from tackside.records import Reading
from tests.extent import drawn
from tests.reading.scan.scans import TRIAL, lay, save
from tests.sheet import sheets

PLAN = sheets.plan("small")
KINDS: dict[str, dict[str, Any]] = {
    "lzw.tif": {"compression": "lzw"},
    "bare.tif": {},
    "tiled.tif": {"tile": True, "compression": "deflate"},
    "scan.png": {},
    "scan.jpg": {"Q": 85},
}


@pytest.fixture(scope="module")
def whole(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    folder, pixels = tmp_path_factory.mktemp("scans"), lay("small", ppi=150, tilt_deg=2, margin_mm=2).pixels
    return {name: save(pixels, folder / name, ppi=150, **how).read_bytes() for name, how in KINDS.items()}


def spoilt(data: bytes, chance: random.Random) -> bytes:
    """Cut short, or with some bytes changed anywhere, at the head or at the tail, where the tables are."""
    if chance.random() < 0.3:
        return data[: chance.randrange(len(data))]
    start, end = chance.choice([(0, len(data)), (0, 600), (len(data) - 600, len(data))])
    changed = bytearray(data)
    for _ in range(chance.choice([1, 3, 12])):
        changed[chance.randrange(start, end)] = chance.randrange(256)
    return bytes(changed)


@pytest.mark.parametrize("times", [8, pytest.param(drawn(24, 60), marks=pytest.mark.slow)])
@pytest.mark.parametrize("kind", KINDS)
def test_spoilt_bytes_are_read_or_refused(
    kind: str, times: int, whole: dict[str, bytes], tmp_path: Path
) -> None:
    chance = random.Random(kind)
    path = tmp_path / kind
    said: list[str] = []
    for _ in range(times):
        path.write_bytes(spoilt(whole[kind], chance))
        try:
            assert isinstance(read_files([path], PLAN, trial=TRIAL), Reading)
        except TacksideError as error:
            said.append(str(error))
    assert all("\n" not in one and ";" in one for one in said)
    assert said  # those cut short, at the least


@pytest.mark.parametrize("kind", KINDS)
def test_a_file_cut_short_is_never_filled_up(kind: str, whole: dict[str, bytes], tmp_path: Path) -> None:
    path = tmp_path / kind
    for share in (0.3, 0.6, 0.9):
        path.write_bytes(whole[kind][: int(share * len(whole[kind]))])
        with pytest.raises(TacksideError):
            read_files([path], PLAN, trial=TRIAL)
