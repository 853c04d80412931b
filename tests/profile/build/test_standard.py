"""The profile against the standard, tag by tag and type by type: ICC.1:2022 (as ISO 15076-1) and ICC.1:2001-04.

Layouts: docs/sources.md, S70. Two readers that are not ours read the same bytes in ``test_readers``.
"""

from __future__ import annotations

import hashlib
import struct
from datetime import date

import numpy as np
import pytest

from tackside.colour.spaces import WHITE_D50, xyz_to_lab
from tackside.profile.build.build import build_profile
from tackside.profile.faults.find import find_faults
from tackside.profile.icc.exact import lab_of_device
from tackside.profile.icc.inspect import contents, describe, read_header, read_tags
from tackside.profile.icc.summary import summarise
from tackside.reading.instrument.file import parse_instrument
from tests.profile.build.built import MADE_AT, WORDS, built, measured, table
from tests.profile.build.presses import PRESSES, chart

TODAY = date(2026, 6, 1)
VERSIONS = pytest.mark.parametrize("version", [4, 2])
# Required of an output profile with three channels, and what else it holds; types of version 4, then of version 2.
TYPES = {
    "desc": ("mluc", "desc"),
    "cprt": ("mluc", "text"),
    "wtpt": ("XYZ ", "XYZ "),
    "A2B0": ("mAB ", "mft2"),
    "A2B1": ("mAB ", "mft2"),
    "A2B2": ("mAB ", "mft2"),
    "B2A0": ("mBA ", "mft2"),
    "B2A1": ("mBA ", "mft2"),
    "B2A2": ("mBA ", "mft2"),
    "gamt": ("mBA ", "mft1"),
    "chad": ("sf32", None),
    "bkpt": ("XYZ ", "XYZ "),
    "view": ("view", "view"),
    "meas": ("meas", "meas"),
    "tech": ("sig ", "sig "),
    "targ": ("text", "text"),
}


def held(version: int) -> dict[str, bytes]:
    tags = contents(read_tags(built("halftone", version).data))
    return {signature: bytes(content) for signature, content in tags.items()}


@VERSIONS
def test_each_tag_is_there_with_the_type_of_its_version(version: int) -> None:
    expected = {name: types[version == 2] for name, types in TYPES.items() if types[version == 2]}
    assert {name: content[:4].decode() for name, content in held(version).items()} == expected
    assert all(content[4:8] == bytes(4) for content in held(version).values())


@VERSIONS
def test_the_header(version: int) -> None:
    profile = built("halftone", version).data
    header = read_header(profile)
    assert header.size == len(profile)
    assert header.version == ((4, 3) if version == 4 else (2, 4))
    assert (header.profile_class, header.colour_space, header.connection_space) == ("output", "RGB", "Lab")
    assert struct.unpack_from(">6H", profile, 24) == MADE_AT.timetuple()[:6]
    assert profile[36:40] == b"acsp"
    assert struct.unpack_from(">I", profile, 64) == (0,)  # perceptual
    assert struct.unpack_from(">3i", profile, 68) == (0xF6D6, 0x10000, 0xD32D)
    blank = profile[:84] + bytes(16) + profile[100:]  # flags and intent are zero
    expected = hashlib.md5(blank, usedforsecurity=False).digest() if version == 4 else bytes(16)
    assert profile[84:100] == expected
    assert profile[100:128] == bytes(28)


@VERSIONS
def test_words(version: int) -> None:
    tags = held(version)
    if version == 4:
        assert describe(built("halftone", 4).data) == WORDS
        assert tags["cprt"][28:].decode("utf-16-be") == "No copyright is claimed for this profile"
        return
    (count,) = struct.unpack_from(">I", tags["desc"], 8)
    assert tags["desc"][12 : 12 + count] == b"Harbour Satin 300, gr??er\0"
    language, wide = struct.unpack_from(">II", tags["desc"], 12 + count)
    assert language == 0
    assert tags["desc"][20 + count : 20 + count + 2 * wide].decode("utf-16-be") == WORDS + "\0"
    assert len(tags["desc"]) == 20 + count + 2 * wide + 70  # script code, its count and 67 bytes
    assert tags["cprt"] == b"text\0\0\0\0No copyright is claimed for this profile\0"


@VERSIONS
@pytest.mark.parametrize("press", PRESSES)
def test_white_and_black_are_the_papers_own(press: str, version: int) -> None:
    profile = built(press, version).data
    tags = contents(read_tags(profile))
    truth = PRESSES[press](np.array([[1.0, 1, 1], [0, 0, 0]]))
    for signature, lab in zip(("wtpt", "bkpt"), truth, strict=True):
        xyz = np.array(struct.unpack_from(">3i", tags[signature], 8)) / 65536
        assert xyz_to_lab(xyz) == pytest.approx(lab, abs=0.5)
    there = lab_of_device(table(profile, "A2B1"), np.array([[1.0, 1, 1]]))
    assert there[0] == pytest.approx([100, 0, 0], abs=0.01)


@VERSIONS
def test_viewing_and_measurement(version: int) -> None:
    tags = held(version)
    figures = np.array(struct.unpack_from(">6i", tags["view"], 8)) / 65536
    assert figures[:3] == pytest.approx(500 / np.pi * WHITE_D50, abs=1e-3)  # ISO 3664 P2: 500 lx
    assert figures[3:] == pytest.approx(0.2 * figures[:3], abs=1e-3)
    assert struct.unpack_from(">I", tags["view"], 32) == (1,)  # D50
    assert len(tags["view"]) == 36
    assert struct.unpack_from(">I", tags["meas"], 8) == (1,)  # 2° observer
    assert struct.unpack_from(">3I", tags["meas"], 24) == (1, 0, 1)  # 45°:0°, no flare, D50
    assert len(tags["meas"]) == 36
    assert tags["tech"][8:] == b"ijet"
    if version == 4:
        assert np.array(struct.unpack_from(">9i", tags["chad"], 8)) / 65536 == pytest.approx(
            np.eye(3).ravel()
        )


@VERSIONS
def test_the_measurements_come_back_from_the_profile(version: int) -> None:
    text = held(version)["targ"]
    assert text.endswith(b"\0")
    read = parse_instrument(text[8:-1], "targ.txt")
    sheet = measured("halftone", 512)
    assert read.rgb is not None
    order = np.lexsort(sheet.device.T[::-1])
    assert read.rgb == pytest.approx(chart(512)[order], abs=0.0051 / 255)
    assert read.lab == pytest.approx(sheet.lab[order], abs=0.001)
    assert read.condition == "M1"


@VERSIONS
def test_the_gamut_tag_is_zero_inside_and_rises_outside(version: int) -> None:
    gamut = table(built("halftone", version).data, "gamt")
    assert (gamut.inputs, gamut.outputs, gamut.grid) == (3, 1, (33, 33, 33))
    assert gamut.nodes is not None
    alarm = gamut.nodes.reshape(33, 33, 33)
    assert alarm[16, 16, 16] == 0
    assert alarm[16, 32, 32] > 0.5
    assert 0.01 < np.mean(alarm == 0) < 0.2


@VERSIONS
@pytest.mark.parametrize("press", PRESSES)
def test_our_own_fault_finder_finds_nothing(press: str, version: int) -> None:
    profile = built(press, version).data
    assert find_faults(profile, TODAY) == ()
    assert summarise(profile, TODAY).faults == ()
    assert len(profile) < 1_500_000


def test_a_scan_claims_no_geometry() -> None:
    made = build_profile(measured("dye", 120), description="Scanned", condition=None, made_at=MADE_AT)
    assert "meas" not in contents(read_tags(made.data))


def test_the_same_readings_give_the_same_bytes() -> None:
    again = build_profile(measured("halftone", 512), description=WORDS, condition="M1", made_at=MADE_AT)
    assert again.data == built("halftone").data
