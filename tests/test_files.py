"""What the project's files are called and hold: open formats alone, and sample pictures of no person."""

from __future__ import annotations

import hashlib
import re
from pathlib import Path

import pytest
import skimage.data

ROOT = Path(__file__).parent.parent
FOLDERS = ("benchmarks", "docs", "locks", "src", "tests", "tools")
ENDINGS = {
    *(".py", ".typed", ".toml", ".cfg", ".conf"),
    *(".md", ".txt", ".csv", ".svg", ".png", ".webp", ".npz"),
    *(".html", ".css", ".js", ".j2", ".typ", ".po"),
    *(".otf", ".ttf", ".woff2"),
    ".json",  # schemas of the files that people write
    ".pem",  # keys of the tests' own scanners, which secure nothing
}
# Of scikit-image's own sample pictures those that show no person: a cup, a cat, a night launch, matter and patterns.
SAMPLES = {
    *(
        "brick",
        "cell",
        "chelsea",
        "clock_motion",
        "coffee",
        "coins",
        "grass",
        "gravel",
        "hubble_deep_field",
        "ihc",
    ),
    *("moon", "motorcycle_left", "motorcycle_right", "page", "retina", "rocket"),
}
# SHA-256 of all from NUMBER_OF_FIELDS on in the files of the Debian package that tests/reference/README.md names.
ROWS = {
    "FOGRA39L": "28b02d83062f74781fec973fe669722da99e2d8c3cdeedf271f97e90913fc56e",
    "FOGRA29L": "18bc8f1c58381be52002e4fd4d834781a97f9a0f435052ee429e1f9978f8fee5",
    "TR003": "18c90a0a3ddb59f80680ed75486935000e913e6e1292afb980efb4584d9b6454",
}


def files(*folders: str) -> list[Path]:
    found = (path for folder in folders for path in (ROOT / folder).rglob("*") if path.is_file())
    return [path for path in found if "__pycache__" not in path.parts and not path.name.startswith(".")]


def test_no_file_has_an_ending_that_is_not_expected() -> None:
    # What a fuzzer kept is named by its digest.
    named = [path for path in files(*FOLDERS) if not path.is_relative_to(ROOT / "tests" / "fuzz" / "corpus")]
    assert {path.suffix for path in named} - ENDINGS == set()


@pytest.mark.parametrize("name", ROWS)
def test_open_data_stand_in_the_standards_own_form_with_their_rows_untouched(name: str) -> None:
    path = ROOT / "tests" / "reference" / f"{name}.txt"
    data = path.read_bytes()
    head, rows = data[: data.index(b"\nNUMBER_OF_FIELDS")], data[data.index(b"\nNUMBER_OF_FIELDS") :]
    assert head.splitlines()[0] == b"CGATS.17"  # ISO 28178
    assert b"ALTERED FROM ITS SOURCE" in head  # the licence asks for it: LICENCE-zlib.txt
    assert hashlib.sha256(rows).hexdigest() == ROWS[name]


def test_sample_pictures_show_no_person() -> None:
    shipped = Path(skimage.data.__file__).parent
    images = [path for path in shipped.iterdir() if path.suffix in {".png", ".jpg", ".gif", ".npy", ".tif"}]
    assert {path.stem for path in images} > SAMPLES
    others = "|".join(re.escape(path.name) for path in images if path.stem not in SAMPLES)
    # Either as a file, or by the function of the same library: coffee alone is asked for in that way.
    used = re.compile(
        rf"[\"/](?:{others})\"|(?<!\w)data\.(?!coffee\(\))(?:{'|'.join(skimage.data.__all__)})\("
    )
    code = [path for path in files("tests", "benchmarks") if path.suffix == ".py"]
    found = {path.name: used.findall(path.read_text("utf-8")) for path in code}
    assert {name: names for name, names in found.items() if names} == {}
