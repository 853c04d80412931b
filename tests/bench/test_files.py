"""Files are written whole or not at all, and the system's refusals become one line."""

from __future__ import annotations

import errno
import hashlib
import os
from pathlib import Path

import pytest

from tackside.errors import StorageTrouble
from tackside.files import atomic as files
from tackside.files.atomic import TEMPORARY_PREFIX, atomic_path, sha256_of, write_atomically


def left_in(folder: Path) -> list[str]:
    return sorted(each.name for each in folder.iterdir())


def test_a_written_file_holds_the_bytes_and_leaves_nothing_else(tmp_path: Path) -> None:
    write_atomically(tmp_path / "card.pdf", b"one")
    write_atomically(tmp_path / "card.pdf", b"two")
    assert (tmp_path / "card.pdf").read_bytes() == b"two"
    assert left_in(tmp_path) == ["card.pdf"]


def test_the_temporary_file_keeps_the_suffix_and_the_folder(tmp_path: Path) -> None:
    with atomic_path(tmp_path / "sheet.tif") as temporary:
        assert temporary.suffix == ".tif"
        assert temporary.parent == tmp_path
        temporary.write_bytes(b"pixels")
        assert not (tmp_path / "sheet.tif").exists()
    assert (tmp_path / "sheet.tif").read_bytes() == b"pixels"


def test_a_block_that_fails_leaves_the_old_file_and_no_temporary(tmp_path: Path) -> None:
    write_atomically(tmp_path / "report.html", b"old")

    def fail_half_way() -> None:
        with atomic_path(tmp_path / "report.html") as temporary:
            temporary.write_bytes(b"half")
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fail_half_way()
    assert (tmp_path / "report.html").read_bytes() == b"old"
    assert left_in(tmp_path) == ["report.html"]


@pytest.mark.parametrize("call", ["write", "fsync", "replace"])
def test_a_full_disk_leaves_the_old_file_and_says_so(
    call: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    write_atomically(tmp_path / "report.html", b"old")

    def full(*_: object) -> None:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    if call == "fsync":
        monkeypatch.setattr(os, "fsync", full)
    if call == "replace":
        monkeypatch.setattr(Path, "replace", full)

    def write_half() -> None:
        with atomic_path(tmp_path / "report.html") as temporary:
            temporary.write_bytes(b"half")
            if call == "write":
                full()

    with pytest.raises(StorageTrouble, match=r"report.html: the disk is full; free some space"):
        write_half()
    assert (tmp_path / "report.html").read_bytes() == b"old"
    assert left_in(tmp_path) == ["report.html"]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no /dev/full on this system")
def test_the_systems_own_full_device_is_translated() -> None:
    with pytest.raises(OSError) as caught, Path("/dev/full").open("wb", buffering=0) as full:
        full.write(b"x")
    assert "the disk is full" in str(files.explain(caught.value, Path("card.pdf"), "write"))


def test_a_missing_folder_is_named_with_the_mend(tmp_path: Path) -> None:
    with pytest.raises(StorageTrouble, match=r"card.pdf: the file or its folder does not exist; .*folder"):
        write_atomically(tmp_path / "nowhere" / "card.pdf", b"x")


def test_a_folder_is_not_overwritten(tmp_path: Path) -> None:
    with pytest.raises(StorageTrouble, match="it is a folder"):
        write_atomically(tmp_path, b"x")


@pytest.mark.skipif(os.name != "posix", reason="devices are files on POSIX only")
def test_a_device_is_not_replaced_by_a_file() -> None:
    with pytest.raises(StorageTrouble, match="it is a device"):
        write_atomically("/dev/null", b"x")
    assert not Path("/dev/null").is_file()


@pytest.mark.skipif(os.name != "posix", reason="links need rights elsewhere")
def test_a_link_is_written_through(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_bytes(b"old")
    (tmp_path / "link.txt").symlink_to("real.txt")
    write_atomically(tmp_path / "link.txt", b"new")
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_bytes() == b"new"


@pytest.mark.skipif(os.name != "posix", reason="links need rights elsewhere")
def test_links_in_a_circle_are_refused(tmp_path: Path) -> None:
    (tmp_path / "a").symlink_to("b")
    (tmp_path / "b").symlink_to("a")
    with pytest.raises(StorageTrouble):
        write_atomically(tmp_path / "a", b"x")


def test_a_file_the_block_stumbles_over_is_named_instead(tmp_path: Path) -> None:
    missing = tmp_path / "picture.jpg"
    with pytest.raises(StorageTrouble, match=r"picture\.jpg"), atomic_path(tmp_path / "card.pdf"):
        missing.read_bytes()


@pytest.mark.skipif(os.name != "posix", reason="the umask is POSIX's")
def test_a_written_file_has_the_usual_permissions(tmp_path: Path) -> None:
    (tmp_path / "usual").write_bytes(b"")
    write_atomically(tmp_path / "ours", b"")
    assert (tmp_path / "ours").stat().st_mode == (tmp_path / "usual").stat().st_mode


def test_the_hash_of_a_file_is_that_of_its_bytes(tmp_path: Path) -> None:
    data = bytes(range(256)) * 5000
    (tmp_path / "scan.tif").write_bytes(data)
    assert sha256_of(tmp_path / "scan.tif") == hashlib.sha256(data).hexdigest()
    # FIPS 180-4, the digest of the empty message (docs/sources.md, S94).
    (tmp_path / "empty").write_bytes(b"")
    assert sha256_of(tmp_path / "empty").startswith("e3b0c44298fc1c149afbf4c8996fb924")


def test_a_file_that_is_not_there_has_no_hash(tmp_path: Path) -> None:
    with pytest.raises(StorageTrouble, match=r"cannot read .*scan\.tif"):
        sha256_of(tmp_path / "scan.tif")


def test_temporary_files_are_hidden() -> None:
    assert TEMPORARY_PREFIX.startswith(".")
