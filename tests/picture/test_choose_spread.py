"""Weighing pictures up comes out the same in threads, in processes and on a cluster, and goes on where it stopped."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from pathlib import Path

import pytest
from PIL import Image

from tackside.errors import BadRequest
from tackside.picture.choose import choose as choosing
from tackside.picture.choose import choose_work
from tackside.picture.choose.choose import Choice, choose
from tackside.picture.proof.ways import PrintWay
from tackside.profile.icc.working_space import working_space_profile
from tests.cluster import running_cluster
from tests.picture.photographs import FOLDER
from tests.picture.test_choose import three_cards


@pytest.fixture
def pictures(tmp_path: Path) -> list[Path]:
    """Photographs, one of them in Adobe RGB (1998), and one that breaks off."""
    for name in ("chelsea.png", "coffee.png", "rocket.jpg", "ihc.png"):
        shutil.copy(FOLDER / name, tmp_path / name)
    with Image.open(FOLDER / "motorcycle_left.png") as image:
        wide = working_space_profile("adobe-rgb")
        image.convert("RGB").resize((200, 140)).save(tmp_path / "wide.jpg", icc_profile=wide)
    (tmp_path / "broken.jpg").write_bytes((FOLDER / "rocket.jpg").read_bytes()[:9000])
    return sorted(tmp_path.iterdir())


@pytest.fixture(autouse=True)
def _three_pieces(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(choosing, "PIECES", 3)  # two pictures a piece: sums are made of sums


def said(choice: Choice) -> list[object]:
    def name(way: PrintWay | None) -> object:
        return way and (way.stock, way.profile, way.variant)

    return [
        *((name(each.way), each.cost, each.figures, each.best_of) for each in choice.ranking),
        *((each.path, name(each.way), each.score, each.fault) for each in choice.pictures),
    ]


@pytest.mark.slow
def test_two_processes_find_what_threads_find_and_keep_it(pictures: list[Path], tmp_path: Path) -> None:
    here = said(choose(pictures, three_cards()))
    cache, told = tmp_path / "cache", []
    there = choose(
        pictures, three_cards(), cache=cache, workers=2, progress=lambda done, of: told.append((done, of))
    )
    assert said(there) == here
    assert told == [(done, 6) for done in range(1, 7)]
    assert len(list((cache / "choose").glob("*.json"))) == 3


def test_what_was_weighed_is_not_weighed_again_until_the_picture_changes(
    pictures: list[Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[str] = []
    whole = choose_work.weigh

    def weigh(asked: dict[str, list[dict[str, str]]], common: dict[str, object]) -> dict[str, object]:
        seen.extend(Path(each["path"]).name for each in asked["pictures"])
        return whole(asked, common)

    weigh.__module__, weigh.__qualname__ = whole.__module__, whole.__qualname__
    monkeypatch.setattr(choosing, "weigh", weigh)
    names, cache = [each.name for each in pictures], tmp_path / "cache"
    first = said(choose(pictures, three_cards(), cache=cache))
    assert sorted(seen) == names
    seen.clear()
    assert said(choose(pictures, three_cards(), cache=cache)) == first
    assert sorted(seen) == names[:2]  # the piece with the broken one: what keeps it shut may be gone
    seen.clear()
    shutil.copy(FOLDER / "rocket.jpg", pictures[2])
    assert said(choose(pictures, three_cards(), cache=cache)) != first
    assert sorted(seen) == names[:4]


def test_a_choice_that_was_stopped_goes_on_without_a_word_of_workers(
    pictures: list[Path], tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    cache = tmp_path / "cache"
    sound = [each for each in pictures if each.name != "broken.jpg"]
    here = said(choose(sound, three_cards()))

    def stop(done: int, of: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        choose(sound, three_cards(), cache=cache, progress=stop)
    kept = len(list((cache / "choose").glob("*.json")))
    assert kept >= 1
    left: list[object] = []
    whole = choosing.Workshop.look_at

    def look_at(workshop: choosing.Workshop, path: Path) -> object:
        left.append(path)
        return whole(workshop, path)

    monkeypatch.setattr(choosing.Workshop, "look_at", look_at)
    assert said(choose(sound, three_cards(), cache=cache)) == here
    assert len(left) == len(sound) - kept  # a picture a piece


@pytest.fixture(scope="module")
def cluster() -> Iterator[str]:
    with running_cluster() as address:
        yield address


@pytest.mark.slow
def test_a_cluster_finds_the_same(cluster: str, pictures: list[Path]) -> None:
    assert said(choose(pictures, three_cards(), cluster=cluster)) == said(choose(pictures, three_cards()))


def test_a_worker_that_does_not_find_the_pictures_says_so(tmp_path: Path) -> None:
    asked = {"pictures": [{"path": str(tmp_path / "boats.jpg"), "size": 9, "changed": 0}]}
    workshop = choosing.Workshop(three_cards()[:1], None)
    with (
        choose_work.at_hand(workshop) as handle,
        pytest.raises(BadRequest, match=r"does not find .*boats\.jpg"),
    ):
        choose_work.weigh(asked, handle)
