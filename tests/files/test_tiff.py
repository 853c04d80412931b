"""What a TIFF's own table tells, where it tells of places that no file has."""

from __future__ import annotations

import struct
from pathlib import Path

import pytest

from tackside.files.tiff import EXTRA_SAMPLES, STRIP_OFFSETS, extra_channels, holds_its_pixels

# Past the largest file of every file system (ext4: 16 TB), and still a number that a file can be asked to go to.
FARTHEST = 2**63 - 1


def big_tiff(directory: int, *entries: tuple[int, int]) -> bytes:
    """BigTIFF: its directory's place, and entries (tag, place) of eight SHORT that lie there and not in the entry."""
    listed = b"".join(struct.pack("<HHQQ", tag, 3, 8, place) for tag, place in entries)
    return struct.pack("<2sHHHQ", b"II", 43, 8, 0, directory) + struct.pack("<Q", len(entries)) + listed


@pytest.mark.parametrize(
    "data",
    [big_tiff(FARTHEST), big_tiff(16, (STRIP_OFFSETS, FARTHEST), (EXTRA_SAMPLES, FARTHEST))],
    ids=["directory", "values"],
)
def test_a_table_that_leads_past_every_file_is_damaged(data: bytes, tmp_path: Path) -> None:
    (tmp_path / "far.tif").write_bytes(data)
    assert not holds_its_pixels(tmp_path / "far.tif")
    assert extra_channels(tmp_path / "far.tif") == ()
