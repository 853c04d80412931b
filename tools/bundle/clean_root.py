"""Start what was built where there is nothing: a root of Debian's smallest set of packages, no Python, no network.

The root stands for a plain desktop's system below its desktop: glibc, a shell, tar, dpkg. A person without rights,
whose home has a space and an umlaut in its name and whose documents are in a folder that their desktop names, presses
the icon: the program is started with nothing, from no terminal. Where a desktop has xdg-open, a script notes the
address; a Chromium outside the root, in the same namespace without a network, opens it and makes a picture.

As root, on Linux with debootstrap: ``do.py bundle --try``.
"""

from __future__ import annotations

import html
import json
import os
import re
import shutil
import signal
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from urllib.parse import unquote, urlsplit

from tools.licences import ROOT

WORK = ROOT / ".artifacts" / "bundle"
BASE = WORK / "root-base"
SUITE = "bookworm"
HOME = "/home/Jörg Grün"
DOCUMENTS = "Dokumente"
USER = 1000
INSIDE = "TACKSIDE_TRY_INSIDE"
WAIT_SECONDS = 60.0
_LED_TO: dict[str, str] = {}  # the pages are gone after a minute
OPENER = '#!/bin/sh\necho "$1" >> /tmp/opened\n'


class Failed(Exception):
    """What was tried did not hold."""


def try_all(packages: Sequence[Path], files: Sequence[Path]) -> int:
    """Try the newest package and file in namespaces of their own; 0 where all held."""
    if sys.platform != "linux" or os.geteuid() != 0:
        print("bundle: trying needs Linux and root, for a root folder and a network namespace of its own")
        return 2
    if not (BASE / "bin" / "sh").exists() and not shutil.which("debootstrap"):
        print("bundle: there is no debootstrap; on Debian: apt install debootstrap")
        return 2
    if not packages or not files:
        print("bundle: there is nothing to try in dist/; run python3 do.py bundle first")
        return 2
    make_base()
    again = [sys.executable, "-m", "tools.bundle.clean_root", str(packages[-1]), str(files[-1])]
    alone = ["unshare", "--net", "--mount", "--pid", "--fork", "--kill-child", "--mount-proc"]
    return subprocess.run([*alone, *again], check=False, cwd=ROOT, env=os.environ | {INSIDE: "1"}).returncode


def make_base() -> None:
    """Debian's smallest root, made once. It must hold no Python."""
    if not (BASE / "bin" / "sh").exists():
        shutil.rmtree(BASE, ignore_errors=True)
        subprocess.run(
            ["debootstrap", "--variant=minbase", SUITE, str(BASE)], check=True, stdout=subprocess.DEVNULL
        )
    pythons = [
        path for folder in ("usr/bin", "usr/lib", "usr/local") for path in (BASE / folder).rglob("*python*")
    ]
    if any(path.is_file() and os.access(path, os.X_OK) for path in pythons):
        raise Failed("the clean root holds a Python")


@contextmanager
def root_of(name: str) -> Iterator[Path]:
    """A fresh root over the base, with a person in it."""
    place = WORK / f"try-{name}"
    shutil.rmtree(place, ignore_errors=True)
    root, upper, work = (place / part for part in ("root", "upper", "work"))
    for folder in (root, upper, work):
        folder.mkdir(parents=True)
    subprocess.run(
        ["mount", "-t", "overlay", "overlay", "-o", f"lowerdir={BASE},upperdir={upper},workdir={work}", str(root)],
        check=True,
    )  # fmt: skip
    for kind, source, target in (("proc", "proc", "proc"), ("tmpfs", "tmpfs", "dev/shm")):
        (root / target).mkdir(exist_ok=True)
        subprocess.run(["mount", "-t", kind, source, str(root / target)], check=True)
    home = root / HOME.lstrip("/")
    (home / ".config").mkdir(parents=True)
    (home / DOCUMENTS).mkdir()
    (home / ".config" / "user-dirs.dirs").write_text(
        f'XDG_DOCUMENTS_DIR="$HOME/{DOCUMENTS}"\n', encoding="utf-8"
    )
    for path in (home, *home.rglob("*")):
        os.chown(path, USER, USER)
    opener = root / "usr" / "bin" / "xdg-open"
    opener.write_text(OPENER, encoding="utf-8")
    opener.chmod(0o755)
    try:
        yield root
    finally:
        subprocess.run(["umount", "--recursive", "--lazy", str(root)], check=True)
        shutil.rmtree(place)


def in_root(root: Path, *command: str, person: bool = True) -> list[str]:
    """A command line in the root, by the person or by root, with a desktop session's few variables."""
    who = [f"--userspec={USER}:{USER}"] if person else []
    home = HOME if person else "/root"
    said = [f"HOME={home}", "PATH=/usr/bin:/bin:/usr/sbin:/sbin", "LANG=C.UTF-8", "DISPLAY=:0"]
    return ["chroot", *who, str(root), "/usr/bin/env", "-i", *said, *command]


def opened(root: Path) -> list[str]:
    """The addresses that a browser was led to, each by a page of its own that nobody else can read."""
    file = root / "tmp" / "opened"
    pages = file.read_text(encoding="utf-8").splitlines() if file.exists() else []
    found = []
    for page in pages:
        path = root / unquote(urlsplit(page).path).lstrip("/")
        if page in _LED_TO:
            found.append(_LED_TO[page])
        elif led := re.search(r'href="([^"]+)"', path.read_text(encoding="utf-8")):
            found.append(_LED_TO.setdefault(page, html.unescape(led[1])))
    return found


def until(found: Callable[[], str], what: str, seconds: float = WAIT_SECONDS) -> str:
    """What ``found`` gives once it gives something. Raises Failed after ``seconds``."""
    deadline = time.monotonic() + seconds
    while not (got := found()):
        if time.monotonic() > deadline:
            raise Failed(what)
        time.sleep(0.02)
    return got


def drop_cache() -> None:
    """Let the next start read all from the disk, as the first after the machine was switched on does."""
    os.sync()
    Path("/proc/sys/vm/drop_caches").write_text("1", encoding="ascii")


def shown(url: str) -> tuple[urllib.request.OpenerDirector, str, str]:
    """A browser that was let in by the key in an address, the workbench's own address, and its first page."""
    jar = urllib.request.build_opener(urllib.request.HTTPCookieProcessor())
    jar.open(url, timeout=WAIT_SECONDS).close()
    home = url.partition("open?")[0]
    return jar, home, jar.open(home, timeout=WAIT_SECONDS).read().decode()


def picture(url: str, file: Path) -> None:
    """What a browser makes of a page."""
    from tests import services

    browser = services.browser()
    if browser is None:
        raise Failed("there is no Chromium to open the page with")
    subprocess.run(
        [browser, "--headless", "--no-sandbox", "--disable-gpu", "--window-size=1280,900", "--virtual-time-budget=5000",
         f"--screenshot={file}", url],
        check=True, capture_output=True, timeout=WAIT_SECONDS,
    )  # fmt: skip


def press(root: Path, program: str) -> tuple[subprocess.Popen[bytes], str, str]:
    """Press the icon: the process, the address that the browser was given, what it took until its first page was there:
    seconds on the clock, and of the processor, which tell more where the machine has other work."""
    before = len(opened(root))
    began = time.monotonic()
    process = subprocess.Popen(
        in_root(root, program), stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL, stderr=subprocess.PIPE
    )

    def address() -> str:
        if process.poll() is not None and len(opened(root)) == before:
            assert process.stderr is not None
            raise Failed(f"it ended with {process.returncode}: {process.stderr.read().decode()}")
        return "".join(opened(root)[before:])

    url = until(address, f"{program} opened no browser")
    if "Tackside" not in shown(url)[2]:
        raise Failed(f"{url} shows no workbench")
    return (
        process,
        url,
        f"{time.monotonic() - began:.1f} ({processor_seconds(process.pid):.1f} of the processor)",
    )


def processor_seconds(pid: int) -> float:
    """What a process and those that it has waited for have used, in a program or the system: proc(5), 14 to 17."""
    fields = Path(f"/proc/{pid}/stat").read_text(encoding="utf-8").rpartition(")")[2].split()
    return sum(map(int, fields[11:15])) / os.sysconf("SC_CLK_TCK")


def ended(process: subprocess.Popen[bytes]) -> int:
    try:
        return process.wait(timeout=WAIT_SECONDS)
    except subprocess.TimeoutExpired:
        process.kill()
        raise Failed("it did not end") from None
    finally:
        if process.stderr is not None:
            process.stderr.close()


def at_work() -> list[int]:
    """The processes of the program that still run, its workers among them. What has ended and only waits to be looked
    after (Z) does not: nobody does that here, where this program is the first process of all."""
    found = []
    for file in Path("/proc").glob("[0-9]*/stat"):
        try:
            head, _, rest = file.read_text(encoding="utf-8").rpartition(") ")
        except OSError:  # ended meanwhile
            continue
        if head.endswith("(tackside") and not rest.startswith("Z"):
            found.append(int(file.parent.name))
    return found


def closed_by_button(url: str) -> None:
    """Press “Close the workbench” as the page has it."""
    jar, home, page = shown(url)
    token = page.split('name="csrf" value="')[1].split('"')[0]
    said = jar.open(f"{home}close", data=f"csrf={token}".encode(), timeout=WAIT_SECONDS).read().decode()
    if DOCUMENTS not in said:
        raise Failed("the page that says goodbye does not name the bench in the documents")


def try_program(root: Path, name: str, program: str) -> str:
    """Two presses at once, a picture, the button, a second start, the session's end; what the starts took."""
    drop_cache()
    process, url, first = press(root, program)
    picture(url, WORK / f"{name}.png")
    again, same, _ = press(root, program)
    if same != url or ended(again) != 0:
        raise Failed("a second press did not lead to the workbench that was open")
    bench = root / HOME.lstrip("/") / DOCUMENTS / "Tackside" / "bench.sqlite"
    if not bench.exists():
        raise Failed("the bench is not in the documents")
    closed_by_button(url)
    if (code := ended(process)) != 0:
        raise Failed(f"after its button it ended with {code}")
    drop_cache()
    process, url, second = press(root, program)
    process.send_signal(signal.SIGTERM)
    if (code := ended(process)) != 0:
        raise Failed(f"at the end of the session it ended with {code}")
    until(lambda: "" if at_work() else "none", "its worker processes were left behind")
    process, url, third = press(root, program)
    process.send_signal(signal.SIGHUP)
    if (code := ended(process)) != 0:
        raise Failed(f"at the end of its terminal it ended with {code}")
    return f"first start {first}, second {second}, third, from memory, {third}"


def try_commands(root: Path, program: str) -> None:
    """The same program with words is the command line; the whole job of the demo runs with all that it needs."""
    done = subprocess.run(
        in_root(root, program, "demo", "--out", "/tmp/demo", "--json"),
        capture_output=True,
        text=True,
        check=False,
    )
    if done.returncode != 0:
        raise Failed(f"demo: {done.stderr}")
    report = root / json.loads(done.stdout)["report"].lstrip("/")
    if not report.exists():
        raise Failed("the demo wrote no report")


def try_package(package: Path) -> None:
    """Install it as a person with rights would, then start it as one without."""
    with root_of("deb") as root:
        shutil.copy(package, root / "tmp" / "tackside.deb")
        subprocess.run(
            in_root(root, "dpkg", "--install", "/tmp/tackside.deb", person=False),
            check=True, stdout=subprocess.DEVNULL,
        )  # fmt: skip
        print(
            f"{package.name}: seconds to the first page: {try_program(root, 'deb', 'tackside')}", flush=True
        )
        try_commands(root, "tackside")
        print(f"{package.name}: the demo ran", flush=True)


def try_single(file: Path) -> None:
    """Start it from the home, where a browser saved it."""
    with root_of("single") as root:
        program = f"{HOME}/{file.name}"
        shutil.copy(file, root / program.lstrip("/"))
        print(f"{file.name}: seconds to the first page: {try_program(root, 'single', program)}", flush=True)


def inside(files: Sequence[Path]) -> int:
    """In namespaces of our own: try each file by what it is."""
    subprocess.run(["mount", "--make-rprivate", "/"], check=True)
    subprocess.run(["ip", "link", "set", "lo", "up"], check=True)
    try:
        for file in files:
            (try_package if file.suffix == ".deb" else try_single)(file)
    except (Failed, subprocess.SubprocessError, OSError) as error:
        print(f"bundle: {error}")
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(inside([Path(each) for each in sys.argv[1:]]))
