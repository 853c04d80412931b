"""Each fault is planted in a sound profile and must be found, and nothing may be found in sound ones."""

from __future__ import annotations

import io
import struct
from collections.abc import Callable
from datetime import date

import numpy as np
import pytest
from PIL import ImageCms

from tackside.errors import BadProfile
from tackside.messages.message import Message, Value
from tackside.profile.faults.fault import ProfileFault
from tackside.profile.faults.find import find_faults
from tackside.profile.faults.required import named
from tackside.profile.icc.working_space import working_space_profile
from tests.profile import table_profiles as tables
from tests.profile.small_profiles import cmyk_profile, grey_profile

TODAY = date(2026, 12, 1)
ENTRY = 12


def entry_of(profile: bytes, signature: bytes) -> int:
    """Where the line of a tag stands."""
    (count,) = struct.unpack_from(">I", profile, 128)
    places = [132 + ENTRY * number for number in range(count)]
    return next(place for place in places if profile[place : place + 4] == signature)


def patched(profile: bytes, place: int, new: bytes) -> bytes:
    return profile[:place] + new + profile[place + len(new) :]


def in_tag(profile: bytes, signature: bytes, at: int, new: bytes) -> bytes:
    (offset,) = struct.unpack_from(">I", profile, entry_of(profile, signature) + 4)
    return patched(profile, offset + at, new)


def faults(profile: bytes) -> list[ProfileFault]:
    return list(find_faults(profile, TODAY))


def wrong(profile: bytes) -> set[tuple[str, str]]:
    return {(fault.where, fault.says.code) for fault in faults(profile) if fault.severity == "wrong"}


def says(profile: bytes, where: str, code: str, severity: str = "wrong", **values: Value) -> bool:
    """Whether a fault of that code, with these values among its own, is found where it stands."""
    return any(
        fault.where == where
        and fault.says.code == f"profile-fault.{code}"
        and fault.severity == severity
        and values.items() <= fault.says.values.items()
        for fault in faults(profile)
    )


SRGB = working_space_profile("srgb")
# A profile ID that fits no longer must not hide other faults, nor count as one here.
UNNUMBERED = patched(SRGB, 84, bytes(16))
PRINTER = tables.rgb_printer(2)
NEW_PRINTER = patched(tables.rgb_printer(4), 84, bytes(16))


@pytest.mark.parametrize(
    "profile",
    [
        lambda: SRGB,
        lambda: working_space_profile("adobe-rgb"),
        lambda: tables.rgb_printer(2),
        lambda: tables.rgb_printer(4),
        lambda: tables.cmyk_printer(2),
        lambda: tables.cmyk_printer(4),
        lambda: grey_profile(2.2),
    ],
    ids=["srgb", "adobe-rgb", "RGB 2", "RGB 4", "CMYK 2", "CMYK 4", "grey"],
)
def test_sound_profiles_have_no_fault(profile: Callable[[], bytes]) -> None:
    assert faults(profile()) == []


def test_the_colour_engines_own_profile_has_nothing_wrong() -> None:
    # LittleCMS's sRGB, a version 4 display profile: it carries no profile ID.
    foreign = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    assert wrong(foreign) == set()
    assert ImageCms.ImageCmsProfile(io.BytesIO(foreign)).profile.version > 4


@pytest.mark.parametrize("tag", [b"desc", b"cprt", b"wtpt", b"rXYZ", b"gTRC"])
def test_a_missing_tag_of_a_display_is_named(tag: bytes) -> None:
    gutted = patched(UNNUMBERED, entry_of(UNNUMBERED, tag), b"zzzz")
    assert says(gutted, tag.decode(), "missing", tag=named(tag.decode()))


@pytest.mark.parametrize("tag", [b"A2B0", b"A2B1", b"A2B2", b"B2A0", b"B2A1", b"B2A2", b"gamt"])
def test_a_missing_table_of_a_printer_is_named(tag: bytes) -> None:
    # ICC.1:2001-04, 6.3.3.2, LUT-based output profiles; ISO 15076-1:2010, 8.5.2.
    assert says(
        patched(PRINTER, entry_of(PRINTER, tag), b"zzzz"), tag.decode(), "missing", tag=named(tag.decode())
    )


def test_a_printer_with_one_way_only_lacks_the_other() -> None:
    named = {where for where, code in wrong(cmyk_profile()) if code == "profile-fault.missing"}
    assert named == {"A2B2", "B2A0", "B2A1", "B2A2", "gamt"}


def test_a_display_of_version_4_that_does_not_tell_its_adaptation_is_doubtful() -> None:
    silent = patched(UNNUMBERED, entry_of(UNNUMBERED, b"chad"), b"zzzz")
    assert says(silent, "chad", "no-adaptation", "doubtful")


@pytest.mark.parametrize(("tag", "kind"), [(b"desc", b"text"), (b"wtpt", b"text"), (b"rTRC", b"sf32")])
def test_a_tag_of_the_wrong_type_is_named(tag: bytes, kind: bytes) -> None:
    assert says(in_tag(UNNUMBERED, tag, 0, kind), tag.decode(), "wrong-type", found=kind.decode())


def test_a_new_type_in_an_old_profile_is_named() -> None:
    assert says(
        in_tag(PRINTER, b"B2A0", 0, b"mBA "),
        "B2A0",
        "wrong-type",
        found="mBA",
        version=2,
        wanted=("mft1", "mft2"),
    )


@pytest.mark.parametrize(
    "white",
    # XYZ that no paper and no lamp has: our own choice.
    [(0, 0, 0), (-0.9, 1, 0.8), (9, 10, 8)],
)
def test_a_white_that_is_none_is_wrong(white: tuple[float, ...]) -> None:
    assert says(in_tag(PRINTER, b"wtpt", 0, tables.xyz_tag(np.array(white))), "wtpt", "white-is-none")


# Outside what card and paper are (docs/sources.md, S41: L* 75 to 100, chroma up to 20): L* 53, and a chroma of 54.
@pytest.mark.parametrize(
    ("white", "code"), [((0.2, 0.21, 0.17), "white-not-light"), ((0.95, 0.80, 0.30), "white-coloured")]
)
def test_a_white_unlike_paper_is_doubtful(white: tuple[float, ...], code: str) -> None:
    assert says(in_tag(PRINTER, b"wtpt", 0, tables.xyz_tag(np.array(white))), "wtpt", code, "doubtful")


def test_the_white_of_a_version_4_display_must_be_d50() -> None:
    # D65, as displays of version 2 have it.
    d65 = tables.xyz_tag(np.array([0.9505, 1, 1.0891]))
    assert says(in_tag(UNNUMBERED, b"wtpt", 0, d65), "wtpt", "display-white")
    old = patched(UNNUMBERED, 8, b"\2\x40\0\0")
    assert says(in_tag(old, b"wtpt", 0, d65), "wtpt", "display-own-white", "note")


def test_a_connection_space_under_another_light_is_wrong() -> None:
    assert says(patched(UNNUMBERED, 68, struct.pack(">3i", 62289, 65536, 71372)), "header", "illuminant")


def test_primaries_that_do_not_add_up_are_wrong() -> None:
    doubled = in_tag(UNNUMBERED, b"rXYZ", 0, tables.xyz_tag(np.array([0.6, 0.3, 0.02])))
    assert says(doubled, "rXYZ", "primaries-off")
    one = tables.xyz_tag(np.array([0.3214, 0.3333, 0.275]))
    same = in_tag(in_tag(in_tag(UNNUMBERED, b"rXYZ", 0, one), b"gXYZ", 0, one), b"bXYZ", 0, one)
    assert says(same, "rXYZ", "primaries-alike")


def sampled_curve(values: list[int]) -> bytes:
    return struct.pack(f">4s4xI{len(values)}H", b"curv", len(values), *values)


def with_curve(curve: bytes) -> bytes:
    """sRGB whose red curve lies at the end of the file."""
    profile = UNNUMBERED + curve + bytes(-len(curve) % 4)
    place = entry_of(UNNUMBERED, b"rTRC")
    profile = patched(profile, place + 4, struct.pack(">II", len(UNNUMBERED), len(curve)))
    return patched(profile, 0, struct.pack(">I", len(profile)))


@pytest.mark.parametrize(
    ("values", "code"),
    [
        ([0, 30000, 20000, 65535], "curve-turns"),
        ([65535, 30000, 0], "curve-inverted"),
        ([500, 500, 500], "curve-flat"),
    ],
)
def test_curves_that_do_not_rise_are_wrong(values: list[int], code: str) -> None:
    assert says(with_curve(sampled_curve(values)), "rTRC", code)


def test_curves_that_rise_are_sound_whatever_their_form() -> None:
    for curve in (
        sampled_curve([0, 20000, 20000, 65535]),
        sampled_curve([]),
        struct.pack(">4s4xIH", b"curv", 1, 563),
        struct.pack(">4s4xHxxi", b"para", 0, 144179),
    ):
        assert wrong(with_curve(curve)) == set()


@pytest.mark.parametrize(
    ("curve", "reason"),
    [
        (struct.pack(">4s4xI", b"curv", 5000), Message("profile-fault.broken.curve-cut-short")),
        (
            struct.pack(">4s4xHxxi", b"para", 9, 65536),
            Message("profile-fault.broken.curve-kind", function=9),
        ),
        (struct.pack(">4s4xHxxi", b"para", 4, 65536), Message("profile-fault.broken.curve-cut-short")),
    ],
)
def test_damaged_curves_are_wrong(curve: bytes, reason: Message) -> None:
    assert says(with_curve(curve), "rTRC", "curve-damaged", reason=reason)


@pytest.mark.parametrize("tag", [b"A2B0", b"B2A1"])
@pytest.mark.parametrize("profile", [PRINTER, NEW_PRINTER])
def test_tables_for_other_channels_are_wrong(profile: bytes, tag: bytes) -> None:
    channels = patched(profile, 16, b"CMYK")
    assert says(channels, tag.decode(), "table-channels")


def test_tables_shorter_than_they_say_are_wrong() -> None:
    shorter = Message("profile-fault.broken.shorter-than-figures")
    one_a_side = Message("profile-fault.broken.claims-grid", inputs=3, outputs=3, side=1)
    assert says(in_tag(PRINTER, b"B2A1", 10, bytes([60])), "B2A1", "table-damaged", reason=shorter)
    assert says(in_tag(PRINTER, b"A2B1", 10, bytes([1])), "A2B1", "table-damaged", reason=one_a_side)
    (table_place,) = struct.unpack_from(">I", NEW_PRINTER, _place(NEW_PRINTER, b"B2A1") + 24)
    assert says(
        in_tag(NEW_PRINTER, b"B2A1", table_place, bytes([90, 90])), "B2A1", "table-damaged", reason=shorter
    )


def _place(profile: bytes, tag: bytes) -> int:
    (offset,) = struct.unpack_from(">I", profile, entry_of(profile, tag) + 4)
    return int(offset)


def test_a_table_lighter_than_white_is_out_of_range() -> None:
    # The last node is paper; FFFFh is L* 100.39 in lut16Type (ISO 15076-1:2010, 6.3.4.2).
    start = _place(PRINTER, b"A2B1") + 52 + 3 * 4
    node = start + (17**3 - 1) * 6
    assert PRINTER[node : node + 2] == b"\xff\0"
    assert says(patched(PRINTER, node, b"\xff\xff"), "A2B1", "table-out-of-range")


def test_a_table_of_one_colour_is_wrong() -> None:
    start = _place(PRINTER, b"B2A1") + 52 + 3 * 4
    assert says(patched(PRINTER, start, bytes(33**3 * 6)), "B2A1", "table-one-colour")


def test_a_curve_beside_a_table_that_goes_up_and_down_is_doubtful() -> None:
    values = np.zeros((8, 3))
    straight = tables.table(2, 3, 3, 2, values, b"mAB ")
    profile = tables.assemble(
        b"prtr",
        b"RGB ",
        b"Lab ",
        2,
        [(b"A2B0", straight.replace(struct.pack(">HH", 2, 2), struct.pack(">HH", 3, 2), 1)[:52] + _humps())],
    )
    assert says(profile, "A2B0", "table-curve-turns", "doubtful")


def _humps() -> bytes:
    return (
        struct.pack(">9H", 0, 65535, 30000, 0, 1, 2, 0, 1, 2)
        + struct.pack(">24H", *range(24))
        + struct.pack(">6H", *[0, 65535] * 3)
    )


def test_places_in_the_list_that_cannot_be_are_wrong() -> None:
    def moved(offset: int, size: int) -> bytes:
        return patched(UNNUMBERED, entry_of(UNNUMBERED, b"cprt") + 4, struct.pack(">II", offset, size))

    assert says(moved(len(UNNUMBERED) - 4, 400), "cprt", "beyond-end")
    assert says(moved(2**32 - 8, 2**32 - 1), "cprt", "beyond-end")
    assert says(moved(0, 128), "cprt", "upon-header")
    assert says(moved(130, 60), "cprt", "upon-header")
    assert says(moved(402, 20), "cprt", "not-on-four")
    assert says(moved(400, 3), "cprt", "too-short", bytes=3)


def test_tags_half_upon_each_other_are_wrong_and_shared_ones_are_not() -> None:
    place = _place(UNNUMBERED, b"cprt")
    half = patched(UNNUMBERED, entry_of(UNNUMBERED, b"wtpt") + 4, struct.pack(">II", place + 4, 20))
    assert says(half, "wtpt", "overlaps", tag="cprt")
    assert _place(SRGB, b"rTRC") == _place(SRGB, b"gTRC")  # shared, as sound profiles do


def test_a_tag_listed_twice_is_wrong() -> None:
    twice = patched(UNNUMBERED, entry_of(UNNUMBERED, b"cprt"), b"desc")
    assert says(twice, "desc", "listed-twice")


def test_bytes_beyond_the_end_are_wrong() -> None:
    assert says(UNNUMBERED + bytes(8), "header", "longer-than-said", surplus=8)


@pytest.mark.parametrize(
    ("moment", "code", "severity"),
    [
        ((2026, 13, 1, 0, 0, 0), "date-is-none", "wrong"),
        ((0, 0, 0, 0, 0, 0), "no-date", "doubtful"),
        ((2031, 1, 1, 0, 0, 0), "date-to-come", "doubtful"),
        ((1970, 1, 1, 0, 0, 0), "date-before-profiles", "doubtful"),
    ],
)
def test_dates_that_cannot_be_are_named(moment: tuple[int, ...], code: str, severity: str) -> None:
    assert says(patched(UNNUMBERED, 24, struct.pack(">6H", *moment)), "header", code, severity)


def test_versions_that_were_never_published_are_doubtful() -> None:
    assert says(
        patched(UNNUMBERED, 8, b"\4\x90\0\0"), "header", "version-unpublished", "doubtful", version="4.9"
    )
    assert says(patched(UNNUMBERED, 8, b"\5\0\0\0"), "header", "version-5", "note")


def test_an_intent_or_class_that_is_none_is_wrong() -> None:
    assert says(patched(UNNUMBERED, 64, struct.pack(">I", 7)), "header", "intent-number", intent=7)
    assert says(patched(UNNUMBERED, 12, b"xyzw"), "header", "class-unknown")
    assert says(patched(UNNUMBERED, 20, b"CMYK"), "header", "connection-space")


def test_a_profile_id_tells_of_any_change() -> None:
    # ISO 15076-1:2010, 7.2.18: MD5 with flags, intent and ID set to zero, which may change without it.
    assert wrong(patched(SRGB, 44, b"\0\0\0\1")) == set()
    assert wrong(patched(SRGB, 67, b"\1")) == set()
    assert says(patched(SRGB, len(SRGB) - 6, b"\7"), "header", "wrong-id")
    assert says(UNNUMBERED, "header", "no-id", "note")


def test_the_gravest_come_first() -> None:
    severities = [fault.severity for fault in faults(patched(UNNUMBERED, 24, bytes(12)) + bytes(4))]
    assert severities == sorted(severities, key=("wrong", "doubtful", "note").index)
    assert len(set(severities)) == 3


def test_what_has_no_list_of_contents_is_refused() -> None:
    with pytest.raises(BadProfile):
        faults(patched(SRGB, 128, struct.pack(">I", 10**6)))
