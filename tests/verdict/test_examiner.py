"""The examiner's physics against facts from outside, and that it shares nothing with what the verdict is taught on."""

from __future__ import annotations

import ast
from collections.abc import Iterator
from dataclasses import replace
from io import BytesIO
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from PIL import Image, ImageCms
from scipy.interpolate import RBFInterpolator
from training.examiner import charts, works
from training.examiner.cards import lab_of
from training.examiner.cms import converted
from training.examiner.examined import Examined, examined
from training.examiner.eye import Person
from training.examiner.icc import colorimetric_table
from training.examiner.image import read_as_image
from training.examiner.inkjet import draw_inks, paper_spectrum
from training.examiner.mapping import CLIPS, clipped
from training.examiner.paths import Route, as_rgb, hues_turned
from training.examiner.prints import FAULTS, Print, _mingled, has_moved, moved_by, spoilt
from training.examiner.profiles import draw_recipe, make_profile, relative
from training.examiner.scenes import Scene, draw_scene
from training.examiner.screen import Screen, picks
from training.examiner.spectra import Likely, to_xyz
from training.examiner.study import marked

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import RGB_SPACES, WHITE_D50, Floats, lab_to_xyz, rgb_to_lab
from tackside.profile.icc.working_space import SpaceName, working_space_profile
from tackside.records.verdict import Cause

TRAINING = Path(works.__file__).parents[1]
GRID: Floats = np.stack(np.meshgrid(*[np.linspace(0, 1, 6)] * 3, indexing="ij"), axis=-1).reshape(-1, 3)
needs_profiles = pytest.mark.skipif(
    works.missing("profiles") is not None, reason="libgs-common and icc-profiles-free are not installed"
)


class Swapped(Print):
    """Red numbers taken for blue ones."""

    def xyz(self, rgb: Floats, space: SpaceName) -> Floats:
        return super().xyz(rgb[:, ::-1], space)


@pytest.fixture(scope="module")
def work() -> works.Work:
    return works.draw_work(np.random.default_rng(3), "spectra")


@pytest.fixture(scope="module")
def offset() -> works.Work:
    return works.draw_work(np.random.default_rng(8), "charts")


def sound(of: works.Work) -> Print:
    return Print(of.coated, Route(of.engine, of.made_coated, "relative", compensated=True))


def imported(file: Path, seen: set[Path]) -> Iterator[str]:
    """Names of every module that ``file`` imports, through the modules of ``training`` too."""
    seen.add(file)
    for node in ast.walk(ast.parse(file.read_text(encoding="utf-8"))):
        names = []
        if isinstance(node, ast.Import):
            names = [alias.name for alias in node.names]
        elif isinstance(node, ast.ImportFrom) and node.module:
            names = [node.module, *(f"{node.module}.{alias.name}" for alias in node.names)]
        for name in names:
            yield name
            inner = TRAINING.parent / Path(*name.split(".")).with_suffix(".py")
            if name.startswith("training.") and inner.exists() and inner not in seen:
                yield from imported(inner, seen)


def test_the_examiner_imports_nothing_of_the_teacher_nor_of_the_virtual_press() -> None:
    seen: set[Path] = set()
    names = {name for file in sorted((TRAINING / "examiner").glob("*.py")) for name in imported(file, seen)}
    assert not [name for name in names if name.startswith("tackside.press")]
    ours = {name.split(".")[1] for name in names if name.startswith("training.")}
    assert ours == {"examiner", "counting"}


def test_a_white_spectrum_is_the_white_of_d50() -> None:
    # CIE 15: 0.9642, 1, 0.8251 for D50 and the 2° observer; the connection space of ISO 15076-1 has 0.8249.
    assert to_xyz(np.ones(31)) == pytest.approx(WHITE_D50, abs=5e-4)


def test_a_spectrum_made_up_for_a_colour_has_that_colour() -> None:
    rng = np.random.default_rng(1)
    dyes = draw_inks(rng, ("c", "m", "y", "k")).density
    spectra = paper_spectrum(rng, (0.88, 0.92)) * 10.0 ** -(2 * rng.uniform(0, 0.6, (200, 4)) @ dyes)
    likely = Likely.of(spectra[:100])
    back = likely.spectra(to_xyz(spectra[100:]))
    assert to_xyz(back) == pytest.approx(to_xyz(spectra[100:]), abs=4e-3)


@pytest.mark.parametrize("name", charts.at_hand((*charts.COATED, *charts.UNCOATED)))
def test_open_data_are_met_at_their_patches_and_foretold_between_them(name: str) -> None:
    data = charts.chart(name)
    assert charts.interpolated(name)(data.cmyk[::7]) == pytest.approx(data.lab[::7], abs=1e-3)
    out = np.arange(len(data.cmyk)) % 10 == 3
    less = RBFInterpolator(data.cmyk[~out], data.lab[~out], kernel="cubic")
    # Left out patches: newsprint's data are the noisiest.
    assert delta_e_2000(less(data.cmyk[out]), data.lab[out]).mean() < 0.4


@needs_profiles
@pytest.mark.parametrize("name", ["libgs", "libvips"])
def test_a_colorimetric_table_says_what_littlecms_says(name: str) -> None:
    profile = works.third_parties()[name]
    cmyk = np.random.default_rng(2).integers(0, 256, (400, 4)).astype(np.uint8)
    through = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(BytesIO(profile)),
        ImageCms.createProfile("LAB"),
        "CMYK",
        "LAB",
        renderingIntent=ImageCms.Intent.ABSOLUTE_COLORIMETRIC,
    )
    coded = np.asarray(ImageCms.applyTransform(Image.fromarray(cmyk[None], "CMYK"), through))[0]
    theirs = np.column_stack([coded[:, 0] / 2.55, coded[:, 1:].astype(np.int8)])
    off = delta_e_2000(colorimetric_table(profile).lab(cmyk / 255.0), theirs)
    # Pillow gives CIELAB in bytes: half a unit of a* and of b* at most, and some more between the nodes of the table.
    assert np.median(off) < 0.5
    assert np.percentile(off, 95) < 1.0


@needs_profiles
def test_a_managed_path_is_littlecms_own_conversion() -> None:
    profile = works.third_parties()["libvips"]
    numbers = np.rint(GRID * 255).astype(np.uint8)
    through = ImageCms.buildTransform(
        ImageCms.ImageCmsProfile(BytesIO(working_space_profile("adobe-rgb"))),
        ImageCms.ImageCmsProfile(BytesIO(profile)),
        "RGB",
        "CMYK",
        renderingIntent=ImageCms.Intent.PERCEPTUAL,
    )
    direct = np.asarray(ImageCms.applyTransform(Image.fromarray(numbers[None]), through))[0]
    ours = converted(GRID, "adobe-rgb", profile, "perceptual", compensated=False)
    # One is worked out number by number, the other through LittleCMS' own shortened table: some bytes apart at most.
    apart = np.abs(ours * 255 - direct)
    assert np.percentile(apart, 95) <= 2
    assert apart.max() <= 8


def test_profiles_made_here_bring_colours_inside_the_gamut_back() -> None:
    rng = np.random.default_rng(4)
    work = works.draw_work(rng, "charts")
    recipe = replace(draw_recipe(rng), chart=13, size=33, clip="nearest-76", smooth=0.0)
    made = make_profile(rng, work.engine, work.coated, recipe)
    inside = made.solid.lab(np.random.default_rng(1).uniform(0.2, 0.85, (300, 3)))
    device = clipped(made.solid, inside, "nearest-76")
    assert delta_e_2000(made.solid.lab(device), inside).mean() < 0.1
    paper = work.coated.xyz(np.zeros((1, 4)))
    shown = relative(work.coated.xyz(work.engine.amounts(made.numbers(device))), paper)
    assert delta_e_2000(shown, inside).mean() < 1.0


@pytest.mark.parametrize("kind", CLIPS)
def test_every_clip_leaves_what_is_inside_and_keeps_to_the_gamut(kind: str, offset: works.Work) -> None:
    solid = offset.made_coated.solid
    inside = solid.lab(np.random.default_rng(5).uniform(0.25, 0.8, (200, 3)))
    assert np.median(delta_e_2000(solid.lab(clipped(solid, inside, kind)), inside)) < 0.3  # type: ignore[arg-type]
    outside = clipped(solid, np.array([[60.0, 90.0, 90.0], [30.0, 40.0, -110.0]]), kind)  # type: ignore[arg-type]
    assert ((outside >= 0) & (outside <= 1)).all()


def test_by_its_own_path_a_good_card_spans_what_a_bare_one_cannot(work: works.Work) -> None:
    good, bare = (
        lab_of(card, work.engine.separation.amounts(works.CORNERS)) for card in (work.coated, work.bare)
    )
    assert good[:, 0].min() <= works.GOOD_BLACK
    assert bare[:, 0].min() >= works.BARE_BLACK


def test_a_sound_print_moves_nothing(work: works.Work, offset: works.Work) -> None:
    for each in (work, offset):
        made = sound(each)
        assert moved_by(made, made, GRID, "srgb") == 0.0
        assert not has_moved(made, 0.0)


@pytest.mark.parametrize("fault", FAULTS)
@pytest.mark.parametrize("kind", ["spectra", "charts"])
def test_each_fault_moves_what_it_should(
    fault: Cause, kind: str, work: works.Work, offset: works.Work
) -> None:
    of = work if kind == "spectra" else offset
    space = "adobe-rgb" if fault == "wide-read-as-narrow" else "srgb"
    rng = np.random.default_rng(9)
    good = sound(of)
    prints = [spoilt(rng, of, good, (fault,), space) for _ in range(4)]
    far = [moved_by(one, good, GRID, space) for one in prints]
    white, black = np.ones((1, 3)), np.zeros((1, 3))
    mid = np.full((1, 3), 0.45)
    if fault in ("alignment", "scaling"):
        assert max(far) == 0.0
        assert any(has_moved(one, 0.0) for one in prints)
        return
    assert max(far) > 2.0
    for one in prints:
        match fault:
            case "stock" | "side":
                assert one.lab(black, space)[0, 0] > good.lab(black, space)[0, 0] + 5.0
                assert one.grain.spread_um > good.grain.spread_um
            case "too-little-ink":
                assert one.lab(mid, space)[0, 0] > good.lab(mid, space)[0, 0]
                assert one.lab(white, space) == pytest.approx(good.lab(white, space), abs=1.0)
            case "too-much-ink":
                assert one.lab(mid, space)[0, 0] < good.lab(mid, space)[0, 0]
            case "wide-read-as-narrow" | "narrow-read-as-wide":
                wide = fault == "narrow-read-as-wide"
                green = np.array([[0.3, 0.8, 0.3]])
                chroma = [np.hypot(*each.lab(green, space)[0, 1:]) for each in (one, good)]
                assert (chroma[0] > chroma[1]) == wide
            case _:
                assert has_moved(one, moved_by(one, good, GRID, space)) or fault != "unknown"


def test_cmyk_written_as_rgb_darkens_by_each_ink() -> None:
    assert as_rgb(
        np.array([[0.0, 0.0, 0.0, 0.0], [1.0, 0.0, 0.0, 0.0], [0.0, 0.5, 0.0, 0.5]])
    ) == pytest.approx(np.array([[1.0, 1.0, 1.0], [0.0, 1.0, 1.0], [0.5, 0.25, 0.5]]))


def test_hues_turned_by_a_third_of_the_circle_exchange_the_primaries() -> None:
    turned = hues_turned(np.array([[1.0, 0.0, 0.0], [0.4, 0.4, 0.4]]), 2 * np.pi / 3)
    assert turned == pytest.approx(np.array([[0.0, 1.0, 0.0], [0.4, 0.4, 0.4]]), abs=1e-9)


def test_an_ink_in_anothers_tank_is_not_lost(work: works.Work) -> None:
    mixed = _mingled(np.random.default_rng(1), work.engine.inks)
    assert mixed.sum(axis=1) == pytest.approx(np.ones(len(work.engine.inks)))
    assert (np.diag(mixed) < 1.0).sum() in (1, 2)


def same(one: Examined, other: Examined) -> bool:
    labs = [[patch.lab for patch in each.known.reading.patches] for each in (one, other)]
    return (one.truth, one.moved_de00, labs[0], one.work) == (
        other.truth,
        other.moved_de00,
        labs[1],
        other.work,
    )


def test_the_same_seed_draws_the_same_prints_and_another_draws_others() -> None:
    first, again, other = (list(examined("figures", None, 3, seed, ("spectra",))) for seed in (6, 6, 7))
    assert all(same(*pair) for pair in zip(first, again, strict=True))
    assert not all(same(*pair) for pair in zip(first, other, strict=True))


@pytest.mark.parametrize("way", ["figures", "eye"])
def test_what_was_drawn_can_be_judged(way: str) -> None:
    for one in examined(way, None, 6, 21, ("charts",)):  # type: ignore[arg-type]
        found = marked(one)
        assert 0.0 <= found.probability <= 1.0
        assert one.sound_good == (one.truth == ("none",))
        if one.beside != "none" and way == "figures":
            assert one.known.reference is not None


def test_people_tell_which_way_soft_colours_have_turned_beside_the_good_print_alone(work: works.Work) -> None:
    small = ((148.0, 210.0),)
    scene = draw_scene(np.random.default_rng(4), work, "known card", 600.0, small)
    assert scene.reference is not None
    own = replace(scene, reference=scene.laid)
    asked = {f"soft_{hue}_hue_beside_good" for hue in ("reds", "purples", "blues")}

    def said(one: Scene, people: int) -> list[dict[str, Any]]:
        rng = np.random.default_rng(5)
        return [Person(rng).answers(one) for _ in range(people)]

    # Beside itself nothing has turned, but for slips of the eye.
    words = [form[name] for form in said(own, 20) for name in asked & form.keys()]
    assert len(words) > 40
    assert words.count("same") > 0.9 * len(words)
    assert not asked & set().union(*said(replace(scene, reference=None), 3))
    # Red and blue exchanged: reds go a quarter of the circle towards blue, blues as far towards red, and purples stay.
    laid = scene.laid
    swapped = replace(own, laid=replace(laid, made=Swapped(laid.made.card, laid.made.route)))
    forms = said(swapped, 10)
    for hue, word in (("reds", "bluer"), ("blues", "redder"), ("purples", "same")):
        answered = [form[name] for form in forms if (name := f"soft_{hue}_hue_beside_good") in form]
        assert answered.count(word) >= 0.8 * len(answered) > 0


def test_what_people_say_of_hues_leaves_their_other_answers_as_they_are(work: works.Work) -> None:
    scene = draw_scene(np.random.default_rng(4), work, "known card", 600.0, ((148.0, 210.0),))
    forms = []
    for seed in (1, 2):
        person = Person(np.random.default_rng(5))
        person.later = np.random.default_rng(seed)
        person.turn_deg = 0.0
        forms.append(person.answers(scene))
    later = [
        {name: form.pop(name) for name in list(form) if "_hue_" in name or "match" in name} for form in forms
    ]
    assert later[0] != later[1]
    assert forms[0] == forms[1]


def test_an_honest_screen_shows_what_is_meant_and_a_weak_one_less() -> None:
    lab = rgb_to_lab(np.array([[0.3, 0.6, 0.6], [0.7, 0.4, 0.4], [0.5, 0.5, 0.5]]), RGB_SPACES["srgb"])
    white = np.ones(3)
    assert Screen(white, mixed=0.0, gamma=1.0, veil=0.0).shows(lab) == pytest.approx(lab, abs=1e-6)
    weak = Screen(white, mixed=0.25, gamma=1.0, veil=0.0).shows(lab)
    assert weak[:, 0] == pytest.approx(lab[:, 0])
    assert (np.hypot(*weak[:2, 1:].T) < 0.85 * np.hypot(*lab[:2, 1:].T)).all()
    veiled = Screen(white, mixed=0.0, gamma=1.0, veil=0.05).shows(lab)
    assert (veiled[:, 0] > lab[:, 0] + 1.0).all()


class AsAsked:
    """A print that shows just what its file asks for, on a card as white as white, but for its strength."""

    bare_xyz = WHITE_D50

    def __init__(self, strength: float = 1.0) -> None:
        self.strength = strength

    def xyz(self, rgb: Floats, space: str) -> Floats:
        return lab_to_xyz(rgb_to_lab(rgb, RGB_SPACES[space]) * [1.0, self.strength, self.strength])


@pytest.mark.parametrize(("strength", "steps"), [(1.0, 0.0), (0.64, -2.0)])
def test_people_pick_the_swatch_that_is_meant_on_the_whole(
    work: works.Work, strength: float, steps: float
) -> None:
    scene = draw_scene(np.random.default_rng(4), work, "none", 600.0, ((148.0, 210.0),))
    sheet = scene.laid.sheet.model_copy(update={"space": "srgb"})
    laid: Any = SimpleNamespace(made=AsAsked(strength), sheet=sheet, space="srgb")
    forms = [picks(laid, np.random.default_rng(seed), 0.0, 0.0) for seed in range(60)]
    assert 0 < sum(not form for form in forms) < 20
    reds = np.array([form["soft_reds_match"] for form in forms if form])
    assert reds.mean(axis=0) == pytest.approx([0.0, steps], abs=0.5)
    assert reds.std(axis=0).min() > 0.2
    hues = [form["soft_reds_hue_match"] for form in forms if form]
    assert np.mean(hues) == pytest.approx(0.0, abs=0.4)
    # One who always slips is off by a step or two.
    slipped = picks(laid, np.random.default_rng(1), 1.0, 0.0)
    assert slipped != picks(laid, np.random.default_rng(1), 0.0, 0.0)


def test_an_image_is_read_as_the_figures_foretell(work: works.Work) -> None:
    rng = np.random.default_rng(2)
    scene = draw_scene(rng, work, "none", 600.0, ((105.0, 148.0),))
    reading, _, _ = read_as_image(rng, scene)
    laid = scene.laid
    truth = laid.made.lab(np.array([patch.rgb for patch in reading.patches]), laid.space)
    seen = np.array([patch.lab for patch in reading.patches])
    assert len(reading.patches) == len(laid.sheet.patches)
    assert delta_e_2000(seen, truth).mean() < 6.0  # a flatbed that nobody has characterised
    assert reading.placement is not None
    assert reading.placement.scale_x == pytest.approx(laid.made.scale[0], abs=1e-3)
