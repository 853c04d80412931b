"""A profile put where the system looks, and taken away again: nothing else is touched."""

from __future__ import annotations

from pathlib import Path, PurePosixPath, PureWindowsPath

import pytest

from tackside.cli.main import main
from tackside.errors import BadProfile, BadRequest, NotFound
from tackside.profile.icc.system import own_folder
from tackside.profile.icc.working_space import working_space_profile
from tackside.workflow.profiles.install import SystemPlace, install_profile, take_away

SRGB, ADOBE = working_space_profile("srgb"), working_space_profile("adobe-rgb")


@pytest.fixture
def place(tmp_path: Path) -> SystemPlace:
    return SystemPlace(tmp_path / "share" / "icc")


def profile(folder: Path, name: str = "card.icc", data: bytes = SRGB) -> Path:
    file = folder / name
    file.write_bytes(data)
    return file


def test_each_system_has_its_own_folder() -> None:
    """XDG Base Directory Specification; the developer documentation of macOS (docs/sources.md, S93)."""
    home = PurePosixPath("/home/ann")
    assert own_folder("linux", {}, home) == PurePosixPath("/home/ann/.local/share/icc")
    assert own_folder("linux", {"XDG_DATA_HOME": "/data"}, home) == PurePosixPath("/data/icc")
    assert own_folder("darwin", {}, home) == PurePosixPath("/home/ann/Library/ColorSync/Profiles")
    assert own_folder("win32", {}, PureWindowsPath("C:/Users/ann")) is None
    with pytest.raises(BadRequest) as refused:
        SystemPlace.of("win32", {}, Path("ann"), Path("card.icc"))
    assert "right-click card.icc" in str(refused.value)


def test_installed_and_undone(tmp_path: Path, place: SystemPlace) -> None:
    first, second = profile(tmp_path), profile(tmp_path, "other.icm", ADOBE)
    done = install_profile(first, place)
    assert (done.file, done.is_new) == (place.folder / "card.icc", True)
    assert done.file.read_bytes() == SRGB
    assert not install_profile(first, place).is_new
    install_profile(second, place)
    assert take_away(place) == place.folder / "other.icm"  # the last one first
    assert take_away(place, Path("card.icc")) == place.folder / "card.icc"
    assert list(place.folder.iterdir()) == []
    with pytest.raises(NotFound):
        take_away(place)


def test_what_another_put_there_stays(tmp_path: Path, place: SystemPlace) -> None:
    place.folder.mkdir(parents=True)
    foreign = profile(place.folder, "card.icc", ADOBE)
    for force in (False, True):
        with pytest.raises(BadRequest) as refused:
            install_profile(profile(tmp_path), place, force=force)
        assert refused.value.message.code == "own-profile.installed-by-another"
    install_profile(profile(tmp_path, "mine.icc"), place)
    with pytest.raises(NotFound):
        take_away(place, Path("card.icc"))
    assert foreign.read_bytes() == ADOBE


def test_a_newer_one_takes_the_place_with_force_alone(tmp_path: Path, place: SystemPlace) -> None:
    install_profile(profile(tmp_path), place)
    newer = profile(tmp_path, data=ADOBE)
    with pytest.raises(BadRequest) as refused:
        install_profile(newer, place)
    assert refused.value.message.code == "file.there-already"
    assert install_profile(newer, place, force=True).file.read_bytes() == ADOBE


def test_one_that_was_changed_since_stays(tmp_path: Path, place: SystemPlace) -> None:
    there = install_profile(profile(tmp_path), place).file
    there.write_bytes(ADOBE)
    with pytest.raises(BadRequest) as refused:
        take_away(place)
    assert refused.value.message.code == "own-profile.changed-since"
    assert there.exists()


def test_a_list_that_names_other_places_is_not_followed(tmp_path: Path, place: SystemPlace) -> None:
    place.folder.mkdir(parents=True)
    outside = profile(tmp_path)
    (place.folder / ".tackside-installed.json").write_text('{"../../card.icc": "0", "b.icc": 3}')
    with pytest.raises(NotFound):
        take_away(place, Path("../../card.icc"))
    assert outside.exists()


def test_what_is_no_profile_is_not_installed(tmp_path: Path, place: SystemPlace) -> None:
    with pytest.raises(BadProfile):
        install_profile(profile(tmp_path, data=b"no profile" * 50), place)
    assert not place.folder.exists()


@pytest.mark.skipif("sys.platform == 'win32'", reason="profiles are installed by hand there")
def test_the_command(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setenv("XDG_DATA_HOME", str(tmp_path / "data"))
    monkeypatch.setenv("HOME", str(tmp_path))
    assert main(["profile", "install", str(profile(tmp_path))]) == 0
    told = capsys.readouterr().out
    assert str(tmp_path) in told
    assert "card.icc" in told
    assert main(["profile", "install", "--undo"]) == 0
    assert "Removed" in capsys.readouterr().out
    assert main(["profile", "install"]) == 2
    assert capsys.readouterr().err.count("\n") == 1
