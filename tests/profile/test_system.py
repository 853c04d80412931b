"""Where systems keep profiles, and a walk through folders that hold anything at all."""

from __future__ import annotations

import os
import sys
from pathlib import Path, PurePosixPath, PureWindowsPath

import pytest

from tackside.messages.message import Message
from tackside.messages.wording import TERMINAL
from tackside.profile.icc.system import MOST_FILES, FoundProfile, SkippedFile, find_profiles, profile_folders
from tackside.profile.icc.working_space import working_space_profile
from tests.profile.table_profiles import rgb_printer

HOME = PurePosixPath("/home/ada")


def folders(platform: str, environment: dict[str, str], home: object = HOME) -> list[str]:
    assert isinstance(home, PurePosixPath | PureWindowsPath)
    return [str(folder) for folder in profile_folders(platform, environment, home)]


def test_a_free_desktop_keeps_them_where_its_data_lie() -> None:
    found = folders("linux", {})
    assert found[0] == "/home/ada/.local/share/icc"
    # XDG Base Directory Specification: the defaults where the variables are not set.
    assert {"/usr/local/share/color/icc", "/usr/share/color/icc", "/home/ada/.color/icc"} <= set(found)
    assert "/var/lib/colord/icc" in found


def test_the_variables_of_a_free_desktop_are_followed_and_relative_ones_ignored() -> None:
    found = folders(
        "linux", {"XDG_DATA_HOME": "/data/ada", "XDG_DATA_DIRS": "/opt/share:relative/share::/opt/share"}
    )
    assert found[0] == "/data/ada/icc"
    assert found.count("/opt/share/color/icc") == 1
    assert not any("relative" in folder for folder in found)
    assert not any(folder.startswith("/usr/share") for folder in found)
    assert folders("linux", {"XDG_DATA_HOME": "here"})[0] == "/home/ada/.local/share/icc"


def test_macos_keeps_them_in_its_libraries() -> None:
    found = folders("darwin", {}, PurePosixPath("/Users/ada"))
    assert found[:2] == ["/Users/ada/Library/ColorSync/Profiles", "/Library/ColorSync/Profiles"]


def test_windows_keeps_them_beside_the_spooler() -> None:
    home = PureWindowsPath("C:\\Users\\ada")
    expected = "D:\\Windows\\System32\\spool\\drivers\\color"
    assert folders("win32", {"SystemRoot": "D:\\Windows"}, home) == [expected]
    assert folders("win32", {}, home) == ["C:\\Windows\\System32\\spool\\drivers\\color"]


def test_profiles_are_found_below_folders_each_once(tmp_path: Path) -> None:
    deep = tmp_path / "a" / "b"
    deep.mkdir(parents=True)
    (tmp_path / "space.icc").write_bytes(working_space_profile("srgb"))
    (deep / "CARD.ICM").write_bytes(rgb_printer())
    (tmp_path / "notes.txt").write_text("no profile")
    (tmp_path / "again.icc").hardlink_to(tmp_path / "space.icc")
    (deep / "link.icc").symlink_to(tmp_path / "space.icc")
    (deep / "round").symlink_to(tmp_path)
    found = list(find_profiles([tmp_path, tmp_path / "a", tmp_path / "missing"]))
    assert all(isinstance(each, FoundProfile) for each in found)
    assert sorted(each.description for each in found if isinstance(each, FoundProfile)) == [
        "Tern 8, Harbour Satin 300",
        "sRGB IEC 61966-2-1",
    ]


def test_hostile_files_are_passed_over_with_a_word(tmp_path: Path) -> None:
    good = working_space_profile("srgb")
    (tmp_path / "cut.icc").write_bytes(good[:300])
    (tmp_path / "empty.icc").write_bytes(b"")
    (tmp_path / "random.icc").write_bytes(os.urandom(500))
    (tmp_path / "list.icc").write_bytes(good[:128] + b"\xff\xff\xff\xff" + good[132:])
    (tmp_path / "gone.icc").symlink_to(tmp_path / "nothing")
    (tmp_path / "folder.icc").mkdir()
    (tmp_path / "good.icc").write_bytes(good)
    with (tmp_path / "huge.icc").open("wb") as stream:
        stream.truncate(65 * 1024 * 1024)
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe.icc")
    found = list(find_profiles([tmp_path]))
    assert [each.path.name for each in found if isinstance(each, FoundProfile)] == ["good.icc"]
    skipped = {each.path.name: each.why for each in found if isinstance(each, SkippedFile)}
    assert set(skipped) >= {"cut.icc", "empty.icc", "random.icc", "list.icc", "gone.icc", "huge.icc"}
    assert skipped["cut.icc"] == Message("profile.cut-short")
    assert skipped["gone.icc"] == Message("profile.leads-nowhere")
    assert skipped["empty.icc"] == Message("profile.file-empty", file=str(tmp_path / "empty.icc"))
    told = [TERMINAL.what(why) for why in skipped.values()]
    assert all("\n" not in why and not why.endswith(".") for why in told)


@pytest.mark.skipif(
    sys.platform == "win32" or os.geteuid() == 0, reason="permissions do not bind this person"
)
def test_closed_files_and_folders_are_passed_over(tmp_path: Path) -> None:
    (tmp_path / "closed.icc").write_bytes(working_space_profile("srgb"))
    (tmp_path / "closed.icc").chmod(0)
    (tmp_path / "shut").mkdir(mode=0)
    found = list(find_profiles([tmp_path]))
    assert [type(each) for each in found] == [SkippedFile]


def test_a_folder_without_end_is_given_up(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert MOST_FILES > 1000
    monkeypatch.setattr("tackside.profile.icc.system.MOST_FILES", 3)
    for number in range(6):
        (tmp_path / f"{number}.icc").write_bytes(working_space_profile("srgb"))
    found = list(find_profiles([tmp_path]))
    assert len(found) == 4
    assert isinstance(found[-1], SkippedFile)
