"""A bench is its owner's, on a machine that others use too."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tackside.bench.location import DATABASE, PAGE_SECRET, PAGE_SESSIONS, PASSING, POINTER, keep_private
from tackside.bench.repositories import scanners, second_sides, used_scanners
from tackside.bench.store import Bench
from tackside.fit.mail.post_file import USERS_FILE

pytestmark = pytest.mark.skipif(os.name != "posix", reason="modes of files are POSIX")


def mode(path: Path) -> int:
    return path.stat().st_mode & 0o7777


def test_a_new_bench_is_open_to_nobody_else(tmp_path: Path) -> None:
    Bench.open(tmp_path / "bench")
    assert mode(tmp_path / "bench") == 0o700
    assert mode(tmp_path / "bench" / DATABASE) == 0o600


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (0o755, 0o700),
        (0o750, 0o700),
        (0o700, 0o700),
        (0o500, 0o500),
        (0o775, 0o770),  # a group works in it
        (0o770, 0o770),
        (0o2755, 0o2750),  # a group reads it: what comes in goes to the group
        (0o2770, 0o2770),
    ],
)
def test_one_from_before_is_shut_when_it_is_opened_and_a_groups_stays_the_groups(
    tmp_path: Path, before: int, after: int
) -> None:
    folder = tmp_path / "bench"
    Bench.open(folder)
    (folder / DATABASE).chmod(before & 0o666)
    folder.chmod(before)
    keep_private(folder)
    assert mode(folder) == after
    assert mode(folder / DATABASE) == after & 0o666
    folder.chmod(0o700)


def test_a_folder_that_holds_other_things_is_not_shut_and_what_is_the_benchs_is(tmp_path: Path) -> None:
    """Somebody's home, or the root of a disk, given for a bench by whoever may change it."""
    (tmp_path / "letters").mkdir()
    tmp_path.chmod(0o755)
    bench = Bench.open(tmp_path)
    (tmp_path / "scan.tif").write_bytes(b"a scan")
    bench.keep_file(tmp_path / "scan.tif", "scan.tif")
    (tmp_path / "files").chmod(0o755)
    Bench.open(tmp_path)
    assert mode(tmp_path) == 0o755
    assert mode(tmp_path / "letters") & 0o055
    assert mode(tmp_path / DATABASE) == 0o600
    assert mode(tmp_path / "files") == 0o700


def test_a_bench_that_was_worked_with_is_shut_with_all_that_the_program_keeps_in_it(tmp_path: Path) -> None:
    folder = tmp_path / "bench"
    Bench.open(folder)
    for name in (*PASSING, scanners.FOLDER, used_scanners.FOLDER):
        (folder / name).mkdir(parents=True, exist_ok=True)
    for name in (PAGE_SECRET, PAGE_SESSIONS, second_sides.FILE, USERS_FILE):
        (folder / name).touch()
    folder.chmod(0o755)
    Bench.open(folder)
    assert mode(folder) == 0o700


def test_one_whose_records_lie_in_a_database_elsewhere_stays_as_it_is(tmp_path: Path) -> None:
    (tmp_path / POINTER).touch()
    tmp_path.chmod(0o777)
    keep_private(tmp_path)
    assert mode(tmp_path) == 0o777


def test_what_is_not_there_is_left_alone(tmp_path: Path) -> None:
    keep_private(tmp_path / "nowhere")
