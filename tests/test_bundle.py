"""The parts that the bundle is made from; what was built is tried by ``do.py bundle --try``."""

from __future__ import annotations

import os
import re
import shutil
import subprocess
from importlib import metadata
from pathlib import Path

import pytest
from PIL import Image
from tools.bundle import deb, elf, icons, manual, papers, single
from tools.licences import ROOT, TABLE, identifiers, read_table

from tackside.cli.main import COMMANDS
from tests import services

SPEC = (ROOT / "packaging" / "tackside.spec").read_text(encoding="utf-8")
needs = {
    tool: pytest.mark.skipif(shutil.which(tool) is None, reason=f"no {tool} on this machine")
    for tool in ("cc", "zstd", "dpkg-deb", "objdump", "desktop-file-validate", "man")
}


def test_the_icon_is_drawn_at_each_size_and_is_not_empty(tmp_path: Path) -> None:
    icons.draw(tmp_path)
    for size in icons.PNG_SIZES:
        with Image.open(tmp_path / f"tackside-{size}.png") as drawn:
            assert drawn.size == (size, size)
            assert len(set(drawn.convert("RGB").get_flattened_data())) > 3
    with Image.open(tmp_path / "tackside.ico") as windows:
        assert {size for size, _ in windows.info["sizes"]} == set(icons.ICO_SIZES)
    with Image.open(tmp_path / "tackside.icns") as macos:
        assert (512, 512, 2) in macos.info["sizes"]


def test_the_manual_names_every_command_and_escapes_what_troff_would_take() -> None:
    page = manual.man_page()
    assert all(f".B {name}\n" in page for name in COMMANDS)
    assert manual.escaped(".dot -x \\n") == "\\&.dot \\-x \\en"
    assert manual.escaped("'quote") == "\\&'quote"


@needs["man"]
def test_man_has_nothing_to_say_against_the_manual(tmp_path: Path) -> None:
    page = tmp_path / "tackside.1"
    page.write_text(manual.man_page(), encoding="utf-8")
    shown = subprocess.run(
        ["man", "--warnings", "--encoding=UTF-8", "-l", str(page)],
        capture_output=True, text=True, check=True, env=os.environ | {"MANROFFOPT": "-ww", "LC_ALL": "C.UTF-8"},
    )  # fmt: skip
    assert shown.stderr == ""
    assert "Open the workbench in the browser." in " ".join(shown.stdout.split())


@needs["desktop-file-validate"]
def test_the_entry_in_the_menu_is_valid() -> None:
    entry = str(deb.LINUX / "tackside.desktop")
    told = subprocess.run(["desktop-file-validate", entry], capture_output=True, text=True, check=False)
    assert (told.returncode, told.stdout) == (0, "")


def test_each_library_and_package_of_the_bundle_has_a_licence_that_was_read() -> None:
    text = TABLE.read_text(encoding="utf-8")
    table, known = papers.bundle_table(text), read_table(text).licences
    assert [name for name in papers.locked() if name not in table.packages] == []
    said = [*(each.licence for each in table.frozen), *(each.licence for each in table.packages.values())]
    assert {licence for each in said for licence in identifiers(each)} - set(known) == set()
    assert "Bootloader-exception" in papers.beside_notice(table)


def test_a_library_that_nobody_has_looked_at_is_told(tmp_path: Path) -> None:
    inside = tmp_path / "_internal"
    (inside / "some.libs").mkdir(parents=True)
    for name in (
        "libssl.so.3",
        "libz.so.1",
        "libreadline.so.8",
        "_vips.abi3.so",
        "some.libs/libx-0123abcd.so.1",
    ):
        (inside / name).touch()
    (inside / "libx-0123abcd.so.1").symlink_to("some.libs/libx-0123abcd.so.1")
    (told,) = papers.strange_libraries(tmp_path)
    assert told.startswith("libreadline: ")


def test_a_package_that_is_not_in_the_lock_is_told(tmp_path: Path) -> None:
    for name, version in (
        ("platformdirs", papers.locked()["platformdirs"][0]),
        ("platformdirs", "0.1"),
        ("odd", "1.0"),
    ):
        info = tmp_path / f"{name}-{version}.dist-info"
        info.mkdir()
        (info / "METADATA").write_text(
            f"Metadata-Version: 2.4\nName: {name}\nVersion: {version}\nLicense-Expression: MIT\n",
            encoding="utf-8",
        )
    told = papers.problems(metadata.distributions(path=[str(tmp_path)]))
    assert sorted(each.partition(" is not")[0] for each in told) == ["odd 1.0", "platformdirs 0.1"]


def test_what_is_left_out_is_nothing_that_the_package_imports() -> None:
    left_out = re.search(r"LEFT_OUT = \[(.*?)\n\]", SPEC, re.DOTALL)
    assert left_out is not None
    names = re.findall(r'"([\w.]+)"', left_out[1])
    assert "distributed" in names
    source = "\n".join(file.read_text(encoding="utf-8") for file in (ROOT / "src").rglob("*.py"))
    imported = {
        name for name in names if re.search(rf"^\s*(import|from) {re.escape(name)}\b", source, re.MULTILINE)
    }
    assert imported == {"distributed"} & imported


@pytest.mark.slow  # the completions of all commands
@needs["dpkg-deb"]
@needs["objdump"]
def test_the_package_puts_everything_where_a_desktop_looks(tmp_path: Path) -> None:
    folder = tmp_path / "app" / "tackside"
    folder.mkdir(parents=True)
    shutil.copy(shutil.which("true") or "/bin/true", folder / "tackside")
    icons.draw(tmp_path / "icons")
    glibc = elf.least_glibc(list(elf.shared_objects(folder)))
    assert re.fullmatch(r"2\.\d+(\.\d+)?", glibc)
    package = deb.build(
        folder,
        tmp_path / "icons",
        tmp_path,
        tmp_path / "out",
        version="1.2",
        glibc=glibc,
        built=1_700_000_000,
    )
    listed = subprocess.run(
        ["dpkg-deb", "--contents", str(package)], capture_output=True, text=True, check=True
    ).stdout
    for place in (
        "/usr/bin/tackside -> ../lib/tackside/tackside",
        "/usr/lib/tackside/tackside",
        "/usr/share/applications/tackside.desktop",
        "/usr/share/bash-completion/completions/tackside",
        "/usr/share/zsh/vendor-completions/_tackside",
        "/usr/share/fish/vendor_completions.d/tackside.fish",
        "/usr/share/icons/hicolor/256x256/apps/tackside.png",
        "/usr/share/icons/hicolor/scalable/apps/tackside.svg",
        "/usr/share/man/man1/tackside.1.gz",
        "/usr/share/doc/tackside/copyright",
    ):
        assert f".{place}\n" in listed
    assert all(line.split()[1] == "root/root" for line in listed.splitlines())
    said = subprocess.run(
        ["dpkg-deb", "--field", str(package)], capture_output=True, text=True, check=True
    ).stdout
    assert f"Depends: libc6 (>= {glibc})" in said


@pytest.fixture(scope="module")
def single_file(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A single file with a small program in it: it says its words, where it lies, and its exit code is 7."""
    if not (shutil.which("cc") and services.packer() and services.zstd_headers()):
        pytest.skip("a C compiler, zstd and libzstd-dev are not all there")
    work = tmp_path_factory.mktemp("single")
    folder = work / "app" / "tackside"
    folder.mkdir(parents=True)
    program = folder / "tackside"
    program.write_text('#!/bin/sh\necho "$(dirname "$0")"; echo "$@"; exit 7\n', encoding="utf-8")
    program.chmod(0o755)
    (folder / "large").write_bytes(os.urandom(3_000_000))
    archive = work / "tackside.tar.zst"
    single.pack(folder, archive, 1_700_000_000)
    return single.build(archive, work, work, "1.2")


def run(file: Path, cache: Path, *words: str) -> subprocess.CompletedProcess[str]:
    variables = {"PATH": os.environ["PATH"], "XDG_CACHE_HOME": str(cache)}
    return subprocess.run([file, *words], capture_output=True, text=True, check=False, env=variables)


def test_the_single_file_unpacks_itself_once_and_hands_words_and_exit_code_on(
    single_file: Path, tmp_path: Path
) -> None:
    cache = tmp_path / "Grün & blau"
    for _ in range(2):
        done = run(single_file, cache, "--bench", "a b")
        where, words = done.stdout.splitlines()
        assert (done.returncode, done.stderr, words) == (7, "", "--bench a b")
        Path(where, "large").chmod(0o600)  # were it unpacked again, it would be as it was
    assert Path(where, "large").stat().st_mode & 0o777 == 0o600
    assert Path(where).is_relative_to(cache / "tackside" / "unpacked")
    assert len(list((cache / "tackside" / "unpacked").iterdir())) == 1


def test_a_damaged_single_file_says_so_and_leaves_nothing_that_looks_whole(
    single_file: Path, tmp_path: Path
) -> None:
    whole = single_file.read_bytes()
    damaged = tmp_path / "damaged.run"
    middle = len(whole) - 1_000_000
    damaged.write_bytes(whole[:middle] + bytes(1000) + whole[middle + 1000 :])
    cut = tmp_path / "cut.run"
    cut.write_bytes(whole[:-5000])
    for file in (damaged, cut):
        file.chmod(0o755)
        done = run(file, tmp_path / file.stem)
        assert done.returncode == 2
        assert "damaged, fetch it again" in done.stderr
        assert not list((tmp_path / file.stem).glob("tackside/unpacked/*"))


def test_the_single_file_says_where_it_finds_no_room(single_file: Path, tmp_path: Path) -> None:
    (tmp_path / "file").touch()
    done = run(single_file, tmp_path / "file")
    assert done.returncode == 2
    assert "make room" in done.stderr
