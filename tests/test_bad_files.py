"""Damaged files of every kind: read, or refused in one line; never a fault of the program's own."""

from __future__ import annotations

import itertools
import random
from pathlib import Path

import pytest

from tackside.errors import BadInstrumentFile
from tests.bad_files import Reader, cases, fault_in, readers
from tests.extent import drawn

KINDS = (
    "profile", "cgats", "cxf", "picture", "scan", "scanned pdf", "stock", "printer", "card", "run", "list", "font",
    "stock archive", "backup", "ipp", "escl",
)  # fmt: skip
# A profile is converted by, a picture decoded, a backup brought back: those cost more than a look at bytes.
SLOW = {"profile": 6, "picture": 20, "scan": 20, "backup": 10}


@pytest.fixture(scope="module")
def known(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Reader]:
    return readers(tmp_path_factory.mktemp("sound"))


def test_every_kind_is_tried(known: dict[str, Reader]) -> None:
    assert tuple(known) == KINDS


@pytest.mark.parametrize("kind", KINDS)
def test_a_sound_file_is_read(kind: str, known: dict[str, Reader], tmp_path: Path) -> None:
    for seed in known[kind].seeds:
        (tmp_path / "sound").write_bytes(seed)
        if (kind, seed[8:12]) != ("scan", b"WEBP"):  # a picture, but none that a scanner writes
            known[kind].read(tmp_path / "sound")


@pytest.mark.parametrize("kind", KINDS)
def test_a_damaged_file_is_read_or_refused_in_a_line(
    kind: str, known: dict[str, Reader], tmp_path: Path
) -> None:
    some = drawn(SLOW.get(kind, 60), 10 * SLOW.get(kind, 60))
    for number, data in enumerate(itertools.islice(cases(known[kind], random.Random(kind)), some)):
        assert fault_in(known[kind], data, tmp_path / "bad") is None, number
    assert [each.name for each in tmp_path.iterdir() if each.name not in ("bad", "shelf")] == []


def test_a_number_over_many_lines_is_told_in_one(known: dict[str, Reader], tmp_path: Path) -> None:
    seed = known["cxf"].seeds[0]
    at = seed.index(b">", seed.index(b">", seed.index(b"ColorCIELab")) + 1) + 1
    (tmp_path / "bad").write_bytes(seed[:at] + b"-\n\n\n" + seed[at:])
    with pytest.raises(BadInstrumentFile) as caught:
        known["cxf"].read(tmp_path / "bad")
    assert "\n" not in str(caught.value)


def test_a_pdf_whose_list_of_pages_promises_more_than_it_has(
    known: dict[str, Reader], tmp_path: Path
) -> None:
    seed = known["scanned pdf"].seeds[0]
    for bad in (seed.replace(b"/Count 1", b"/Count 9"), seed.replace(b"/Kids [ ", b"/Kids [ 5 ")):
        assert bad != seed
        assert fault_in(known["scanned pdf"], bad, tmp_path / "bad") is None
