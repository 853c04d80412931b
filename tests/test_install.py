"""The wheel as somebody gets it: in an environment of its own whose files nobody may write, without a network, in a
home whose name has blanks and umlauts. Linux only, as it needs namespaces and capabilities.

What the wheel needs is not installed again, which would take a minute and a registry: the environment finds it in that
of the tests by a path file.
"""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
import sysconfig
import venv
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from tools.release import UNDATED, build

from tackside import __version__
from tackside.bench.store import Bench
from tackside.cli.demo.scenario import CARD_NAME, PICTURE_FILE

ROOT = Path(__file__).parent.parent
NEEDED = ("unshare", "setpriv")
pytestmark = [
    pytest.mark.slow,
    pytest.mark.skipif(
        sys.platform != "linux" or not all(map(shutil.which, NEEDED)), reason="needs util-linux"
    ),
]

# No network but the machine's own address, and no right to read and write what modes forbid, for root either.
WALLS = [
    *("unshare", "--net", *(() if os.geteuid() == 0 else ("--user", "--map-root-user"))),
    *("setpriv", "--bounding-set=-dac_override,-dac_read_search,-fowner"),
]
# Wakes the machine's own address, 127.0.0.1 (netdevice(7): SIOCSIFFLAGS, IFF_UP), and becomes the command.
INSIDE = """
import fcntl, os, socket, struct, sys
with socket.socket() as door:
    fcntl.ioctl(door, 0x8914, struct.pack("16sh", b"lo", 1))
os.execv(sys.argv[1], sys.argv[1:])
"""
# What a person does: types ``tackside`` in a terminal, looks at the page that the browser opens, presses Ctrl-C.
PERSON = """
import json, os, pathlib, pty, re, sys, time, urllib.parse, urllib.request
command, opened = sys.argv[1], pathlib.Path(sys.argv[2])
pid, terminal = pty.fork()
if pid == 0:
    os.execv(command, [command])
deadline = time.monotonic() + 120
while not (opened.exists() and opened.read_text().endswith("\\n")) and time.monotonic() < deadline:
    time.sleep(0.1)
# The browser is led on by a page that nobody else can read, with a key in the address.
led_by = pathlib.Path(urllib.parse.unquote(urllib.parse.urlsplit(opened.read_text().strip()).path))
mode = led_by.stat().st_mode & 0o777
url = re.search(r'href="([^"]+)"', led_by.read_text())[1]
browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
browser.open(url, timeout=60).close()
with browser.open(url.partition("open?")[0], timeout=60) as page:
    status, text = page.status, page.read().decode()
os.write(terminal, b"\\x03")
_, ended = os.waitpid(pid, 0)
print(json.dumps({"url": url, "mode": mode, "status": status, "text": text, "ended": os.waitstatus_to_exitcode(ended)}))
"""


@dataclass(frozen=True)
class Installed:
    folder: Path
    home: Path
    packages: Path

    @property
    def python(self) -> Path:
        return self.folder / "bin" / "python"

    @property
    def command(self) -> Path:
        return self.folder / "bin" / "tackside"

    def call(self, *words: str | Path, **environ: str) -> subprocess.CompletedProcess[str]:
        """A program inside the walls, in the home, with nothing in its environment but a path, a home and these."""
        inside = (self.python, "-I", "-c", INSIDE, *words)
        return subprocess.run(
            [*WALLS, *map(str, inside)],
            cwd=self.home, env={"PATH": "/usr/bin:/bin", "HOME": str(self.home), **environ},
            capture_output=True, text=True, check=False, timeout=600,
        )  # fmt: skip


@pytest.fixture(scope="module")
def wheel(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build(ROOT, tmp_path_factory.mktemp("wheel"), UNDATED)[1]


def environment(folder: Path) -> Path:
    """An empty environment that finds what Tackside needs in that of the tests; where its packages lie."""
    venv.create(folder, symlinks=True)
    packages = Path(sysconfig.get_path("purelib", "venv", {"base": str(folder), "platbase": str(folder)}))
    others = {sysconfig.get_path("purelib"), sysconfig.get_path("platlib")}
    others |= {path for path in sys.path if path.endswith("-packages")}
    (packages / "found.pth").write_text("\n".join(sorted(others)) + "\n", encoding="utf-8")
    return packages


def install(python: Path, *what: str | Path) -> None:
    pip = (sys.executable, "-m", "pip", "--python", python, "install", "--quiet", "--no-deps", "--no-index")
    subprocess.run([*map(str, pip), "--disable-pip-version-check", *map(str, what)], check=True)


@pytest.fixture(scope="module")
def installed(wheel: Path, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Installed]:
    place = tmp_path_factory.mktemp("installed")
    packages = environment(place / "apps")
    install(place / "apps" / "bin" / "python", wheel)
    home = place / "Zoë Müller & Söhne"
    home.mkdir()
    shut = [path for path in (packages, *packages.rglob("*")) if not path.is_symlink()]
    for path in shut:
        path.chmod(path.stat().st_mode & ~0o222)
    yield Installed(place / "apps", home, packages)
    for path in shut:
        path.chmod(path.stat().st_mode | 0o200)


def test_the_walls_stand(installed: Installed) -> None:
    tried = f"""
import pathlib, socket, tackside
assert pathlib.Path(tackside.__file__).is_relative_to({str(installed.packages)!r}), tackside.__file__
for attempt in (
    lambda: pathlib.Path(tackside.__file__).with_name("new.txt").write_text("x"),
    lambda: pathlib.Path(tackside.__file__).write_text("x"),
    lambda: socket.create_connection(("192.0.2.1", 80), timeout=5),
):
    try:
        attempt()
    except OSError as error:
        print(error.errno)
"""
    said = installed.call(installed.python, "-c", tried)
    # EACCES twice, then ENETUNREACH: errno(3)
    assert (said.stdout.split(), said.stderr) == (["13", "13", "101"], "")


def test_the_command_is_there_and_says_its_version(installed: Installed) -> None:
    assert installed.call(installed.command, "--version").stdout == f"tackside {__version__}\n"


def test_the_demo_tells_coated_from_uncoated_and_makes_the_card_on_the_best(installed: Installed) -> None:
    said = installed.call(installed.command, "demo", "--json")
    assert said.returncode == 0, said.stderr
    made = json.loads(said.stdout)
    grades = {(trial["stock"], trial["side"]): trial["grade"] for trial in made["trials"]}
    assert grades["Harbour Satin 300", "front"] == "sell"
    assert grades["Fulmar Etching 310", "front"] == "sell"
    assert grades["Plover Matt 230", "front"] == "sell"
    assert grades["Plover Matt 230", "back"] in {"draft", "reject"}
    assert grades["Shingle Craft 250", "front"] in {"draft", "reject"}
    causes = {(trial["stock"], trial["side"]): trial["cause"] for trial in made["trials"]}
    assert causes["Plover Matt 230", "back"] == "side"
    assert causes["Shingle Craft 250", "front"] == "stock"
    assert made["best"] == "Harbour Satin 300"
    files = [installed.home / file for file in (made["report"], made["bench"], *made["cards"])]
    assert all(file.exists() for file in files)
    assert "invented" in files[0].read_text(encoding="utf-8")
    card = Bench.open(files[1]).cards.get(CARD_NAME)
    assert (card.stock, [image.name for image in card.images]) == (made["best"], [PICTURE_FILE])


def test_the_command_alone_opens_the_workbench_for_a_person_with_a_desktop(installed: Installed) -> None:
    opened = installed.folder.parent / "opened.txt"
    browser = installed.folder.parent / "browser"
    browser.write_text(f'#!/bin/sh\necho "$1" > {opened}\n')
    browser.chmod(0o755)
    # webbrowser looks for the browser in BROWSER first, in Python's library
    said = installed.call(
        installed.python, "-c", PERSON, installed.command, opened, DISPLAY=":0", BROWSER=str(browser)
    )
    assert said.returncode == 0, said.stderr
    told = json.loads(said.stdout)
    assert told["url"].startswith("http://127.0.0.1:")
    assert told["mode"] == 0o600
    assert told["status"] == 200
    assert told["ended"] in {0, 130}  # 0 where whoever started the tests ignores Ctrl-C
    assert 'href="/stocks"' in told["text"]  # the bench itself, and no page that asks for a key
    assert (installed.home / "Tackside" / "bench.sqlite").is_file()


def test_what_was_installed_is_as_it_was(installed: Installed, wheel: Path, tmp_path: Path) -> None:
    shutil.unpack_archive(wheel, tmp_path, "zip")
    packed = {path.relative_to(tmp_path): path.read_bytes() for path in tmp_path.rglob("*") if path.is_file()}
    for name, data in packed.items():
        if not name.match(
            "*.dist-info/RECORD"
        ):  # pip adds what it made: the command, itself as the installer
            assert (installed.packages / name).read_bytes() == data, name
    there = {path.relative_to(installed.packages) for path in (installed.packages / "tackside").rglob("*.py")}
    assert there <= packed.keys()


def test_do_links_the_source_with_a_command_of_its_own(tmp_path: Path) -> None:
    import do

    packages = environment(tmp_path / ".venv")
    python = tmp_path / ".venv" / "bin" / "python"
    do.link(python)
    command = tmp_path / ".venv" / "bin" / "tackside"
    said = subprocess.run(
        [str(command), "--version"],
        capture_output=True,
        text=True,
        check=True,
        cwd=tmp_path,
        env={"PATH": ""},
    )
    assert said.stdout == f"tackside {__version__}\n"
    assert not (
        packages / "tackside"
    ).exists()  # linked, not copied: what is changed in the source holds at once
