"""A personalised run is the same wherever it is made, goes on where it was stopped, and makes nothing twice."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tackside.card.file.design import Card, CardPicture, CardText
from tackside.card.layout.layout import CardFace
from tackside.card.layout.placed import PlacedPicture
from tackside.card.make import make_card
from tackside.card.pixels import raster, resample
from tackside.card.series import row_work
from tackside.card.series.list_file import read_rows
from tackside.card.series.row_faults import Rows
from tackside.card.series.rows import personalised
from tackside.card.series.series import RowSheet, make_series
from tackside.errors import BadImage, StorageTrouble
from tackside.fit.placement.correction import Correction
from tackside.fit.placement.measured import UNMEASURED, PrintPath
from tackside.tasks.workers import Plain
from tests.card.designs import printer, stock, write_corners
from tests.cluster import running_cluster
from tests.refusals import refused

NAMES = ("Ann", "Bob", "Cleo", "Zoë", "Dai", "Eve")


def design(folder: Path) -> Card:
    return Card(
        stock="S",
        printer="P",
        pictures=(CardPicture(panel="front", file="{picture}.png"),),
        texts=(CardText(panel="back", text="For {name}", size_pt=12),),
        folder=folder,
    )


def guests(folder: Path, names: tuple[str, ...] = NAMES) -> Rows:
    for picture in ("one", "two"):
        if not (folder / f"{picture}.png").exists():
            write_corners(folder, f"{picture}.png")
    lines = [f"{name},{('one', 'two')[number % 2]}" for number, name in enumerate(names)]
    (folder / "guests.csv").write_text("\n".join(["name,picture", *lines]), encoding="utf-8")
    return read_rows(folder / "guests.csv")


def made(folder: Path, rows: Rows, out: str = "card.pdf", **more: object) -> tuple[RowSheet, ...]:
    (folder / out).parent.mkdir(exist_ok=True)
    return make_series(design(folder), rows, stock(), printer(), folder / out, **more)  # type: ignore[arg-type]


def contents(sheets: tuple[RowSheet, ...]) -> list[bytes]:
    return [file.read_bytes() for each in sheets for file in dict.fromkeys(each.sheet.files.values())]


def test_two_processes_make_what_threads_make(tmp_path: Path) -> None:
    rows = guests(tmp_path)
    there = made(tmp_path, rows, "there/card.jpg", workers=2)
    assert contents(there) == contents(made(tmp_path, rows, "here/card.jpg"))
    assert [each.sheet.files["outside"].name for each in there][-1] == "card-006-Eve.jpg"
    assert there[3].sheet.faces[0].texts[0].lines[0].text == "For Zoë"


def test_only_what_is_missing_or_has_changed_is_made_again(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    again: list[int] = []
    whole = row_work.make_row

    def make_row(asked: Plain, common: Plain) -> Plain:
        again.append(asked["row"])
        return whole(asked, common)

    make_row.__module__, make_row.__qualname__ = whole.__module__, whole.__qualname__
    monkeypatch.setattr("tackside.card.series.series.make_row", make_row)
    kept = {"finished": tmp_path / "kept"}
    first = contents(made(tmp_path, guests(tmp_path), **kept))
    assert sorted(again) == [1, 2, 3, 4, 5, 6]
    again.clear()
    assert contents(made(tmp_path, guests(tmp_path), **kept)) == first
    assert again == []
    next(tmp_path.glob("card-002*.pdf")).unlink()
    next(tmp_path.glob("card-004*.pdf")).write_bytes(b"spoiled")
    assert contents(made(tmp_path, guests(tmp_path), **kept)) == first
    assert sorted(again) == [2, 4]
    again.clear()
    made(tmp_path, guests(tmp_path, ("Ann", "Bo", *NAMES[2:])), **kept)
    assert again == [2]
    again.clear()
    write_corners(tmp_path, "one.png", 500, 300)  # another picture under the same name
    made(tmp_path, guests(tmp_path, ("Ann", "Bo", *NAMES[2:])), **kept)
    assert sorted(again) == [1, 3, 5]


@pytest.mark.parametrize("suffix", ["pdf", "jpg"])
def test_a_picture_that_all_rows_show_is_made_ready_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, suffix: str
) -> None:
    """And comes out as it does on a card made alone."""
    asked: list[str] = []
    whole = resample._made_ready

    def made_ready(placed: PlacedPicture, *how: object) -> resample.Upright:
        asked.append(placed.asked.file)
        return whole(placed, *how)  # type: ignore[arg-type]

    monkeypatch.setattr(resample, "_made_ready", made_ready)
    monkeypatch.setattr("os.cpu_count", lambda: 1)
    own = CardPicture(panel="back", file="{picture}.png")
    same = CardPicture(panel="front", file="same.png")
    card = design(tmp_path).model_copy(update={"pictures": (same, own)})
    write_corners(tmp_path, "same.png")
    rows = guests(tmp_path)
    found = make_series(card, rows, stock(), printer(), tmp_path / f"card.{suffix}")
    assert asked.count("same.png") == 1
    assert asked.count("one.png") == asked.count("two.png") == 3
    assert resample._kept == {}
    alone = make_card(personalised(card, rows)[4], stock(), printer(), tmp_path / f"alone.{suffix}")
    assert contents(found)[4] == alone.files["outside"].read_bytes()


@pytest.mark.parametrize(("suffix", "moved"), [("jpg", False), ("tif", False), ("tif", True)])
def test_words_are_laid_on_a_ground_that_is_drawn_once(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, suffix: str, moved: bool
) -> None:
    """And come out as they do on a card made alone, where the print is corrected for its placement too."""
    drawn: list[CardFace] = []
    whole = raster._ground

    def ground(face: CardFace, *how: object, **more: object) -> object:
        drawn.append(face)
        return whole(face, *how, **more)  # type: ignore[arg-type]

    monkeypatch.setattr(raster, "_ground", ground)
    monkeypatch.setattr("os.cpu_count", lambda: 1)
    write_corners(tmp_path, "same.png")
    pictures = tuple(
        CardPicture(panel=panel, file="same.png", border_mm=9) for panel in ("front", "inside-left")
    )
    card = design(tmp_path).model_copy(update={"pictures": pictures})
    rows = guests(tmp_path)
    correction = Correction(matrix=((1.001, 0.002, 0.3), (-0.002, 0.999, -0.4)))
    path = PrintPath({"front": UNMEASURED.model_copy(update={"correction": correction})} if moved else {})
    found = make_series(card, rows, stock(), printer(), tmp_path / f"card.{suffix}", path=path)
    assert [face.name for face in drawn] == ["outside", "inside"]
    assert resample._kept == {}
    for row in (0, 4):
        alone = make_card(
            personalised(card, rows)[row], stock(), printer(), tmp_path / f"alone.{suffix}", path=path
        )
        assert contents(found[row : row + 1]) == [file.read_bytes() for file in alone.files.values()]


def test_an_error_in_a_worker_names_the_row(tmp_path: Path) -> None:
    rows = guests(tmp_path)
    whole = (tmp_path / "two.png").read_bytes()
    (tmp_path / "two.png").write_bytes(whole[: len(whole) // 2])  # its header is sound
    with pytest.raises(BadImage, match=r"guests\.csv, row [246]: .*two\.png"):
        made(tmp_path, rows, "out/card.pdf", workers=1)


def test_files_that_a_worker_made_elsewhere_are_missed(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def elsewhere(asked: Plain, common: Plain) -> Plain:
        return {"files": {asked["file"]: "0" * 64}}

    monkeypatch.setattr("tackside.card.series.series.make_row", elsewhere)
    with refused(StorageTrouble, "card-rows.not-here", row=1):
        made(tmp_path, guests(tmp_path))


@pytest.fixture(scope="module")
def cluster() -> Iterator[str]:
    with running_cluster() as address:
        yield address


@pytest.mark.slow
def test_a_cluster_makes_the_same_files(cluster: str, tmp_path: Path) -> None:
    rows = guests(tmp_path)
    told: list[int] = []
    here = made(tmp_path, rows, "here/card.tif")
    there = made(tmp_path, rows, "there/card.tif", cluster=cluster, tell=lambda done, of: told.append(done))
    assert contents(there) == contents(here)
    assert told == list(range(7))
