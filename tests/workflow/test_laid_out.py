"""Kept files are laid out under names of our own, and spoken of by the names that they came under."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.errors import BadImage
from tackside.messages.message import Message
from tackside.messages.place import Place
from tackside.workflow.laid_out import known_as, lay_out
from tackside.workflow.sent_files import under_their_names


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return Bench.open(tmp_path / "bench")


def test_a_kept_file_lies_there_whole_under_our_own_name(bench: Bench, tmp_path: Path) -> None:
    theirs = tmp_path / "phone scan; mixed.tif"
    theirs.write_bytes(b"II*\0 and so on")
    sha256 = bench.keep_file(theirs)
    folder = tmp_path / "job"
    folder.mkdir()
    (laid,) = lay_out(bench, folder, [sha256], [theirs.name])
    assert laid.path == folder / "file-1.tif"
    assert laid.path.read_bytes() == theirs.read_bytes()
    assert (laid.name, laid.is_kept) == (theirs.name, True)


def test_what_is_said_of_it_names_it_as_it_came(bench: Bench, tmp_path: Path) -> None:
    """By values that are the file's name alone: a value that only holds it, such as a note, is the person's own."""
    theirs = tmp_path / "boats.tif"
    theirs.write_bytes(b"II*\0")
    folder = tmp_path / "job"
    folder.mkdir()
    laid = lay_out(bench, folder, [bench.keep_file(theirs)], [theirs.name])
    why = Message("picture.taken-for-srgb", file=str(laid[0].path))
    said = known_as(Message("profile.left-out", reason=why, note="like file-1.tif of last year"), laid)
    assert said.value("reason") == Message("picture.taken-for-srgb", file="boats.tif")
    assert said.value("note") == "like file-1.tif of last year"
    with pytest.raises(BadImage) as raised, under_their_names(laid):
        raise BadImage("picture.breaks-off", place=Place("card", ("pictures", 0)), file=str(laid[0].path))
    assert raised.value.message == Message("picture.breaks-off", file="boats.tif")
    assert raised.value.place == Place("card", ("pictures", 0))
