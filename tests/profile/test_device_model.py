"""The device model: it predicts what it was not shown, and finds the numbers for a colour."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import RBFInterpolator
from scipy.spatial.distance import cdist

from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import SRGB, WHITE_D50, lab_to_lch, lab_to_xyz, rgb_to_lab, xyz_to_lab
from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.press.printer.stock_model import StockModel, cotton_etching, craft_card, matt_coated, semi_gloss
from tackside.profile.device.device_model import DeviceModel, fit_device_model
from tackside.profile.device.inverse import difference_axes
from tackside.profile.device.polyharmonic import KERNELS, Polyharmonic, fit_polyharmonic
from tackside.profile.gamut.compression import toe
from tests.profile import press_cards
from tests.profile.printer_tables import open_data

BY_SCIPY = {"linear": "linear", "thin plate": "thin_plate_spline", "cubic": "cubic"}
STOCKS = [semi_gloss(), cotton_etching(), matt_coated(), craft_card()]


def some_rgb(count: int = 3000, seed: int = 5) -> np.ndarray:
    return np.random.default_rng(seed).random((count, 3))


@pytest.mark.parametrize("wavy", [0.0, 0.5])
def test_the_spline_solves_its_equations_and_leaves_each_patch_out(wavy: float) -> None:
    """Duchon's sum of kernels and plane, solved here in full; patches left out are SciPy's without the patch."""
    rng = np.random.default_rng(2)
    points = rng.random((90, 3))
    lab = np.column_stack([90 - 70 * points[:, 0], 40 * np.sin(3 * points[:, 1]), 50 * points[:, 2] ** 2])
    lab += wavy * rng.standard_normal(lab.shape)
    fitted = fit_polyharmonic(points, lab)
    options = {"kernel": BY_SCIPY[fitted.kernel], "smoothing": fitted.smoothing, "degree": 1}
    places = rng.random((40, 3))
    kernel = KERNELS[fitted.kernel]
    plane = np.column_stack([np.ones(len(points)), points])
    count, terms = plane.shape
    system = np.block(
        [
            [kernel(cdist(points, points) ** 2) + fitted.smoothing * np.eye(count), plane],
            [plane.T, np.zeros((terms, terms))],
        ]
    )
    solved = np.linalg.solve(system, np.vstack([lab, np.zeros((terms, 3))]))
    at = np.column_stack([kernel(cdist(places, points) ** 2), np.ones(len(places)), places])
    assert fitted.at(places) == pytest.approx(at @ solved, abs=1e-8)
    for row in (0, 17, 60):  # fitted again without the patch, the long way round
        others = np.arange(len(points)) != row
        alone = RBFInterpolator(points[others], lab[others], **options)(points[[row]])[0]
        assert fitted.left_out[row] == pytest.approx(delta_e_2000(lab[row], alone), abs=1e-6)


@pytest.mark.parametrize("kernel", KERNELS)
@pytest.mark.parametrize("smoothing", [0.0, 1e-3, 0.1])
@pytest.mark.parametrize("channels", [3, 4])
def test_a_spline_is_scipys_whatever_its_kernel_and_smoothing(
    kernel: str, smoothing: float, channels: int
) -> None:
    # SciPy, RBFInterpolator
    rng = np.random.default_rng(6)
    points, places = rng.random((120, channels)), rng.random((2000, channels))
    lab = np.column_stack([90 - 70 * points[:, 0], 40 * np.sin(3 * points[:, 1]), 50 * points[:, 2] ** 2])
    places[:5] = points[:5]  # at distance nothing
    ours = Polyharmonic(points, lab, kernel, smoothing, np.zeros(120)).at(places)
    theirs = RBFInterpolator(points, lab, kernel=BY_SCIPY[kernel], smoothing=smoothing, degree=1)(places)
    assert ours == pytest.approx(theirs, rel=0, abs=1e-8)


def test_noise_is_smoothed_and_its_absence_is_not() -> None:
    points = np.random.default_rng(3).random((200, 3))
    lab = np.column_stack([100 - 60 * points[:, 0] ** 2, 30 * points[:, 1] * points[:, 0], 20 * points[:, 2]])
    noisy = lab + np.random.default_rng(4).standard_normal(lab.shape)
    assert fit_polyharmonic(points, lab).smoothing < fit_polyharmonic(points, noisy).smoothing
    off = np.abs(fit_polyharmonic(points, noisy).at(points) - lab)
    assert off.mean() < 0.6 * np.abs(noisy - lab).mean()


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
def test_an_rgb_card_is_predicted_between_its_patches(stock: StockModel) -> None:
    rgb = some_rgb()
    off = delta_e_2000(press_cards.model(stock).to_lab(rgb), press_cards.truth(stock, rgb))
    assert np.median(off) < 0.5
    assert np.quantile(off, 0.95) < 1.5


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
def test_the_error_it_states_is_not_below_its_true_error(stock: StockModel) -> None:
    rgb, model = some_rgb(), press_cards.model(stock)
    off = delta_e_2000(model.to_lab(rgb), press_cards.truth(stock, rgb))
    assert model.error_median >= np.median(off)
    assert model.error_p95 >= np.quantile(off, 0.95)


# FOGRA39L, FOGRA29L, TR 003: every fourth patch kept back, predicted from the rest.
@pytest.mark.slow
@pytest.mark.parametrize("name", ["FOGRA39L", "FOGRA29L", "TR003"])
def test_open_cmyk_data_are_predicted_when_kept_back(name: str) -> None:
    cmyk, lab = open_data(name)
    back = (np.arange(len(cmyk)) % 4 == 0) & ~np.all((cmyk == 0) | (cmyk == 1), axis=1)
    off = delta_e_2000(fit_device_model(cmyk[~back], lab[~back]).to_lab(cmyk[back]), lab[back])
    assert np.median(off) < 0.2
    assert np.quantile(off, 0.95) < 0.6


def test_the_grey_ramp_rises_all_the_way() -> None:
    ramp = np.linspace(0, 1, 256)[:, None].repeat(3, axis=1)
    for stock in STOCKS:
        assert np.all(np.diff(press_cards.model(stock).to_lab(ramp)[:, 0]) > 0)


def test_white_and_black_are_the_cards() -> None:
    for stock in STOCKS:
        model = press_cards.model(stock)
        assert delta_e_2000(model.white_lab, stock.paper_lab) < 1
        assert model.black_lab[0] == pytest.approx(stock.black_l, abs=1)


@pytest.mark.slow
def test_cmyk_black_is_deep_and_neutral() -> None:
    cmyk, lab = open_data("FOGRA39L")
    model = fit_device_model(cmyk, lab)
    assert model.channels == 4
    assert model.black_lab[0] == pytest.approx(lab[:, 0].min(), abs=1.5)
    assert np.hypot(*model.black_lab[1:]) < 3
    numbers = np.random.default_rng(6).random((3000, 4))
    wanted = model.to_lab(numbers)
    found = model.from_lab(wanted, "absolute", False)
    assert np.quantile(delta_e_2000(model.to_lab(found), wanted), 0.99) < 0.3
    dark = model.from_lab(np.array([[20.0, 0, 0], [90.0, 0, 0]]), "absolute", False)
    assert dark[0, 3] > 0.5 > 0.1 > dark[1, 3]


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
def test_colours_that_the_card_holds_come_back(stock: StockModel) -> None:
    model = press_cards.model(stock)
    wanted = model.to_lab(some_rgb())
    off = delta_e_2000(model.to_lab(model.from_lab(wanted, "absolute", False)), wanted)
    assert np.quantile(off, 0.99) < 0.1
    assert off.max() < 0.5


def test_no_colour_of_the_card_is_nearer_than_the_one_found() -> None:
    model = press_cards.model(cotton_etching())
    far = rgb_to_lab(some_rgb(60, 8), SRGB)
    found = model.to_lab(model.from_lab(far, "absolute", False))
    dense = model.table.at(some_rgb(60_000, 9))
    for lab, near, axes in zip(far, found, difference_axes(far), strict=True):
        best = np.min(np.linalg.norm((dense - lab) @ axes.T, axis=1))
        assert np.linalg.norm((near - lab) @ axes.T) <= 1.01 * best + 0.1


@pytest.mark.parametrize("intent", ["relative", "perceptual"])
@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
def test_clipped_and_compressed_colours_keep_their_hue(stock: StockModel, intent: str) -> None:
    model = press_cards.model(stock)
    source = rgb_to_lab(some_rgb(2000, 11), SRGB)
    printed = beside_its_white(model, model.from_lab(source, intent, True))
    one, other = lab_to_lch(source), lab_to_lch(printed)
    colourful = (one[:, 1] > 30) & (other[:, 1] > 15)
    turn = np.abs((one[colourful, 2] - other[colourful, 2] + 180) % 360 - 180)
    assert np.median(turn) < 3
    assert np.quantile(turn, 0.95) < 8


@pytest.mark.parametrize("intent", ["relative", "perceptual", "saturation"])
def test_white_and_black_of_a_picture_become_the_cards(intent: str) -> None:
    for stock in STOCKS:
        model = press_cards.model(stock)
        ends = np.array([[100.0, 0, 0], [0.0, 0, 0]])
        printed = model.to_lab(model.from_lab(ends, intent, True))
        assert delta_e_2000(printed[0], model.white_lab) < 0.5
        assert printed[1, 0] == pytest.approx(model.black_lab[0], abs=1)
        assert np.hypot(*printed[1, 1:]) < 3


def test_absolute_leaves_the_paper_its_tint_to_fight() -> None:
    model = press_cards.model(cotton_etching())  # warm paper, b* 2.2
    printed = model.to_lab(model.from_lab(np.array([[80.0, 0, 0]]), "absolute", False))
    assert printed[0] == pytest.approx([80, 0, 0], abs=0.2)
    tinted = model.to_lab(model.from_lab(np.array([[80.0, 0, 0]]), "relative", False))
    assert tinted[0, 2] > 1


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
def test_perceptual_draws_all_of_srgb_into_the_card(stock: StockModel) -> None:
    model = press_cards.model(stock)
    solid = model.solid.relative(model.white_lab)
    source = rgb_to_lab(some_rgb(), SRGB)
    before, after = solid.outside(source), solid.outside(model._compression(source))
    assert after.share < 0.1 < before.share / 3
    assert after.p95 < 3 < before.p95 / 3  # what still sticks out does so by little


@pytest.mark.parametrize("stock", STOCKS, ids=lambda stock: stock.name)
def test_perceptual_keeps_the_order_of_colours_on_a_ray(stock: StockModel) -> None:
    compression = press_cards.model(stock)._compression
    way = np.random.default_rng(12).standard_normal((200, 3))
    way /= np.linalg.norm(way, axis=1, keepdims=True)
    centre = np.array([compression.centre_l, 0, 0])
    # Toned beforehand, so that the ray is straight where the knee works.
    reach = [
        np.linalg.norm(compression.squeeze(centre + way * radius) - centre, axis=1)
        for radius in np.linspace(2, 60, 30)
    ]
    assert np.diff(reach, axis=0).min() > 0


@pytest.mark.parametrize("black_l", [0.0, 5.0, 16.0, 30.0])
def test_the_toe_meets_black_and_white_without_a_kink(black_l: float) -> None:
    lightness = np.linspace(0, 100, 1001)
    toned = toe(lightness, black_l)
    assert (toned[0], toned[-1]) == pytest.approx((black_l, 100))
    slopes = np.diff(toned) / 0.1
    assert slopes.min() > 0.3
    assert np.abs(np.diff(slopes)).max() < 0.01


def test_the_same_patch_read_twice_is_averaged() -> None:
    twice = np.vstack([press_cards.patches(), press_cards.patches()])
    lab = np.vstack([press_cards.readings(semi_gloss()), press_cards.readings(semi_gloss(), seed=2)])
    model = fit_device_model(twice, lab)
    assert len(model.spline.points) == len(press_cards.patches())
    assert model.error_median < press_cards.model(semi_gloss()).error_median


@pytest.mark.parametrize(
    ("device", "told"),
    [
        (some_rgb(20), Message("profile.too-few-patches", count=20, limit=30)),
        (some_rgb(90) * [1, 1, 0.5], Message("profile.channel-not-covered", channel="B")),
        (np.linspace(0, 1, 40)[:, None].repeat(3, axis=1), Message("profile.patches-too-alike")),
    ],
)
def test_patches_that_cannot_make_a_model_are_refused(device: np.ndarray, told: Message) -> None:
    device[0], device[1] = device.min(axis=0) * 0, np.where(device.max(axis=0) > 0.6, 1, device.max(axis=0))
    with pytest.raises(BadRequest) as refused:
        fit_device_model(device, np.zeros((len(device), 3)) + 50)
    assert refused.value.message == told


def test_an_unknown_intent_is_refused() -> None:
    with pytest.raises(BadRequest) as refused:
        press_cards.model(semi_gloss()).from_lab(np.zeros((1, 3)), "vivid", True)  # type: ignore[arg-type]
    assert refused.value.message == Message("profile.no-such-intent", intent="vivid")


def beside_its_white(model: DeviceModel, device: np.ndarray) -> np.ndarray:
    """Printed colours media-relative, so that a tinted paper does not count as a turn of hue."""
    return xyz_to_lab(lab_to_xyz(model.to_lab(device)) * (WHITE_D50 / lab_to_xyz(model.white_lab)))
