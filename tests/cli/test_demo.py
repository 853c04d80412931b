"""The demo's folder. What the demo finds is in ``tests/test_install.py``, which runs it from the wheel."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.cli.commands.demo import FOLDER, in_the_browser
from tackside.cli.commands.start import bench_of_demo
from tackside.cli.demo.studio import MARKER, demo_bench, workshop
from tackside.cli.main import main


def test_a_folder_with_files_of_someones_own_is_never_touched(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "thesis.txt").write_text("mine")
    assert main(["demo", "--out", str(tmp_path)]) == 2
    assert "no demo made" in capsys.readouterr().err
    assert (tmp_path / "thesis.txt").read_text() == "mine"


def test_an_earlier_demo_gives_way_and_nothing_is_left_beside_it(tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    for run in ("first", "second"):
        with workshop(folder) as place:
            (place / run).touch()
    assert {each.name for each in folder.iterdir()} == {"second", MARKER}
    assert [each.name for each in tmp_path.iterdir()] == ["demo"]


def test_a_demo_that_fails_leaves_the_earlier_one_as_it_was(tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    with workshop(folder) as place:
        (place / "whole").touch()

    def stop_half_way() -> None:
        with workshop(folder) as place:
            (place / "half").touch()
            raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        stop_half_way()
    assert {each.name for each in folder.iterdir()} == {"whole", MARKER}
    assert [each.name for each in tmp_path.iterdir()] == ["demo"]


def test_the_browser_opens_a_demo_that_is_there_as_it_was_left(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    assert demo_bench(FOLDER) is None
    (FOLDER / "bench").mkdir(parents=True)
    assert demo_bench(FOLDER) is None  # a folder of somebody's own
    (FOLDER / MARKER).touch()
    assert demo_bench(FOLDER) == bench_of_demo() == FOLDER / "bench"


@pytest.mark.parametrize(
    ("folder", "command"),
    [
        (FOLDER, "tackside start --demo"),
        (Path("my demo"), "tackside --bench 'my demo/bench' start"),
    ],
)
def test_the_demo_says_how_it_is_opened(folder: Path, command: str) -> None:
    assert in_the_browser(folder) == command
