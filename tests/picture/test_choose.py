"""Which card: every picture by every way; figures from a histogram stand for the picture's own."""

from __future__ import annotations

from dataclasses import asdict
from datetime import UTC, datetime
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from tackside.errors import BadImage, BadRequest
from tackside.messages.message import Message
from tackside.picture.choose.answer import answer, best_of_each_stock, why
from tackside.picture.choose.cards import CardProfile, CardReading
from tackside.picture.choose.choose import Choice, choose, score_of
from tackside.picture.choose.contact_sheet import as_html, as_image, contact_sheet
from tackside.picture.choose.samples import sampled
from tackside.picture.choose.way_table import (
    NODES,
    WayTable,
    _at_cells,
    between,
    between_for_cells,
    node_lab,
    sample_way,
)
from tackside.picture.file.colours import CELLS, Space, cell_lab, colours_of, count, reduced
from tackside.picture.proof.advice import IntentVariant
from tackside.picture.proof.figures import compare
from tackside.picture.proof.ways import PrintWay, ways_of
from tackside.press.printer.printer_model import PrinterModel
from tackside.press.printer.printing import print_sheet
from tackside.press.printer.stock_model import StockModel, cotton_etching, craft_card, semi_gloss
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.convert import rgb_to_lab_by_profile
from tackside.records import PatchReading, Reading, Uncertainty
from tests.picture.photographs import FOLDER
from tests.profile.card_profiles import press_profile

SRGB = Space(working_space_profile("srgb"))
PHOTOGRAPHS = ("ihc.png", "coffee.png", "rocket.jpg", "chelsea.png", "motorcycle_left.png")


def read_card(model: StockModel, levels: int = 6) -> CardReading:
    steps = np.linspace(0, 1, levels)
    rgb = np.stack(np.meshgrid(steps, steps, steps, indexing="ij"), axis=-1).reshape(-1, 3)
    printed = print_sheet(np.full((60, 60, 3), 255, np.uint8), 600, model, PrinterModel())
    patches = tuple(
        PatchReading(name=str(n), rgb=(r, g, b), lab=(light, a, yellow))
        for n, ((r, g, b), (light, a, yellow)) in enumerate(
            zip(rgb.tolist(), printed.lab_of(rgb).tolist(), strict=True)
        )
    )
    return CardReading(
        model.name,
        Reading(
            kind="instrument",
            source_name="invented",
            source_sha256="0" * 64,
            made_at=datetime(2026, 1, 5, tzinfo=UTC),
            patches=patches,
            uncertainty=Uncertainty(de00=0.2, basis="invented", comparable_with="colorimetric"),
        ),
    )


@cache
def three_cards() -> tuple[PrintWay, ...]:
    cards = [read_card(model) for model in (craft_card(), semi_gloss(), cotton_etching())]
    return tuple(ways_of([(card, True) for card in cards], [])[0])


@cache
def table(space: Space = SRGB) -> WayTable:
    return WayTable(three_cards(), space, np.stack([sample_way(way, space) for way in three_cards()]))


@cache
def choice_of_photographs() -> Choice:
    return choose([FOLDER / name for name in PHOTOGRAPHS], three_cards())


@pytest.mark.parametrize("name", PHOTOGRAPHS)
def test_the_histogram_stands_for_every_pixel(name: str) -> None:
    """Against the proof's own figures, worked out pixel by pixel from the exact way.

    Lost detail is taken from at most 2000 pairs of neighbours and is right to a tenth.
    """
    pixels, space = reduced(FOLDER / name, 120)
    lab = rgb_to_lab_by_profile(pixels.reshape(-1, 3) / 255, space.profile)
    for way, found in zip(three_cards(), table(space).figures(count(pixels, space)), strict=True):
        exact = compare(lab.reshape(pixels.shape), way.printed(lab).reshape(pixels.shape))
        assert found.de00_mean == pytest.approx(exact.de00_mean, abs=0.4)
        assert found.de00_p95 == pytest.approx(exact.de00_p95, abs=1.1)
        assert found.chroma == pytest.approx(exact.chroma, abs=0.8)
        assert found.shadow == pytest.approx(exact.shadow, abs=0.06)
        if exact.lost_shadow is not None and exact.shadow > 0.1:
            assert found.lost_shadow == pytest.approx(exact.lost_shadow, abs=0.1)


def test_between_the_nodes_lies_what_lies_between() -> None:
    """Any plane is met exactly by linear interpolation."""
    rng = np.random.default_rng(3)
    pixels = rng.integers(0, 256, (500, 3), dtype=np.uint8)
    ends = np.eye(3)
    nodes = between(np.array([[0, 0, 0], [255, 255, 255]], dtype=np.uint8))
    assert nodes.shares.sum(axis=1) == pytest.approx(1)
    from tackside.picture.choose.way_table import NODE_CODES

    grid = np.stack(np.meshgrid(NODE_CODES, NODE_CODES, NODE_CODES, indexing="ij"), axis=-1).reshape(-1, 3)
    assert grid.shape == (NODES**3, 3)
    assert between(pixels) @ (grid @ ends) == pytest.approx(pixels.astype(float), abs=1e-2)


def test_the_deepest_widest_card_comes_first_and_craft_card_last() -> None:
    stocks = [each.way.stock for each in best_of_each_stock(choice_of_photographs().ranking)]
    assert stocks == [semi_gloss().name, cotton_etching().name, craft_card().name]


def test_a_picture_without_depth_or_colour_suits_cards_alike(tmp_path: Path) -> None:
    """Mid tones of little chroma lie inside all three gamuts: the cards come out alike."""
    ramp = np.linspace(150, 230, 300).astype(np.uint8)
    pixels = np.stack(
        [np.tile(ramp, (200, 1)), np.tile(ramp, (200, 1)), np.tile(ramp - 6, (200, 1))], axis=-1
    )
    Image.fromarray(pixels).save(tmp_path / "fog.png")
    best = best_of_each_stock(choose([tmp_path / "fog.png"], three_cards()).ranking)
    night = best_of_each_stock(choose([FOLDER / "rocket.jpg"], three_cards()).ranking)
    assert best[0].score - best[-1].score < 0.5 * (night[0].score - night[-1].score)


def test_ranking_holds_every_stock_and_intent_once() -> None:
    ranking = choice_of_photographs().ranking
    assert len({(each.way.stock, each.way.variant) for each in ranking}) == len(ranking) == 9
    assert [each.cost for each in ranking] == sorted(each.cost for each in ranking)
    assert sum(each.best_of for each in ranking) == len(PHOTOGRAPHS)


def test_the_answer_is_a_sentence_with_its_figure() -> None:
    said = answer(choice_of_photographs().ranking, len(PHOTOGRAPHS))
    best = choice_of_photographs().ranking[0]
    assert (said.value("count"), said.value("stock")) == (5, semi_gloss().name)
    assert said.value("result") == Message("choose.result", mean=best.figures.de00_mean)
    assert str(said).startswith(f"For these 5 pictures use {semi_gloss().name}, converted by")
    assert str(said).endswith(".")
    worst = choice_of_photographs().ranking[-1]
    losses = why(worst).value("losses")
    assert isinstance(losses, tuple)
    assert Message("choose.loss.shadow", share=worst.figures.lost_shadow) in losses


def test_a_broken_picture_among_good_ones_is_said_so_of(tmp_path: Path) -> None:
    (tmp_path / "broken.jpg").write_bytes((FOLDER / "rocket.jpg").read_bytes()[:9000])
    (tmp_path / "none.jpg").write_bytes(b"")
    good = FOLDER / "rocket.jpg"
    found = choose([tmp_path / "broken.jpg", good, tmp_path / "none.jpg"], three_cards())
    assert [each.fault is None for each in found.pictures] == [False, True, False]
    alone = choose([good], three_cards())
    assert [each.score for each in found.ranking] == [each.score for each in alone.ranking]


def test_only_broken_pictures_are_refused(tmp_path: Path) -> None:
    (tmp_path / "none.jpg").write_bytes(b"")
    with pytest.raises(BadImage) as refused:
        choose([tmp_path / "none.jpg"], three_cards())
    assert refused.value.message == Message("picture.empty", file=str(tmp_path / "none.jpg"))
    with pytest.raises(BadImage) as refused:
        choose([tmp_path / "none.jpg", tmp_path / "gone.jpg"], three_cards())
    assert refused.value.message.code == "choose.none-opened"


def test_a_reading_with_too_few_patches_is_left_out_with_its_reason() -> None:
    few = read_card(craft_card(), levels=2)
    ways, _ = ways_of([(few, True)], [])
    found = choose([FOLDER / "rocket.jpg"], [*ways, *three_cards()])
    assert found.left_out
    assert found.left_out[0].why.code == "profile.too-few-patches"
    assert len(found.ranking) == 9
    with pytest.raises(BadRequest) as refused:
        choose([FOLDER / "rocket.jpg"], ways)
    assert refused.value.message == Message("choose.none-weighed", reason=found.left_out[0].why)


def test_a_cards_own_profile_serves_about_as_well_as_its_reading_and_a_foreign_one_worse() -> None:
    card = read_card(cotton_etching())
    own = CardProfile("etching.icc", press_profile(cotton_etching()))
    foreign = CardProfile("satin.icc", press_profile(semi_gloss()))
    found = choose([FOLDER / "coffee.png"], ways_of([(card, True)], [own, foreign])[0])
    plain = {
        each.way.profile: each.figures.de00_mean
        for each in found.ranking
        if each.way.variant == IntentVariant("relative", False)
    }
    assert plain["etching.icc"] == pytest.approx(plain[None], abs=0.5)
    assert plain["satin.icc"] > plain["etching.icc"] + 0.5


def test_profiles_alone_are_ranked_for_their_own_papers() -> None:
    profiles = [CardProfile(model.name, press_profile(model)) for model in (craft_card(), semi_gloss())]
    ways, left = ways_of([], profiles)
    assert not left
    found = choose([FOLDER / "coffee.png"], ways)
    assert found.ranking[0].way.stock == semi_gloss().name
    assert not found.ranking[0].way.measured


def test_a_sheet_printed_through_the_whole_path_takes_no_second_profile() -> None:
    card = read_card(semi_gloss())
    profile = CardProfile("a.icc", press_profile(semi_gloss()))
    assert {way.profile for way in ways_of([(card, False)], [profile])[0]} == {None}


def test_what_is_kept_of_a_card_is_the_same_and_damage_only_costs_time(tmp_path: Path) -> None:
    way = three_cards()[0]
    fresh = sampled(way, SRGB, tmp_path / "cache")
    (kept,) = (tmp_path / "cache").iterdir()
    np.testing.assert_array_equal(sampled(way, SRGB, tmp_path / "cache"), fresh)
    kept.write_bytes(kept.read_bytes()[:100])
    np.testing.assert_array_equal(sampled(way, SRGB, tmp_path / "cache"), fresh)


def test_pictures_of_a_wide_space_are_counted_in_it(tmp_path: Path) -> None:
    """A green beyond sRGB keeps its chroma: Adobe RGB (1998) numbers are not read as sRGB."""
    wide = working_space_profile("adobe-rgb")
    Image.new("RGB", (60, 60), (0, 255, 0)).save(tmp_path / "a.png", icc_profile=wide)
    colours = colours_of(tmp_path / "a.png")
    assert colours.space == Space(wide)
    lab = cell_lab(colours.space)[colours.cells][0]
    expected = rgb_to_lab_by_profile(np.array([[0, 1, 0]]), wide)[0]
    assert np.hypot(*lab[1:]) == pytest.approx(np.hypot(*expected[1:]), rel=0.03)


@pytest.mark.parametrize("mode", ["L", "LA", "RGBA", "P", "1"])
def test_other_kinds_of_picture_are_counted_as_rgb(tmp_path: Path, mode: str) -> None:
    Image.new("RGB", (40, 30), (200, 30, 30)).convert("L" if mode == "LA" else "RGB").convert(mode).save(
        tmp_path / "a.png"
    )
    assert colours_of(tmp_path / "a.png").weights.sum() == pytest.approx(1)


def test_a_picture_of_one_pixel_is_weighed_up(tmp_path: Path) -> None:
    Image.new("RGB", (1, 1), (200, 30, 30)).save(tmp_path / "a.png")
    assert len(choose([tmp_path / "a.png"], three_cards()).ranking) == 9


def test_nothing_lost_scores_a_hundred() -> None:
    assert score_of(0) == 100
    assert score_of(3) > score_of(4)


def test_the_proof_on_the_sheet_is_the_ways_print() -> None:
    pixels, _ = reduced(FOLDER / "coffee.png", 60)
    lab = rgb_to_lab_by_profile(pixels.reshape(-1, 3) / 255, SRGB.profile)
    for number, way in enumerate(three_cards()):
        proof = table().proof(number, pixels).reshape(-1, 3)
        assert np.median(np.linalg.norm(proof - way.printed(lab), axis=1)) < 1.0


def test_the_contact_sheet_stands_alone_and_escapes_names(tmp_path: Path) -> None:
    path = tmp_path / "<b>&boats.png"
    path.write_bytes((FOLDER / "coffee.png").read_bytes())
    found = choose([path, FOLDER / "chelsea.png"], three_cards())
    sheet = contact_sheet(found, answer(found.ranking, 2))
    page = as_html(sheet)
    assert page.count("<img ") == 2 * (1 + 3)
    assert "<b>&boats" not in page
    assert "http" not in page
    image = as_image(sheet)
    assert image.ndim == 3
    assert image.dtype == np.uint8
    originals = [row.picture for row in sheet.rows]
    assert max(max(each.shape[:2]) for each in originals) <= 300


def test_node_lab_ends_in_black_and_white() -> None:
    lab = node_lab(SRGB)
    assert lab[0] == pytest.approx([0, 0, 0], abs=0.1)
    assert lab[-1] == pytest.approx([100, 0, 0], abs=0.1)
    assert asdict(table().figures(colours_of(FOLDER / "coffee.png"))[0])


def test_all_cells_are_interpolated_as_any_are() -> None:
    printed = np.random.default_rng(3).uniform(-50, 100, (NODES**3, 3)).astype(np.float32)
    alone = between_for_cells(np.arange(CELLS)) @ printed
    assert _at_cells(printed) == pytest.approx(alone, abs=1e-3)
    corner = np.array([[0, 0, 0], [255, 255, 255], [255, 0, 10]], dtype=np.uint8)
    at_nodes = between(corner[:2]) @ printed
    assert at_nodes == pytest.approx(printed[[0, -1]])
    shares = between(np.random.default_rng(4).integers(0, 256, (500, 3), dtype=np.uint8)).shares
    assert shares.sum(axis=1) == pytest.approx(np.ones(500), abs=1e-5)
    assert shares.min() >= 0
