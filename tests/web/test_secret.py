"""The secret of form tokens: a page outlives the program that served it."""

from __future__ import annotations

import os
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tackside.bench.location import PAGE_SECRET
from tackside.bench.store import Bench
from tackside.bench.transfer.sidecar_files import is_safe, small_files
from tackside.web.app import create_app
from tackside.web.safety.secret import LENGTH, secret_of
from tackside.web.workbench import Options
from tests.web.workshop import ORIGIN, TestClient, token_in

STOCK = {"name": "Eider Pearl 260", "width": "210", "height": "297", "units": "mm"}


def test_a_form_that_was_open_is_taken_after_the_program_was_started_again(bench: Bench) -> None:
    before = TestClient(create_app(bench.folder, Options(keep_jobs=False)), base_url=ORIGIN)
    token = token_in(before.get("/describe/stock").text)
    again = TestClient(
        create_app(bench.folder, Options(keep_jobs=False)), base_url=ORIGIN, cookies=before.cookies
    )
    assert again.post("/describe/stock", data={**STOCK, "csrf": token}).status_code == 200
    assert bench.stocks.get("Eider Pearl 260").open_size_mm == (210, 297)


def test_a_form_of_another_bench_is_refused(bench: Bench, tmp_path: Path) -> None:
    other = TestClient(create_app(tmp_path / "other", Options(keep_jobs=False)), base_url=ORIGIN)
    token = token_in(other.get("/describe/stock").text)
    mine = TestClient(
        create_app(bench.folder, Options(keep_jobs=False)), base_url=ORIGIN, cookies=other.cookies
    )
    assert mine.post("/describe/stock", data={**STOCK, "csrf": token}).status_code == 403


@pytest.mark.skipif(os.name != "posix", reason="modes of files are POSIX")
def test_its_owner_alone_may_read_it_and_one_that_others_could_read_is_replaced(tmp_path: Path) -> None:
    first = secret_of(tmp_path)
    assert (tmp_path / PAGE_SECRET).stat().st_mode & 0o777 == 0o600
    assert secret_of(tmp_path) == first
    (tmp_path / PAGE_SECRET).chmod(0o644)
    second = secret_of(tmp_path)
    assert second != first
    assert (tmp_path / PAGE_SECRET).stat().st_mode & 0o777 == 0o600


def test_one_that_broke_off_is_replaced(tmp_path: Path) -> None:
    (tmp_path / PAGE_SECRET).touch(0o600)
    found = secret_of(tmp_path)
    assert len(found) == LENGTH
    assert (tmp_path / PAGE_SECRET).read_bytes() == found


def test_programs_that_begin_at_once_share_one(tmp_path: Path) -> None:
    with ThreadPoolExecutor(8) as pool:
        found = set(pool.map(secret_of, [tmp_path] * 32))
    assert found == {(tmp_path / PAGE_SECRET).read_bytes()}
    assert [each.name for each in tmp_path.iterdir()] == [PAGE_SECRET]


def test_it_stays_out_of_backups_and_none_comes_with_one(tmp_path: Path) -> None:
    secret_of(tmp_path)
    (tmp_path / "scanner.toml").write_text("")
    assert list(small_files(tmp_path)) == ["scanner.toml"]
    assert not is_safe(PAGE_SECRET)
