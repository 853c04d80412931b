"""A profile's bytes may come from anywhere: a value or BadProfile, nothing else."""

from __future__ import annotations

import struct

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tackside.errors import BadProfile
from tackside.profile.icc.inspect import (
    LONGEST_TEXT,
    describe,
    device_colour_space,
    profile_class,
    read_header,
    read_tag,
)
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import rgb_to_lab_by_profile
from tests.profile.small_profiles import cmyk_profile
from tests.refusals import refused

GOOD = (working_space_profile("srgb"), working_space_profile("adobe-rgb"), cmyk_profile())
edits = st.lists(st.tuples(st.integers(0, 800), st.integers(0, 255)), min_size=1, max_size=12)


def answers_or_refuses(profile: bytes) -> None:
    for question in (describe, device_colour_space, profile_class, read_header):
        try:
            answer = question(profile)
        except BadProfile:
            continue
        assert answer
    try:
        lab = rgb_to_lab_by_profile([[1, 1, 1], [0.2, 0.5, 0.7]], profile)
    except BadProfile:
        return
    assert lab.shape == (2, 3)


@given(st.binary(max_size=600))
def test_any_bytes_give_an_answer_or_bad_profile(profile: bytes) -> None:
    answers_or_refuses(profile)


@settings(deadline=None)
@given(st.sampled_from(GOOD), edits)
def test_damaged_profiles_give_an_answer_or_bad_profile(good: bytes, changes: list[tuple[int, int]]) -> None:
    damaged = bytearray(good)
    for place, value in changes:
        damaged[place % len(good)] = value
    answers_or_refuses(bytes(damaged))


@settings(deadline=None)
@given(st.sampled_from(GOOD), st.floats(0, 1, exclude_max=True))
def test_truncated_profiles_are_refused(good: bytes, share: float) -> None:
    cut = good[: int(share * len(good))]
    for question in (describe, device_colour_space, profile_class):
        with pytest.raises(BadProfile):
            question(cut)
    with pytest.raises(BadProfile):
        rgb_to_lab_by_profile([[1, 1, 1]], cut)


@given(st.text(max_size=400))
def test_descriptions_come_out_as_one_clean_line(text: str) -> None:
    encoded = text.encode("utf-16-be", errors="surrogatepass")
    tag = struct.pack(">4s4xII2s2sII", b"mluc", 1, 12, b"en", b"GB", len(encoded), 28) + encoded
    place = 128 + 4 + 12
    header = bytearray(working_space_profile("srgb")[:128])
    header[:4] = struct.pack(">I", place + len(tag))
    profile = bytes(header) + struct.pack(">I4sII", 1, b"desc", place, len(tag)) + tag
    line = describe(profile)
    assert line
    assert line.isprintable()
    assert len(line) <= LONGEST_TEXT


def test_version_2_profiles_say_what_they_are() -> None:
    assert describe(cmyk_profile()) == "Invented inks"
    assert device_colour_space(cmyk_profile()) == "CMYK"
    assert profile_class(cmyk_profile()) == "output"
    header = read_header(cmyk_profile())
    assert header.version == (2, 1)
    assert header.connection_space == "Lab"


def test_a_tag_that_points_past_the_end_is_refused() -> None:
    profile = bytearray(working_space_profile("srgb"))
    profile[132 + 8 : 132 + 12] = b"\xff\xff\xff\xff"
    with refused(BadProfile, "profile.contents-past-end"):
        describe(bytes(profile))


def test_a_missing_tag_is_none() -> None:
    assert read_tag(working_space_profile("srgb"), b"A2B0") is None


def test_messages_say_what_is_wrong_and_how_to_mend_it() -> None:
    with pytest.raises(BadProfile) as refused:
        describe(b"not a profile" * 40)
    assert "not an ICC colour profile" in refused.value.what
    assert refused.value.fix
