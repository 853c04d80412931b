"""Our working-space profiles against ISO 15076-1 and another reader of profiles."""

from __future__ import annotations

import hashlib
import io
import struct
from itertools import pairwise

import numpy as np
import pytest
from PIL import ImageCms

from tackside.colour.spaces import ADOBE_RGB, SRGB, RgbSpace
from tackside.profile.icc.inspect import describe, device_colour_space, profile_class
from tackside.profile.icc.working_space import SpaceName, working_space_profile

BOTH = pytest.mark.parametrize(("name", "space"), [("srgb", SRGB), ("adobe-rgb", ADOBE_RGB)])


def tag_table(profile: bytes) -> dict[bytes, tuple[int, int]]:
    (count,) = struct.unpack_from(">I", profile, 128)
    entries = (struct.unpack_from(">4sII", profile, 132 + 12 * entry) for entry in range(count))
    return {signature: (offset, length) for signature, offset, length in entries}


def fixed(profile: bytes, signature: bytes, count: int) -> np.ndarray:
    offset, _ = tag_table(profile)[signature]
    return np.array(struct.unpack_from(f">{count}i", profile, offset + 8)) / 65536


@BOTH
def test_the_header_is_that_of_iso_15076_1(name: SpaceName, space: RgbSpace) -> None:
    # ISO 15076-1:2010, 7.2
    profile = working_space_profile(name)
    assert struct.unpack_from(">I", profile)[0] == len(profile)
    assert len(profile) % 4 == 0
    assert profile[8:12] == b"\x04\x30\x00\x00"
    assert profile[12:24] == b"mntrRGB XYZ "
    assert profile[36:40] == b"acsp"
    assert profile[68:80].hex() == "0000f6d6000100000000d32d"  # D50 as the standard prints it
    assert profile[100:128] == bytes(28)


@BOTH
def test_the_profile_id_is_the_md5_that_the_standard_describes(name: SpaceName, space: RgbSpace) -> None:
    # ISO 15076-1:2010, 7.2.18: flags, rendering intent and the ID count as zero
    profile = working_space_profile(name)
    blank = bytearray(profile)
    blank[44:48], blank[64:68], blank[84:100] = bytes(4), bytes(4), bytes(16)
    assert profile[84:100] == hashlib.md5(bytes(blank), usedforsecurity=False).digest()


@BOTH
def test_a_display_matrix_profile_has_the_tags_it_must(name: SpaceName, space: RgbSpace) -> None:
    # ISO 15076-1:2010, 8.2 and 8.4.3; tags on 4-byte boundaries without gap or overlap, 7.3
    profile = working_space_profile(name)
    tags = tag_table(profile)
    required = {b"desc", b"cprt", b"wtpt", b"chad", b"rXYZ", b"gXYZ", b"bXYZ", b"rTRC", b"gTRC", b"bTRC"}
    assert set(tags) == required
    places = sorted(set(tags.values()))
    assert places[0][0] == 132 + 12 * len(tags)
    assert all(offset % 4 == 0 for offset, _ in places)
    assert all(one + (size + 3) // 4 * 4 == two for (one, size), (two, _) in pairwise(places))
    last, size = places[-1]
    assert last + (size + 3) // 4 * 4 == len(profile)


@BOTH
def test_full_rgb_is_the_connection_spaces_white_exactly(name: SpaceName, space: RgbSpace) -> None:
    profile = working_space_profile(name)
    white = sum(fixed(profile, tag, 3) for tag in (b"rXYZ", b"gXYZ", b"bXYZ"))
    assert (white * 65536).tolist() == [0xF6D6, 0x10000, 0xD32D]
    assert fixed(profile, b"wtpt", 3).tolist() == white.tolist()


@BOTH
def test_the_colorants_are_the_spaces_primaries_under_d50(name: SpaceName, space: RgbSpace) -> None:
    profile = working_space_profile(name)
    stored = np.stack([fixed(profile, tag, 3) for tag in (b"rXYZ", b"gXYZ", b"bXYZ")], axis=1)
    assert stored == pytest.approx(space.to_xyz_d50, abs=2 / 65536)


def test_srgb_colorants_are_the_registered_profiles() -> None:
    # The ICC's own sRGB profiles: 0.43607 0.22249 0.01392, 0.38515 0.71687 0.09708, 0.14307 0.06061 0.71410
    # (docs/sources.md, S71).
    profile = working_space_profile("srgb")
    registered = [[0.43607, 0.22249, 0.01392], [0.38515, 0.71687, 0.09708], [0.14307, 0.06061, 0.71410]]
    stored = np.stack([fixed(profile, tag, 3) for tag in (b"rXYZ", b"gXYZ", b"bXYZ")])
    assert stored == pytest.approx(np.array(registered), abs=2e-4)


def test_the_curves_are_the_specifications() -> None:
    srgb, adobe = working_space_profile("srgb"), working_space_profile("adobe-rgb")
    offset, _ = tag_table(srgb)[b"rTRC"]
    assert srgb[offset : offset + 12] == b"para\0\0\0\0\0\3\0\0"
    parameters = np.array(struct.unpack_from(">5i", srgb, offset + 12)) / 65536
    # IEC 61966-2-1:1999, 5.2
    assert parameters == pytest.approx([2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045], abs=1e-5)
    offset, _ = tag_table(adobe)[b"rTRC"]
    assert adobe[offset : offset + 12] == b"para\0\0\0\0\0\0\0\0"
    # Adobe RGB (1998): 2.19921875, which the number format holds exactly
    assert struct.unpack_from(">i", adobe, offset + 12)[0] / 65536 == 2.19921875


@BOTH
def test_littlecms_reads_the_profile(name: SpaceName, space: RgbSpace) -> None:
    # LittleCMS through Pillow
    opened = ImageCms.ImageCmsProfile(io.BytesIO(working_space_profile(name))).profile
    assert opened.version == pytest.approx(4.3)
    assert opened.xcolor_space == "RGB "
    assert opened.connection_space == "XYZ "
    assert opened.is_matrix_shaper
    assert opened.profile_description == describe(working_space_profile(name))
    assert "No rights reserved" in opened.copyright
    # Back under the space's own white, the colorants lie at the specification's chromaticities.
    colorants = np.array([opened.red_colorant[0], opened.green_colorant[0], opened.blue_colorant[0]])
    under_d65 = np.linalg.solve(np.array(opened.chromatic_adaptation[0]), colorants.T).T
    chromaticities = under_d65[:, :2] / under_d65.sum(axis=1, keepdims=True)
    assert chromaticities == pytest.approx(np.array([space.red, space.green, space.blue]), abs=2e-4)
    white = under_d65.sum(axis=0)
    assert white[:2] / white.sum() == pytest.approx(space.white, abs=2e-5)


def test_profiles_name_themselves() -> None:
    assert describe(working_space_profile("srgb")) == "sRGB IEC 61966-2-1"
    assert describe(working_space_profile("adobe-rgb")) == "compatible with Adobe RGB (1998)"
    assert device_colour_space(working_space_profile("srgb")) == "RGB"
    assert profile_class(working_space_profile("adobe-rgb")) == "display"


def test_the_bytes_never_change() -> None:
    # Sheets are byte for byte alike on every machine: a change here changes them all, so it is on purpose.
    digests = {
        name: hashlib.sha256(working_space_profile(name)).hexdigest() for name in ("srgb", "adobe-rgb")
    }
    assert digests == {
        "srgb": "2bf6b40339b52288476fbd4e8e47545a174246fa1b1f0ba10e6b4eb260daf437",
        "adobe-rgb": "30fd195f1826c2047b8e3fcefd314faa7614fb8c532097768d07780abc500ac5",
    }


def test_a_space_without_a_name_here_is_refused() -> None:
    with pytest.raises(ValueError, match="no working space"):
        working_space_profile("wide")  # type: ignore[arg-type]
