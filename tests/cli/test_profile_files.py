"""Profiles that a person names: read in one place, so that every command says the same of the same file."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.errors import BadProfile
from tackside.messages.message import Message
from tackside.profile.icc.files import read_profile_file
from tackside.profile.icc.working_space import working_space_profile
from tackside.workflow.pictures.profile_files import read_profiles
from tests.cli.bench_of_examples import Caller
from tests.picture.photographs import FOLDER
from tests.refusals import refused

PICTURE = FOLDER / "coffee.png"


@pytest.fixture
def call(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> Caller:
    return Caller(tmp_path / "bench", capsys)


def test_a_profile_that_is_not_there_is_told_alike_by_every_command(call: Caller, tmp_path: Path) -> None:
    Bench.open(call.folder)
    gone = tmp_path / "nowhere.icc"
    for asked in (
        ("choose", PICTURE, "--profiles", gone),
        ("proof", PICTURE, "--profile", gone, "--out", tmp_path / "proof.png"),
        ("profile", "show", gone),
    ):
        assert f"cannot read {gone}: there is no file of that name" in call.refusal(*asked)


def test_what_is_no_profile_is_left_out_and_told(tmp_path: Path) -> None:
    good, bad = tmp_path / "screen.icc", tmp_path / "notes.icc"
    good.write_bytes(working_space_profile("srgb"))
    bad.write_text("nothing measured here" * 20)
    found, notices = read_profiles([bad, good])
    assert found == [(str(good), good.read_bytes())]
    reason = Message("profile.file-no-signature", file=str(bad))
    assert notices == (Message("profile.left-out", reason=reason),)
    with refused(BadProfile, "profile.file-no-signature"):
        read_profiles([bad])


def test_an_enormous_file_is_not_read(tmp_path: Path) -> None:
    path = tmp_path / "huge.icc"
    with path.open("wb") as stream:
        stream.truncate(200 * 1024 * 1024)  # sparse: it takes no room
    with refused(BadProfile, "profile.file-too-large"):
        read_profile_file(path)
