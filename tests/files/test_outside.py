"""The one way in for files from outside, and the way out for what libraries write."""

from __future__ import annotations

import os
import sys
import time
import zipfile
from pathlib import Path

import pikepdf
import pytest
import pyvips

from tackside.errors import BadImage, BadRecord, BadRequest, StorageTrouble
from tackside.files.atomic import atomic_path, disk_trouble, require_free, write_text
from tackside.files.image import image_in
from tackside.files.outside import LONGEST_NAME_BYTES, PICTURE, Intake, as_text, require_name
from tackside.files.pdf import save_patiently
from tackside.files.zip_entry import undated
from tackside.messages.message import Message
from tests.refusals import refused

linux = pytest.mark.skipif(sys.platform != "linux", reason="names and devices of this kind are Linux's")


def reason(code: str) -> dict[str, object]:
    return {"reason": Message(code)}


@linux
def test_what_is_no_plain_file_is_refused_before_it_is_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    (tmp_path / "loop").symlink_to("loop")
    for name, code in (
        (str(tmp_path / "pipe"), "file.is-pipe-or-device"), ("/dev/null", "file.is-pipe-or-device"),
        (str(tmp_path), "file.is-folder"), (str(tmp_path / "loop"), "file.links-in-a-circle"),
        (str(tmp_path / "gone"), "file.nothing-there"), (str(tmp_path / ("n" * 256)), "file.name-too-long"),
        ("a\0b", "file.name-holds-nul"), ("\ud800", "file.name-not-text"),
    ):  # fmt: skip
        for do in (Intake().require, Intake().read, Intake().open):
            with refused(StorageTrouble, "file.cannot-read", **reason(code)):
                do(Path(name))


def test_each_kind_says_it_in_its_own_words(tmp_path: Path) -> None:
    with refused(BadImage, "picture.missing", file=str(tmp_path / "sea.png")):
        PICTURE.read(tmp_path / "sea.png")
    with refused(BadImage, "picture.folder"):
        PICTURE.read(tmp_path)


def test_size_is_bounded_even_where_a_file_grows_meanwhile(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    kind, file = Intake(BadRecord, most_bytes=1_000_000), tmp_path / "list"
    file.write_bytes(b"x" * 1_000_000)
    assert len(kind.read(file)) == 1_000_000
    file.write_bytes(b"x" * 1_000_001)
    with refused(BadRecord, "file.cannot-read", reason=Message("file.larger-than-taken", limit_mb=1)):
        kind.read(file)
    small = os.stat_result((0o100644, *[0] * 9))
    monkeypatch.setattr(os, "fstat", lambda _: small)
    monkeypatch.setattr(Path, "stat", lambda *_, **__: small)
    with refused(BadRecord, "file.cannot-read", reason=Message("file.larger-than-taken", limit_mb=1)):
        kind.read(file)


def test_a_longest_name_is_no_fault(tmp_path: Path) -> None:
    file = tmp_path / ("n" * LONGEST_NAME_BYTES)
    file.write_bytes(b"word")
    assert Intake().read(file) == b"word"
    with refused(BadRequest, "file.cannot-use", **reason("file.name-too-long")):
        require_name(tmp_path / ("ä" * 128))


@linux
def test_a_picture_under_a_name_that_is_no_text_is_decoded(tmp_path: Path) -> None:
    """libvips wants its names in UTF-8, and takes brackets at their end for options."""
    made = pyvips.Image.black(7, 5)
    for name in (os.fsdecode(b"sk\xe4r.png"), "a[page=3].png"):
        (tmp_path / name).write_bytes(made.pngsave_buffer())
        assert image_in(tmp_path / name).width == 7


def test_a_name_is_kept_as_text() -> None:
    assert as_text(os.fsdecode(b"sk\xe4r.png")) == "sk�r.png"
    assert as_text("skär.png") == "skär.png"


@linux
def test_an_output_that_can_be_none_is_refused_before_any_work(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.pdf")
    (tmp_path / "a.txt").write_text("a")
    for path, code in (
        (tmp_path / "pipe.pdf", "file.is-device"), (Path("/dev/full"), "file.is-device"),
        (tmp_path, "file.is-folder"), (tmp_path / "a.txt" / "b.pdf", "file.path-through-file"),
        (tmp_path / ("n" * 300), "file.name-too-long"), (Path("a\0b.pdf"), "file.name-holds-nul"),
    ):  # fmt: skip
        with refused(StorageTrouble, "file.cannot-write", **reason(code)):
            require_free(path, force=True)
    require_free(tmp_path / "new folder" / "b.pdf", tmp_path / "b.pdf", None, force=False)


@linux
def test_a_library_that_wants_text_of_a_name_is_refused_in_words(tmp_path: Path) -> None:
    out = tmp_path / os.fsdecode(b"\xe4")
    out.mkdir()
    with (
        refused(StorageTrouble, "file.cannot-write", **reason("file.name-not-text")),
        atomic_path(out / "a.png") as file,
    ):
        pyvips.Image.black(7, 5).pngsave(str(file))
    assert list(out.iterdir()) == []


def test_a_pdf_for_a_full_disk_ends_in_an_error_and_not_the_program(tmp_path: Path) -> None:
    with pikepdf.new() as pdf:
        pdf.add_blank_page()
        save_patiently(pdf, tmp_path / "a.pdf", deterministic_id=True)
        pdf.save(tmp_path / "b.pdf", deterministic_id=True)
        if Path("/dev/full").exists():
            with pytest.raises(OSError, match="No space"):
                save_patiently(pdf, Path("/dev/full"))
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_what_nobody_explained_names_the_file_at_least(tmp_path: Path) -> None:
    told = disk_trouble(PermissionError(13, "Permission denied", str(tmp_path)))
    assert told.message.value("file") == str(tmp_path)
    assert told.message.value("reason") == Message("file.permission-refused")
    assert disk_trouble(OSError(28, "full")).message.code == "file.disk-refuses"


@pytest.mark.parametrize("year", [1970, 2150])
def test_an_archive_is_dated_by_no_clock(tmp_path: Path, year: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """A zip knows 1980 to 2107; clocks without a battery begin at 1970."""
    then = time.struct_time((year, 1, 2, 3, 4, 5, 0, 2, 0))
    monkeypatch.setattr(time, "localtime", lambda *_: then)
    with zipfile.ZipFile(tmp_path / "a.zip", "w", zipfile.ZIP_DEFLATED, compresslevel=1) as archive:
        archive.writestr(undated(archive, "told"), b"word " * 1000)
        with archive.open(undated(archive, "written"), "w", force_zip64=True) as stream:
            stream.write(b"word " * 1000)
    with zipfile.ZipFile(tmp_path / "a.zip") as archive:
        for entry in archive.infolist():
            assert (entry.date_time[0], entry.compress_type) == (1980, zipfile.ZIP_DEFLATED)
            assert entry.compress_size < 100
            assert archive.read(entry) == b"word " * 1000


def test_text_is_written_whatever_names_it_has(tmp_path: Path) -> None:
    write_text(tmp_path / "a.html", f"<p>{os.fsdecode(b'sk' + bytes([0xE4]) + b'r')}</p>")
    assert (tmp_path / "a.html").read_text("utf-8") == "<p>sk�r</p>"
