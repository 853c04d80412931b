"""Matching: a card finds its own profile, and the error is put down to what is wrong."""

from __future__ import annotations

import io
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from PIL import Image, ImageCms

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import lab_to_xyz, xyz_to_lab
from tackside.errors import BadProfile, BadRequest
from tackside.messages.message import Message
from tackside.press.printer.stock_model import (
    StockModel,
    cotton_etching,
    craft_card,
    matt_coated,
    matt_uncoated_back,
    semi_gloss,
)
from tackside.profile.device.device_model import fit_device_model
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import device_to_lab_by_profile
from tackside.profile.match.match import ComparableReading, Match, card_reading, match_all, match_profile
from tackside.profile.match.match_advice import MatchAdvice, OwnReading, advise
from tests.profile import press_cards
from tests.profile.printer_tables import ToLab, fitted, half, open_data, table_profile
from tests.profile.small_profiles import grey_profile

OPEN = ("FOGRA39L", "FOGRA29L", "TR003")
STOCKS = (semi_gloss(), cotton_etching(), matt_coated(), matt_uncoated_back(), craft_card())


@cache
def cmyk_set() -> tuple[tuple[str, bytes], ...]:
    """Six profiles: one of each open data set, made from half of its patches, and three made wrong on purpose."""
    coated = fitted("FOGRA39L")
    wrong: dict[str, ToLab] = {
        "yellowish paper": lambda cmyk: on_paper(coated(cmyk), [88, 0, 6]),
        "more gain": lambda cmyk: coated(cmyk + 4 * 0.08 * cmyk * (1 - cmyk)),
        "cyan and magenta swapped": lambda cmyk: coated(cmyk[:, [1, 0, 2, 3]]),
    }
    makers: dict[str, ToLab] = {name: fitted(name) for name in OPEN} | wrong
    return tuple((name, table_profile(4, maker, name)) for name, maker in makers.items())


@cache
def rgb_set() -> tuple[tuple[str, bytes], ...]:
    return tuple((stock.name, stock_profile(stock)) for stock in STOCKS)


@cache
def stock_profile(stock: StockModel) -> bytes:
    return table_profile(3, lambda rgb: press_cards.truth(stock, rgb), stock.name)


def on_paper(lab: np.ndarray, paper: list[float]) -> np.ndarray:
    return xyz_to_lab(lab_to_xyz(lab) * lab_to_xyz(paper) / lab_to_xyz([95, 0, -2]))


def card_of(stock: StockModel, *, model: bool = True) -> ComparableReading:
    volume = press_cards.model(stock).solid.volume if model else None
    return card_reading(press_cards.patches(), press_cards.readings(stock), volume)


def advice_of(
    stock: StockModel, profiles: tuple[tuple[str, bytes], ...]
) -> tuple[MatchAdvice, tuple[Match, ...]]:
    card, model = card_of(stock), press_cards.model(stock)
    matches, _ = match_all(card, profiles)
    own = OwnReading(model.error_median, model.error_p95)
    return advise(card, matches, own=own, uncertainty=0.5), matches


# FOGRA39L, FOGRA29L, TR 003: the profile is made from one half of the patches by scipy, the reading is the other.
@pytest.mark.parametrize("name", OPEN)
def test_open_data_are_matched_to_their_own_profile(name: str) -> None:
    matches, _ = match_all(card_reading(*half(name, 1)), cmyk_set())
    assert len(matches) == 6
    assert matches[0].file == name
    assert matches[0].de00_median < 0.5
    assert matches[0].de00_median < matches[1].de00_median / 4
    assert matches[0].de00_p95 < matches[1].de00_p95 / 2


# The same with the device model between: it is fitted to one half and asked for colours in neither half.
@pytest.mark.slow
@pytest.mark.parametrize("name", OPEN)
def test_a_device_model_of_open_data_is_matched_to_their_profile(name: str) -> None:
    model = fit_device_model(*half(name, 1))
    steps = [[0, 0, 0, step / 5] for step in range(6)]
    chart = np.vstack([np.random.default_rng(3).random((400, 4)), steps, [[1, 1, 1, 1]]])
    matches, _ = match_all(card_reading(chart, model.to_lab(chart)), cmyk_set())
    assert matches[0].file == name
    assert matches[0].de00_median < matches[1].de00_median / 4


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
def test_an_rgb_card_is_matched_to_its_profile(stock: StockModel) -> None:
    advice, matches = advice_of(stock, rgb_set())
    assert matches[0].file == advice.profile == stock.name
    assert advice.verdict == "fits"
    assert not advice.use_own_reading
    assert advice.close == ()


# LittleCMS, asked directly for its ICC-absolute prediction, at the 8 bits that Pillow's binding has.
def test_the_prediction_is_littlecms_absolute() -> None:
    profile = stock_profile(cotton_etching())
    rgb = np.random.default_rng(4).integers(0, 256, (300, 3)).astype(np.uint8)
    transform = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(io.BytesIO(profile)),
        ImageCms.createProfile("LAB"),
        "RGB",
        "LAB",
        ImageCms.Intent.ABSOLUTE_COLORIMETRIC,
    )
    stored = np.asarray(ImageCms.applyTransform(Image.fromarray(rgb[None]), transform))[0].astype(float)
    coded = stored * [100 / 255, 1, 1]
    coded[:, 1:] = np.where(stored[:, 1:] > 127, stored[:, 1:] - 256, stored[:, 1:])
    ours = device_to_lab_by_profile(rgb / 255, profile, intent="absolute")
    assert np.abs(ours - coded).max() < 1.2  # half a step of 8 bits, and its rounding inside
    order = np.argsort(ours[:, 0])
    card = ComparableReading(rgb / 255, ours, int(order[-1]), int(order[0]), ())
    assert match_profile(card, "cotton", profile).de00_median == pytest.approx(0, abs=1e-9)


def test_the_figures_are_medians_over_the_patches() -> None:
    card = card_of(cotton_etching())
    found = match_profile(card, "gloss", stock_profile(semi_gloss()))
    told = device_to_lab_by_profile(card.device, stock_profile(semi_gloss()), intent="absolute")
    off = delta_e_2000(told, card.lab)
    assert found.de00_median == np.median(off)
    assert found.de00_p95 == np.quantile(off, 0.95)
    assert found.black == pytest.approx(4.5 - 15.2, abs=1)
    assert found.volume_share == pytest.approx(card.volume / found.gamut_volume)
    assert 0.5 < found.volume_share < 0.8


def test_right_but_for_the_white() -> None:
    warm = replace(semi_gloss(), name="semi-gloss, warm", paper_lab=(91.0, 0.0, 5.0))
    advice, matches = advice_of(warm, rgb_set())
    assert (advice.verdict, advice.profile) == ("but-for-white", "semi-gloss")
    assert advice.sentences[0].code == "match.but-for-white"
    card = advice.sentences[0].value("card")
    assert isinstance(card, tuple)
    assert [each.code for each in card if isinstance(each, Message)] == [
        "match.white.darker",
        "match.white.yellower",
    ]
    assert "L* darker and yellower by" in str(advice.sentences[0])
    assert matches[0].white == pytest.approx(delta_e_2000([91, 0, 5], semi_gloss().paper_lab), abs=1)
    assert matches[0].after.white < 2 < matches[0].de00_median
    assert not advice.use_own_reading


def test_right_but_for_the_black() -> None:
    def veiled(rgb: np.ndarray) -> np.ndarray:
        """A fifteenth of the paper's light laid over all: black rises to L* 31, white stays."""
        paper = lab_to_xyz(semi_gloss().paper_lab)
        return xyz_to_lab(lab_to_xyz(press_cards.truth(semi_gloss(), rgb)) * 14 / 15 + paper / 15)

    card = card_reading(press_cards.patches(), veiled(press_cards.patches()))
    (found,), _ = match_all(card, (("gloss", stock_profile(semi_gloss())),))
    advice = advise(card, (found,), own=None, uncertainty=0.5)
    deep = press_cards.truth(semi_gloss(), np.zeros((1, 3)))[0, 0]
    assert found.black == pytest.approx(deep - card.lab[card.black, 0], abs=0.1)
    assert found.after.black < 0.3 < 2 < found.after.white
    assert advice.verdict == "but-for-black"
    assert advice.sentences[0].code == "match.but-for-black"
    assert advice.sentences[0].value("black") == Message("match.black.deeper", step=-found.black)


def test_a_raised_tone_is_put_down_to_tone() -> None:
    def darker(rgb: np.ndarray) -> np.ndarray:
        return press_cards.truth(semi_gloss(), rgb**1.25)

    card = card_reading(press_cards.patches(), darker(press_cards.patches()), 680_000.0)
    (found,), _ = match_all(card, (("gloss", stock_profile(semi_gloss())),))
    advice = advise(card, (found,), own=OwnReading(0.3, 1.0), uncertainty=0.5)
    assert found.white < 0.5
    assert abs(found.black) < 0.5
    assert found.tone_shift == pytest.approx(found.tone, rel=0.01)
    assert found.tone > 4
    assert found.after.tone < 0.5 < 3 < found.after.black
    assert advice.verdict == "but-for-tone"
    assert advice.sentences[0].code == "match.but-for-tone"
    assert advice.sentences[0].value("tone") == Message("match.tone.darker", shift=found.tone_shift)
    assert advice.use_own_reading


def test_no_profile_makes_a_poor_card_good() -> None:
    better = tuple(item for item in rgb_set() if item[0] in ("semi-gloss", "cotton etching", "matt coated"))
    advice, matches = advice_of(craft_card(), better)
    assert max(match.volume_share for match in matches) < 0.5
    assert (advice.verdict, advice.profile) == ("none", None)
    assert advice.sentences[0].code == "match.none-holds-so-little-of-any"
    assert advice.use_own_reading
    assert advice.sentences[-1].code == "match.use-own-reading"


def test_hue_is_told_apart_from_the_rest() -> None:
    def turned(rgb: np.ndarray) -> np.ndarray:
        lab = press_cards.truth(semi_gloss(), rgb).copy()
        a, b = lab[:, 1].copy(), lab[:, 2].copy()
        angle = np.radians(12)
        lab[:, 1], lab[:, 2] = a * np.cos(angle) - b * np.sin(angle), a * np.sin(angle) + b * np.cos(angle)
        return lab

    card = card_reading(press_cards.patches(), turned(press_cards.patches()))
    found = match_profile(card, "gloss", stock_profile(semi_gloss()))
    assert found.hue_deg == pytest.approx(12, abs=1.5)
    assert found.chroma == pytest.approx(1, abs=0.03)
    assert found.tone < 0.3
    assert found.after.tone > 0.8 * found.de00_median


def test_two_profiles_as_good_are_called_close() -> None:
    twin = table_profile(3, lambda rgb: press_cards.truth(semi_gloss(), rgb) + np.array([0.05, 0, 0]), "twin")
    advice, _ = advice_of(semi_gloss(), (*rgb_set(), ("twin", twin)))
    assert {advice.profile, *advice.close} == {"semi-gloss", "twin"}
    assert advice.sentences[1] == Message("match.close", others=advice.close)


UNCERTAINTIES = (0.3, 1.0, 2.0, 3.0, 5.0, 8.0, 20.0)


def scanned(device: np.ndarray, lab: np.ndarray, seed: int) -> ComparableReading:
    """Patches read by an invented scanner that takes lights for one another, as filters that are not the eye's do."""
    mixing = np.eye(3) + np.random.default_rng(seed).normal(0, 0.04, (3, 3))
    return card_reading(device, xyz_to_lab(np.clip(lab_to_xyz(lab) @ mixing.T, 1e-4, None)))


@pytest.mark.parametrize("seed", range(3))
def test_a_scan_of_a_coated_card_finds_no_fit_among_uncoated_profiles(seed: int) -> None:
    uncoated = tuple((each.name, stock_profile(each)) for each in (craft_card(), matt_uncoated_back()))
    by_instrument, _ = match_all(card_of(semi_gloss()), uncoated)
    assert advise(card_of(semi_gloss()), by_instrument, own=None, uncertainty=0.5).verdict == "none"
    refuses(scanned(press_cards.patches(), press_cards.readings(semi_gloss()), seed), uncoated)


# FOGRA39L is offset on coated paper, FOGRA29L on uncoated.
@pytest.mark.parametrize("seed", range(6))
def test_open_data_of_coated_paper_find_no_fit_in_an_uncoated_profile(seed: int) -> None:
    uncoated = tuple(named for named in cmyk_set() if named[0] == "FOGRA29L")
    card = card_reading(*half("FOGRA39L", 1))
    assert advise(card, match_all(card, uncoated)[0], own=None, uncertainty=0.5).verdict == "none"
    refuses(scanned(*half("FOGRA39L", 1), seed), uncoated)


def refuses(card: ComparableReading, profiles: tuple[tuple[str, bytes], ...]) -> None:
    matches, _ = match_all(card, profiles)
    for uncertainty in (3.0, 5.0, 8.0):
        advice = advise(card, matches, own=None, uncertainty=uncertainty, scanned=True)
        assert (advice.verdict, advice.profile) == ("none", None)
        assert "match.profile-will-do" not in [sentence.code for sentence in advice.sentences]


@pytest.mark.parametrize("name", [stock.name for stock in STOCKS])
@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
def test_an_uncertain_reading_approves_no_more_than_a_certain_one(stock: StockModel, name: str) -> None:
    matches, _ = match_all(card_of(stock), tuple(named for named in rgb_set() if named[0] == name))
    told = [advise(card_of(stock), matches, own=None, uncertainty=each) for each in UNCERTAINTIES]
    order = ["fits", "but-for-white", "but-for-black", "but-for-tone", "near", "none"]
    rank = [order.index(advice.verdict) for advice in told]
    assert rank == sorted(rank)
    will_do = [advice.sentences[-1].code == "match.profile-will-do" for advice in told]
    assert will_do == sorted(will_do, reverse=True)  # never again, once the uncertainty is too wide for it


def test_a_scan_says_what_it_may_be_off() -> None:
    card = card_of(semi_gloss())
    matches, _ = match_all(card, (("cotton", stock_profile(cotton_etching())),))
    off = matches[0].de00_median
    assert off > 2
    sure = advise(card, matches, own=None, uncertainty=0.3)
    unsure = advise(card, matches, own=None, uncertainty=off - 1, scanned=True)
    assert unsure.sentences[0].code.endswith("-by-this-reading")  # it may fit after all
    assert not sure.sentences[0].code.endswith("-by-this-reading")
    estimate = next(sentence for sentence in unsure.sentences if sentence.code == "match.estimate")
    assert estimate.values == {
        "uncertainty": off - 1,
        "least": pytest.approx(1),
        "most": pytest.approx(2 * off - 1),
    }
    assert "match.estimate" not in [sentence.code for sentence in sure.sentences]


def test_an_own_reading_that_is_unsure_itself_is_not_praised() -> None:
    card = card_of(semi_gloss())
    matches, _ = match_all(card, (("craft", stock_profile(craft_card())),))
    off = matches[0].de00_median
    unsure = advise(card, matches, own=OwnReading(0.3, 1.0), uncertainty=off, scanned=True)
    assert not unsure.use_own_reading
    assert unsure.sentences[-1] == Message("match.own-no-surer", median=0.3, p95=1.0, uncertainty=off)
    assert advise(card, matches, own=OwnReading(off, 9.0), uncertainty=0.5).sentences[-1].code == (
        "match.own-hardly-better"
    )


def test_what_does_not_fit_is_left_out_with_its_reason() -> None:
    others = (
        ("cmyk.icc", cmyk_set()[0][1]),
        ("grey.icc", grey_profile(2.2)),
        ("scanner.icc", stock_profile(semi_gloss()).replace(b"prtr", b"scnr", 1)),
        ("cut.icc", stock_profile(semi_gloss())[:900]),
        ("random.icc", bytes(range(256)) * 4),
        ("srgb.icc", working_space_profile("srgb")),
    )
    matches, notices = match_all(card_of(semi_gloss()), (*others, *rgb_set()))
    assert {match.file for match in matches} == {"srgb.icc", *(stock.name for stock in STOCKS)}
    of_inks = Message("match.other-numbers", file="cmyk.icc", space="CMYK", wanted="RGB")
    for told in (
        of_inks,
        Message("match.other-numbers", file="grey.icc", space="grey", wanted="RGB"),
        Message("match.no-printer-profile", file="scanner.icc", kind="input"),
        Message("match.unusable", file="cut.icc", reason=Message("profile.cut-short")),
        Message("match.unusable", file="random.icc", reason=Message("profile.no-signature")),
    ):
        assert Message("match.left-out", reason=told) in notices
    assert Message("match.no-print", file="srgb.icc") in notices
    with pytest.raises(BadProfile) as refused:
        match_all(card_of(semi_gloss()), others[:5])
    assert refused.value.message == Message("match.none-can-be-matched", reason=of_inks, space="RGB")
    with pytest.raises(BadProfile) as refused:
        match_all(card_of(semi_gloss()), ())
    assert refused.value.message == Message("match.no-profile", space="RGB")


def test_a_cmyk_reading_is_split_along_its_black_ramp() -> None:
    cmyk, lab = open_data("FOGRA39L")
    card = card_reading(cmyk, lab)
    assert card.colour_space == "CMYK"
    assert np.all(cmyk[card.white] == 0)
    assert lab[card.black, 0] == lab[:, 0].min()
    assert len(card.greys) > 5
    found = match_profile(card, "yellowish", dict(cmyk_set())["yellowish paper"])
    assert found.white > 5
    assert found.after.white < 0.5


@pytest.mark.parametrize(
    ("rows", "told"),
    [(slice(0, 5), "match.too-few-patches"), (slice(5, 60), "match.no-white-or-black")],
)
def test_a_reading_without_what_it_takes_is_refused(rows: slice, told: str) -> None:
    with pytest.raises(BadRequest) as refused:
        card_reading(press_cards.patches()[rows], press_cards.readings(semi_gloss())[rows])
    assert refused.value.message.code == told
