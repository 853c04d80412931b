"""A bench where nothing can be written is listed; what would write is refused in words."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tackside.bench.database import storage
from tackside.bench.location import place_of
from tackside.bench.store import Bench
from tackside.bench.transfer.backup import back_up
from tackside.errors import StorageTrouble
from tests.bench import invented
from tests.refusals import refused


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A bench whose folder says that it cannot be written, as it does on a disk that is mounted so."""
    place = tmp_path / "a bench? #1"
    Bench.open(place).stocks.add(invented.stock())
    asked = os.access
    monkeypatch.setattr(os, "access", lambda path, mode: Path(path) != place and asked(path, mode))
    return place


def test_it_is_listed_and_left_as_it_was(folder: Path) -> None:
    before = {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()}
    bench = Bench.open(folder, create=False)
    assert [stock.name for stock in bench.stocks.list()] == ["Harbour Satin 300"]
    assert bench.catalogue.standing() == {}
    assert {path: path.read_bytes() for path in folder.rglob("*") if path.is_file()} == before


def test_writing_is_refused_in_words(folder: Path) -> None:
    with refused(StorageTrouble, "database.read-only"):
        Bench.open(folder).printers.add(invented.printer())


def test_a_bench_on_a_full_disk_is_listed_and_says_so(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    place = tmp_path / "bench"
    Bench.open(place).stocks.add(invented.stock())
    monkeypatch.setattr(storage, "is_full", lambda folder: folder == place)
    bench = Bench.open(place, create=False)
    assert [stock.name for stock in bench.stocks.list()] == ["Harbour Satin 300"]
    assert back_up(place_of(place), tmp_path / "out.zip").lacks == ()
    with refused(StorageTrouble, "database.full"):
        bench.printers.add(invented.printer())


def test_room_on_the_disk_is_asked_of_the_system(tmp_path: Path) -> None:
    assert not storage.is_full(tmp_path)
    assert not storage.is_full(tmp_path / "not there")
