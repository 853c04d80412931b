"""``tackside start`` as a process: its address holds the key, and a second one leads to the first."""

from __future__ import annotations

import os
import re
import signal
import subprocess
import sys
import urllib.request
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.parse import urljoin

import pytest

from tackside.cli.opening import clear, open_in_browser, with_key
from tackside.files.atomic import passing_folder

posix = pytest.mark.skipif(os.name != "posix", reason="signals, modes and the cache folder are POSIX")


def started(folder: Path, *options: str) -> subprocess.Popen[str]:
    called = [
        sys.executable,
        "-m",
        "tackside",
        "--bench",
        str(folder / "bench"),
        "start",
        "--no-browser",
        *options,
    ]
    environ = os.environ | {"XDG_CACHE_HOME": str(folder / "cache"), "OPENBLAS_NUM_THREADS": "1"}
    return subprocess.Popen(called, stderr=subprocess.PIPE, text=True, env=environ)


def address_of(program: subprocess.Popen[str]) -> str:
    assert program.stderr is not None
    found = re.search(r"http://\S+", program.stderr.readline())
    assert found is not None
    return found[0]


@posix
def test_its_address_alone_opens_it_and_a_second_start_leads_there(tmp_path: Path) -> None:
    with started(tmp_path) as first:
        try:
            address = address_of(first)
            assert "/open?key=" in address
            with urllib.request.urlopen(urljoin(address, "/"), timeout=60) as shut:
                assert "/enter" in shut.url
            browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
            browser.open(address, timeout=60).close()
            with browser.open(urljoin(address, "/stocks"), timeout=60) as inside:
                assert inside.url.endswith("/stocks")
            with started(tmp_path) as second:
                assert address_of(second) == address
                assert second.wait(timeout=60) == 0
            told = list((tmp_path / "cache" / "tackside").glob("open-*.txt"))
            assert [each.stat().st_mode & 0o077 for each in told] == [0]
        finally:
            first.send_signal(signal.SIGINT)
            first.wait(timeout=60)
    assert "key" not in told[0].read_text(encoding="utf-8")


@posix
def test_a_browser_is_never_called_with_the_key(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    opened: list[str] = []
    monkeypatch.setattr("webbrowser.open", opened.append)
    address = with_key("http://127.0.0.1:8372/", "a-key")
    clock = open_in_browser(address, tmp_path)
    [page] = tmp_path.iterdir()
    assert opened == [page.as_uri()]
    assert page.stat().st_mode & 0o077 == 0
    assert f'content="0; url={address}"' in page.read_text(encoding="utf-8")
    clear(clock)
    assert not page.exists()


@posix
def test_where_a_bench_cannot_be_written_to_the_page_lies_among_passing_files(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    opened: list[str] = []
    monkeypatch.setattr("webbrowser.open", opened.append)
    monkeypatch.setattr("tempfile.gettempdir", lambda: str(tmp_path))
    clock = open_in_browser("http://127.0.0.1/open?key=x", tmp_path / "not there")
    assert opened[0].startswith(tmp_path.as_uri())
    clear(clock)


@pytest.mark.parametrize(
    ("platform", "environ", "end"),
    [
        ("linux", {"XDG_CACHE_HOME": "/x"}, "x/tackside"),
        ("linux", {}, ".cache/tackside"),
        ("darwin", {}, "Library/Caches/tackside"),
        ("win32", {"LOCALAPPDATA": "C:/x"}, "x/tackside/Cache"),
    ],
)
def test_later_ones_look_where_a_system_keeps_passing_files(
    platform: str, environ: dict[str, str], end: str
) -> None:
    assert passing_folder(platform, environ).as_posix().endswith(end)
