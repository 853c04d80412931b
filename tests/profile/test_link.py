"""Device links against LittleCMS' exact chain on photographs, and the loops against their plain form."""

from __future__ import annotations

from collections.abc import Callable
from itertools import product

import numpy as np
import pytest

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import SRGB, Floats, rgb_to_lab
from tackside.errors import BadProfile
from tackside.press.printer.stock_model import cotton_etching, semi_gloss
from tackside.profile.device.device import INTENTS, Intent, ProfileDevice
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link import link as links
from tackside.profile.link.link import CODES, LabLink, Link, device_link, link_to_lab, source_link
from tests.picture.photographs import photograph
from tests.profile.card_profiles import fogra39_profile, press_profile
from tests.profile.littlecms import PCS_LAB, exact_lab, printed_lab
from tests.profile.small_profiles import cmyk_profile, grey_profile

SOURCE = working_space_profile("srgb")
PHOTOGRAPHS = ("coffee.png", "chelsea.png", "retina.jpg", "rocket.jpg")
WAYS = [(intent, bpc) for intent in INTENTS for bpc in (True, False) if intent != "absolute" or not bpc]
RANDOM = np.random.default_rng(5).integers(0, 256, (90, 70, 3), dtype=np.uint8)


def gloss() -> bytes:
    return press_profile(semi_gloss())


def cotton() -> bytes:
    return press_profile(cotton_etching())


def pixels_of(name: str) -> np.ndarray:
    """20 000 pixels of a photograph, drawn at random."""
    pixels = np.asarray(photograph(name)).reshape(-1, 3)
    return np.random.default_rng(1).choice(pixels, 20_000)


def plain(table: np.ndarray, pixels: np.ndarray) -> np.ndarray:
    """Tetrahedral interpolation as plain arrays: ``table`` (n, n, n, 3) at CODES, ``pixels`` (m, 3), 0 to 255."""
    place = np.interp(pixels, CODES, np.arange(len(CODES)))
    corner = np.minimum(place.astype(int), len(CODES) - 2)
    rest = place - corner
    order = np.argsort(-rest, axis=1, kind="stable")
    steps = np.take_along_axis(rest, order, axis=1)
    weights = np.column_stack([1 - steps[:, 0], -np.diff(steps, axis=1), steps[:, 2]])
    total = np.zeros((len(pixels), 3))
    for walk in range(4):
        total += weights[:, walk : walk + 1] * table[tuple(corner.T)]
        if walk < 3:
            corner[np.arange(len(pixels)), order[:, walk]] += 1
    return total


@pytest.fixture(scope="module")
def table() -> np.ndarray:
    return np.random.default_rng(2).random((len(CODES),) * 3 + (3,)).astype(np.float32)


def test_the_loops_give_what_plain_arrays_give(table: np.ndarray) -> None:
    flat = RANDOM.reshape(-1, 3)
    expected = plain(table, flat.astype(float)).reshape(RANDOM.shape)
    assert LabLink(table).apply(RANDOM) == pytest.approx(expected, abs=2e-5)
    assert Link(table, "srgb").apply(RANDOM) == pytest.approx(expected * 255, abs=0.501)
    deep = np.random.default_rng(3).integers(0, 65536, (80, 50, 3), dtype=np.uint16)
    expected = plain(table, deep.reshape(-1, 3) / 257).reshape(deep.shape)
    assert LabLink(table).apply(deep) == pytest.approx(expected, abs=2e-5)
    assert Link(table, "srgb").apply(deep) == pytest.approx(expected * 65535, abs=1.5)


def test_corners_and_nodes_come_out_as_they_went_in(table: np.ndarray) -> None:
    corners = np.array(list(product((0, 255), repeat=3)), dtype=np.uint8)[np.newaxis]
    expected = np.array([table[tuple(-(corner // 255).astype(int))] for corner in corners[0].astype(int)])
    assert LabLink(table).apply(corners)[0] == pytest.approx(expected)
    assert LabLink(table).apply(corners.astype(np.uint16) * 257)[0] == pytest.approx(expected)


def test_many_threads_give_what_one_gives(table: np.ndarray, monkeypatch: pytest.MonkeyPatch) -> None:
    alone = LabLink(table).apply(RANDOM)
    monkeypatch.setattr(links, "SMALLEST_SHARE", 100)
    monkeypatch.setattr(links.os, "cpu_count", lambda: 7)
    assert np.array_equal(LabLink(table).apply(RANDOM), alone)


def test_pixels_of_another_shape_are_a_fault_of_the_caller(table: np.ndarray) -> None:
    for wrong in (RANDOM[..., :2], RANDOM.astype(float), RANDOM[0]):
        with pytest.raises(ValueError, match="pixels of shape"):
            LabLink(table).apply(wrong)  # type: ignore[arg-type]
    assert LabLink(table).apply(RANDOM[:0]).shape == (0, 70, 3)


@pytest.mark.parametrize(("intent", "bpc"), WAYS)
@pytest.mark.parametrize("card", [gloss, cotton, pytest.param(fogra39_profile, marks=pytest.mark.slow)])
def test_a_link_keeps_to_littlecms_exact_chain(card: Callable[[], bytes], intent: Intent, bpc: bool) -> None:
    # LittleCMS at 16 bits and double precision, without its own shortcuts. The limit is the project's aim.
    link = link_to_lab(SOURCE, ProfileDevice(card()), intent, bpc=bpc)
    for name in PHOTOGRAPHS:
        pixels = pixels_of(name)
        exact = printed_lab(pixels.astype(np.uint16) * 257, SOURCE, card(), intent, bpc=bpc)
        for depth in (pixels, pixels.astype(np.uint16) * 257):
            strays = delta_e_2000(link.apply(depth[np.newaxis])[0], exact)
            assert np.percentile(strays, 99) < 0.5, name
            assert np.median(strays) < 0.1, name


@pytest.mark.parametrize("intent", INTENTS)
@pytest.mark.parametrize("source", ["version 2", "version 4", "Adobe RGB"])
@pytest.mark.parametrize("version", [0x02100000, 0x04200000])
def test_versions_of_profiles_are_joined_as_littlecms_joins_them(
    source: str, version: int, intent: Intent
) -> None:
    profile = working_space_profile("adobe-rgb" if source == "Adobe RGB" else "srgb")
    if source == "version 2":
        profile = profile[:8] + b"\x02\x40\0\0" + profile[12:]
    card = gloss()[:8] + version.to_bytes(4, "big") + gloss()[12:]
    pixels = pixels_of("chelsea.png")[:5000]
    exact = printed_lab(pixels.astype(np.uint16) * 257, profile, card, intent, bpc=False)
    link = link_to_lab(profile, ProfileDevice(card), intent, bpc=False)
    assert np.percentile(delta_e_2000(link.apply(pixels[np.newaxis])[0], exact), 99) < 0.5


def test_the_screen_shows_the_prints_colours() -> None:
    pixels = pixels_of("chelsea.png")
    card = ProfileDevice(cotton())
    shown = rgb_to_lab(
        device_link(SOURCE, card, "relative").apply(pixels.astype(np.uint16)[np.newaxis] * 257)[0] / 65535,
        SRGB,
    )
    exact = printed_lab(pixels.astype(np.uint16) * 257, SOURCE, cotton(), "relative", bpc=True)
    assert np.percentile(delta_e_2000(shown, exact), 99) < 0.5


def test_paper_shows_white_and_black_as_they_lie_on_the_card() -> None:
    card = ProfileDevice(cotton())
    ends = np.array([[[255, 255, 255], [0, 0, 0]]], dtype=np.uint8)
    shown = rgb_to_lab(device_link(SOURCE, card, "relative", paper=True).apply(ends)[0] / 255, SRGB)
    # The stock of the virtual press has paper of 95, 0.2, 2.2; LittleCMS' chain ends absolutely.
    exact = exact_lab(
        ends[0].astype(np.uint16) * 257,
        [SOURCE, cotton(), cotton(), PCS_LAB],
        ["relative", "relative", "absolute", "absolute"],
        [True, True, False, False],
    )
    assert shown[0] == pytest.approx([95.0, 0.2, 2.2], abs=0.6)
    assert shown == pytest.approx(exact, abs=0.6)
    assert shown[1, 0] > 15
    plain_white = device_link(SOURCE, card, "relative").apply(ends)[0, 0]
    assert plain_white == pytest.approx([255, 255, 255], abs=1)


def test_the_absolute_intent_prints_the_pictures_white_on_the_card() -> None:
    # ICC-absolute by LittleCMS: the chain ends absolutely.
    greys = np.repeat(np.arange(100, 226, 5), 3).reshape(-1, 3).astype(np.uint8)
    exact = exact_lab(
        greys.astype(np.uint16) * 257,
        [SOURCE, cotton(), cotton(), PCS_LAB],
        ["absolute", "absolute", "absolute", "absolute"],
        [False] * 4,
    )
    assert exact == pytest.approx(rgb_to_lab(greys / 255, SRGB), abs=1.5)
    card = ProfileDevice(cotton())
    link = device_link(SOURCE, card, "absolute", paper=True)
    assert link.apply(greys[np.newaxis])[0] == pytest.approx(greys, abs=5)


def test_the_source_link_gives_the_pictures_own_colours() -> None:
    pixels = pixels_of("coffee.png")
    exact = rgb_to_lab(pixels / 255, SRGB)
    assert np.percentile(delta_e_2000(source_link(SOURCE).apply(pixels[np.newaxis])[0], exact), 99) < 0.2


def test_black_point_compensation_lifts_black_to_the_cards() -> None:
    dark = np.array([[[0, 0, 0], [20, 20, 20]]], dtype=np.uint8)
    card = ProfileDevice(cotton())
    with_it = link_to_lab(SOURCE, card, "relative", bpc=True).apply(dark)[0, :, 0]
    without = link_to_lab(SOURCE, card, "relative", bpc=False).apply(dark)[0, :, 0]
    assert with_it[1] > with_it[0] + 1  # a dark tone still differs from black
    assert without[1] == pytest.approx(without[0], abs=0.3)  # both lie below the card's black


class StubModel:
    """A device that is no profile: RGB numbers of a dull card, tinted, by formula."""

    channels = 3
    white_lab = np.array([92.0, 1.0, 4.0])
    black_lab = np.array([20.0, 0.0, 0.0])

    def to_lab(self, device: np.ndarray) -> Floats:
        lightness = np.asarray(device).mean(axis=1, keepdims=True)
        return self.black_lab + lightness * (self.white_lab - self.black_lab)

    def from_lab(self, lab: np.ndarray, intent: Intent, bpc: bool) -> Floats:
        return np.clip(np.repeat(np.asarray(lab)[:, :1] / 100, 3, axis=1), 0, 1)


def test_a_device_that_is_no_profile_is_proofed_alike() -> None:
    ends = np.array([[[255, 255, 255], [0, 0, 0]]], dtype=np.uint8)
    relative = link_to_lab(SOURCE, StubModel(), "relative").apply(ends)[0]
    assert relative[0] == pytest.approx([100, 0, 0], abs=0.05)
    shown = rgb_to_lab(device_link(SOURCE, StubModel(), "relative", paper=True).apply(ends)[0] / 255, SRGB)
    assert shown[0] == pytest.approx(StubModel.white_lab, abs=0.6)


@pytest.mark.parametrize("source", [cmyk_profile(), grey_profile(2.2)])
def test_a_source_that_is_not_rgb_is_refused(source: bytes) -> None:
    with pytest.raises(BadProfile, match="numbers, not RGB"):
        link_to_lab(source, ProfileDevice(gloss()), "relative")


def test_a_profile_that_leads_nowhere_back_is_no_printer() -> None:
    with pytest.raises(BadProfile, match="not back"):
        ProfileDevice(cmyk_profile())
    with pytest.raises(BadProfile, match="for grey numbers"):
        ProfileDevice(grey_profile(2.2))


def test_a_way_to_a_card_is_worked_out_once_however_often_it_is_asked_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    card, asked = ProfileDevice(gloss()), []

    def counted(device: ProfileDevice, lab: Floats, intent: Intent, bpc: bool) -> Floats:
        asked.append((intent, bpc))
        return np.zeros((len(lab), 3))

    monkeypatch.setattr(ProfileDevice, "from_lab", counted)
    links._printed_lab.cache_clear()
    for intent, bpc in WAYS:
        link_to_lab(SOURCE, card, intent, bpc=bpc)
        link_to_lab(SOURCE, card, "relative", bpc=False)
    links._printed_lab.cache_clear()  # nobody else is to be told black
    assert sorted(asked) == sorted(WAYS)


def test_pixels_are_written_over_and_a_part_of_a_picture_is_not_lost() -> None:
    picture = np.random.default_rng(9).integers(0, 256, (40, 60, 3), dtype=np.uint8)
    link = device_link(SOURCE, ProfileDevice(fogra39_profile()), "relative")
    wanted = link.apply(picture)
    assert np.array_equal(link.apply(picture[5:30, 10:50], over=True), wanted[5:30, 10:50])
    whole = picture.copy()
    assert link.apply(whole, over=True) is whole
    assert np.array_equal(whole, wanted)
