"""Files that are copied into the bench while they are read."""

from __future__ import annotations

import hashlib
from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.errors import NotFound, StorageTrouble


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench.open(tmp_path / "bench")


def files_of(bench: Bench) -> list[str]:
    return sorted(each.name for each in (bench.folder / "files").rglob("*") if each.is_file())


def test_what_is_kept_is_what_was_hashed(bench: Bench, tmp_path: Path) -> None:
    scan = tmp_path / "scan.tif"
    scan.write_bytes(b"as it was read")
    with bench.arriving_files() as arriving:
        sha256 = arriving.sha256_of(scan)
        scan.write_bytes(b"changed meanwhile")
        assert arriving.keep(scan, "her scan.tif") == sha256
    assert sha256 == hashlib.sha256(b"as it was read").hexdigest()
    assert bench.file(sha256).read_bytes() == b"as it was read"
    assert bench.file_name(sha256) == "her scan.tif"
    assert files_of(bench) == [sha256]


def test_what_is_not_kept_is_gone(bench: Bench, tmp_path: Path) -> None:
    scan = tmp_path / "scan.tif"
    scan.write_bytes(b"refused")

    def refuse() -> None:
        with bench.arriving_files() as arriving:
            arriving.sha256_of(scan)
            arriving.sha256_of(scan)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        refuse()
    assert files_of(bench) == []
    with pytest.raises(NotFound):
        bench.file(hashlib.sha256(b"refused").hexdigest())


def test_what_was_not_read_by_it_is_kept_all_the_same(bench: Bench, tmp_path: Path) -> None:
    data = tmp_path / "chart.txt"
    data.write_bytes(b"CGATS")
    with bench.arriving_files() as arriving:
        sha256 = arriving.keep(data, "chart.txt")
    assert bench.file(sha256).read_bytes() == b"CGATS"


def test_a_file_that_is_gone_is_said_and_nothing_left(bench: Bench, tmp_path: Path) -> None:
    with bench.arriving_files() as arriving, pytest.raises(StorageTrouble):
        arriving.sha256_of(tmp_path / "none.tif")
    assert not (bench.folder / "files").exists() or files_of(bench) == []
