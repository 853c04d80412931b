"""The workbench as a double click opens it."""

from __future__ import annotations

import html
import os
import re
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator
from http.cookiejar import CookieJar
from pathlib import Path
from urllib.parse import unquote, urljoin, urlsplit

import pytest

from tackside.bench.location import DATABASE
from tackside.cli.without_terminal import trouble
from tackside.cli.without_terminal.only_one import OnlyOne
from tackside.cli.without_terminal.places import bench_of_documents
from tackside.cli.without_terminal.unpacked import forget_older
from tackside.messages.message import Message

PROGRAM = (
    "import sys; from pathlib import Path; from tackside.cli.without_terminal.open import open_workbench; "
    "sys.exit(open_workbench(sys.argv[1], Path(sys.argv[2])))"
)


def test_the_bench_lies_in_the_documents(tmp_path: Path) -> None:
    assert bench_of_documents(tmp_path / "Dokumente", tmp_path) == tmp_path / "Dokumente" / "Tackside"


def test_a_bench_that_the_command_line_began_stays_in_use_until_there_is_one_in_the_documents(
    tmp_path: Path,
) -> None:
    home = tmp_path / "Tackside"
    home.mkdir()
    documents = tmp_path / "Documents"
    assert bench_of_documents(documents, tmp_path) == documents / "Tackside"  # an empty folder is no bench
    (home / DATABASE).touch()
    assert bench_of_documents(documents, tmp_path) == home
    (documents / "Tackside").mkdir(parents=True)
    (documents / "Tackside" / DATABASE).touch()
    assert bench_of_documents(documents, tmp_path) == documents / "Tackside"


def test_a_later_one_is_led_to_the_first_and_follows_it_once_it_has_ended(tmp_path: Path) -> None:
    bench = tmp_path / "bench"
    with OnlyOne(tmp_path, bench) as first:
        assert first.other() is None
        with OnlyOne(tmp_path, bench) as second:
            with pytest.raises(TimeoutError):  # the first is not up yet
                second.other(wait_seconds=0.0)
            first.tell("http://127.0.0.1:8372/")
            assert second.other() == "http://127.0.0.1:8372/"
            with OnlyOne(tmp_path, tmp_path / "another") as another:
                assert another.other() is None
    with OnlyOne(tmp_path, bench) as third:
        assert third.other() is None


def test_versions_that_nobody_starts_any_more_are_cleared_away(tmp_path: Path) -> None:
    folder = tmp_path / "unpacked"
    for name, days in (("own", 90), ("old", 31), ("newer", 29), (".part-x", 40)):
        (folder / name / "tackside").mkdir(parents=True)
        os.utime(folder / name, (0, 100 * 86_400 - days * 86_400))
    forget_older(folder / "own" / "tackside" / "tackside", now=100 * 86_400)
    assert sorted(each.name for each in folder.iterdir()) == ["newer", "own"]
    elsewhere = tmp_path / "lib"
    (elsewhere / "old").mkdir(parents=True)
    forget_older(elsewhere / "tackside" / "tackside", now=1e12)
    assert (elsewhere / "old").exists()


@pytest.mark.parametrize(
    ("variables", "language"),
    [
        ({"LANG": "de_DE.UTF-8"}, "de"),
        ({"LC_ALL": "de_AT.UTF-8", "LANG": "en_GB.UTF-8"}, "de"),
        ({"LC_ALL": "", "LANG": "C"}, "en"),
        ({}, "en"),
    ],
)
@pytest.mark.skipif(sys.platform == "win32", reason="Windows is asked another way")
def test_faults_are_said_in_the_language_of_the_system(
    variables: dict[str, str], language: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    for name in ("LC_ALL", "LC_MESSAGES", "LANG"):
        monkeypatch.delenv(name, raising=False)
    for name, value in variables.items():
        monkeypatch.setenv(name, value)
    assert trouble.language_of_system() == language


def test_the_page_of_a_fault_says_what_is_wrong_and_what_to_do_and_is_only_text() -> None:
    fault = Message("desktop.own-fault", kind="<b>x</b>", file="a.txt")
    assert "&lt;b&gt;x&lt;/b&gt;" in trouble.page(fault, "en")
    german = trouble.page(fault, "de")
    assert "Tackside ließ sich nicht öffnen" in german
    assert "Öffnen Sie es erneut" in german


@pytest.fixture
def pressed(tmp_path: Path) -> Iterator[Callable[[Path], subprocess.Popen[bytes]]]:
    """A press of the icon, with a browser that only notes what it is to open."""
    browser = tmp_path / "browser"
    browser.write_text(f'#!/bin/sh\necho "$1" >> "{tmp_path}/opened"\n', encoding="utf-8")
    browser.chmod(0o755)
    at_work: list[subprocess.Popen[bytes]] = []

    def press(bench: Path) -> subprocess.Popen[bytes]:
        began = subprocess.Popen(
            [sys.executable, "-c", PROGRAM, str(bench), str(tmp_path / "passing")],
            env=os.environ | {"BROWSER": f"{browser} %s", "LANG": "C.UTF-8", "TMPDIR": str(tmp_path)},
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        at_work.append(began)
        return began

    yield press
    for each in at_work:
        if each.poll() is None:
            each.kill()
        each.wait()


def opened(folder: Path, count: int) -> str:
    """What the browser was last told to open, once it was told ``count`` times."""
    file = folder / "opened"
    deadline = time.monotonic() + 60
    while not file.exists() or len(file.read_text(encoding="utf-8").splitlines()) < count:
        assert time.monotonic() < deadline
        time.sleep(0.05)
    return file.read_text(encoding="utf-8").splitlines()[-1]


def led_to(opening: str) -> str:
    """Where the page leads that a browser was told to open; its owner alone may read it."""
    page = Path(unquote(urlsplit(opening).path))
    assert page.stat().st_mode & 0o077 == 0
    found = re.search(r'url=(http://127[^"]+)"', page.read_text(encoding="utf-8"))
    assert found is not None
    return html.unescape(found[1])


@pytest.mark.skipif(os.name != "posix", reason="the browser is a shell script")
def test_a_press_opens_it_a_second_leads_to_it_and_its_button_ends_it(
    pressed: Callable[[Path], subprocess.Popen[bytes]], tmp_path: Path
) -> None:
    bench = tmp_path / "Eigene Dokumente" / "Tackside"
    first = pressed(bench)
    url = led_to(opened(tmp_path, 1))
    second = pressed(bench)
    assert led_to(opened(tmp_path, 2)) == url
    assert second.wait(timeout=60) == 0
    browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
    browser.open(url, timeout=60).close()  # its key is exchanged for a cookie
    with browser.open(urljoin(url, "/"), timeout=60) as answer:
        token = re.search(r'name="csrf" value="(\w+)"', answer.read().decode())
    assert token is not None
    with browser.open(urljoin(url, "/close"), data=f"csrf={token[1]}".encode(), timeout=60) as answer:
        assert str(bench) in answer.read().decode()
    assert first.wait(timeout=60) == 0
    assert (bench / DATABASE).exists()
    assert not list(bench.glob("opening-*"))


@pytest.mark.skipif(os.name != "posix", reason="the browser is a shell script")
def test_the_end_of_the_session_ends_it_in_order(
    pressed: Callable[[Path], subprocess.Popen[bytes]], tmp_path: Path
) -> None:
    began = pressed(tmp_path / "bench")
    with urllib.request.urlopen(led_to(opened(tmp_path, 1)), timeout=60) as answer:
        assert answer.status == 200
    began.send_signal(signal.SIGTERM)
    assert began.wait(timeout=60) == 0


@pytest.mark.skipif(os.name != "posix", reason="the browser is a shell script")
def test_a_bench_that_cannot_be_opened_is_told_on_a_page(
    pressed: Callable[[Path], subprocess.Popen[bytes]], tmp_path: Path
) -> None:
    (tmp_path / "bench").mkdir()
    (tmp_path / "bench" / DATABASE).write_bytes(b"no database" * 100)
    assert pressed(tmp_path / "bench").wait(timeout=60) == 2
    told = opened(tmp_path, 1)
    assert told.startswith("file://")
    page = Path(told.removeprefix("file://")).read_text(encoding="utf-8")
    assert "Tackside did not open" in page
    assert DATABASE in page
