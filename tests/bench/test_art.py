"""Profiles and pictures of a bench: kept once, found by what they are called, put away and taken out again."""

from __future__ import annotations

import hashlib

from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.store import Bench
from tackside.errors import NotFound
from tackside.records.assets import PictureFile, ProfileFile
from tests.refusals import refused


def profile(name: str, title: str) -> ProfileFile:
    sha256 = hashlib.sha256(name.encode()).hexdigest()
    return ProfileFile(
        sha256=sha256, name=name, title=title, size_bytes=900, kind="output", colour_space="RGB"
    )


def titles(bench: Bench, asked: ListAsked) -> list[str]:
    return [line.file.title for line in bench.profiles.list(asked)[0]]


def test_a_file_is_noted_once_as_it_was_first_called(bench: Bench) -> None:
    first = bench.profiles.add(profile("tern.icc", "Tern 8, satin"))
    again = bench.profiles.add(first.model_copy(update={"name": "copy of tern.icc"}))
    assert again == first
    assert bench.profiles.get(first.sha256) == first
    assert bench.profiles.list(ListAsked())[1] == 1
    assert not bench.pictures.holds(first.sha256)
    with refused(NotFound, "bench.no-picture"):
        bench.pictures.get(first.sha256)


def test_they_are_found_by_file_name_and_by_title(bench: Bench) -> None:
    for name, title in (("tern.icc", "Tern 8, satin"), ("b.icc", "gannet smooth"), ("z 100%.icc", "Auk rag")):
        bench.profiles.add(profile(name, title))
    assert titles(bench, ListAsked(words="TERN")) == ["Tern 8, satin"]
    assert titles(bench, ListAsked(words="b.icc")) == ["gannet smooth"]
    assert titles(bench, ListAsked(words="100%")) == ["Auk rag"]
    assert titles(bench, ListAsked(words="satin smooth")) == []
    assert titles(bench, ListAsked(sort="name")) == ["Auk rag", "gannet smooth", "Tern 8, satin"]
    assert titles(bench, ListAsked(sort="oldest", start=1, count=1)) == ["gannet smooth"]


def test_what_was_put_away_is_in_no_list_and_not_lost(bench: Bench) -> None:
    kept = bench.profiles.add(profile("tern.icc", "Tern 8, satin"))
    bench.catalogue.archive("profile", kept.sha256)
    assert bench.profiles.list(ListAsked()) == ((), 0)
    assert titles(bench, ListAsked(archived=True)) == ["Tern 8, satin"]
    assert bench.profiles.get(kept.sha256) == kept
    bench.catalogue.archive("profile", kept.sha256, archived=False)
    assert titles(bench, ListAsked()) == ["Tern 8, satin"]


def test_a_picture_keeps_its_size(bench: Bench) -> None:
    sha256 = hashlib.sha256(b"boats").hexdigest()
    made = PictureFile(
        sha256=sha256, name="boats.jpg", title="boats.jpg", size_bytes=10, kind="JPEG", size_px=(600, 400)
    )
    bench.pictures.add(made)
    assert bench.pictures.get(sha256).size_px == (600, 400)
