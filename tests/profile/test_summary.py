"""What is said of a profile: against LittleCMS, published figures, and printers whose truth is known."""

from __future__ import annotations

import io
from datetime import UTC, date
from functools import cache
from itertools import permutations

import numpy as np
import pytest
from PIL import ImageCms

from tackside.colour.spaces import SRGB, WHITE_D50, bradford_matrix, lab_to_xyz, rgb_to_lab, xyz_to_lab
from tackside.errors import BadProfile
from tackside.messages.message import Message
from tackside.profile.icc.inspect import media_white
from tackside.profile.icc.intents import IntentUse
from tackside.profile.icc.summary import ProfileColours, ProfileSummary, summarise
from tackside.profile.icc.working_space import working_space_profile
from tests.colour.library import colour
from tests.profile import table_profiles as tables
from tests.profile.small_profiles import cmyk_profile, grey_profile

TODAY = date(2026, 12, 1)
FOREIGN = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()  # LittleCMS's own
PROFILES = {
    "srgb": lambda: working_space_profile("srgb"),
    "adobe rgb": lambda: working_space_profile("adobe-rgb"),
    "foreign srgb": lambda: FOREIGN,
    "rgb v2": lambda: tables.rgb_printer(2),
    "rgb v4": lambda: tables.rgb_printer(4),
    "cmyk v2": lambda: tables.cmyk_printer(2),
    "cmyk v4": lambda: tables.cmyk_printer(4),
    "one way": cmyk_profile,
    "grey": lambda: grey_profile(2.2),
}
ALL = pytest.mark.parametrize("name", PROFILES)
CLASSES = {"display": "mntr", "output": "prtr"}
SPACES = {"RGB": "RGB ", "CMYK": "CMYK", "grey": "GRAY", "Lab": "Lab ", "XYZ": "XYZ "}


@cache
def summary(name: str) -> ProfileSummary:
    return summarise(PROFILES[name](), TODAY)


def colours(name: str) -> ProfileColours:
    found = summary(name).colours
    assert found is not None
    return found


def use(name: str, intent: str) -> IntentUse:
    return next(each for each in colours(name).intents if each.intent == intent)


@ALL
def test_littlecms_says_the_same_of_every_profile(name: str) -> None:
    ours = summary(name)
    theirs = ImageCms.ImageCmsProfile(io.BytesIO(PROFILES[name]())).profile
    assert ours.description == theirs.profile_description
    assert ".".join(map(str, ours.header.version)) == f"{theirs.version:.1f}"
    assert CLASSES[ours.header.profile_class] == theirs.device_class
    assert SPACES[ours.header.colour_space] == theirs.xcolor_space
    assert SPACES[ours.header.connection_space] == theirs.connection_space
    assert ours.header_intent == ("perceptual", "relative", "saturation", "absolute")[theirs.rendering_intent]
    if ours.created is not None and theirs.creation_date is not None:
        assert ours.created.replace(tzinfo=UTC) == theirs.creation_date.replace(tzinfo=UTC)


@ALL
def test_littlecms_reads_the_same_media_white(name: str) -> None:
    theirs = ImageCms.ImageCmsProfile(io.BytesIO(PROFILES[name]())).profile
    if theirs.media_white_point is None:
        pytest.skip("it finds none")
    assert media_white(PROFILES[name]()) == pytest.approx(np.array(theirs.media_white_point[0]), abs=2e-5)


@ALL
def test_littlecms_finds_a_way_back_where_we_do(name: str) -> None:
    theirs = ImageCms.ImageCmsProfile(io.BytesIO(PROFILES[name]())).profile
    for number, each in enumerate(colours(name).intents):
        returns = theirs.is_intent_supported(number, ImageCms.Direction.OUTPUT)
        if theirs.is_matrix_shaper or name == "grey":
            assert each.to_device is not None
        else:
            assert (each.to_device is not None) == bool(returns)


# Primaries and white of IEC 61966-2-1 and of the Adobe RGB (1998) specification, x and y.
PUBLISHED = {
    "srgb": {"red": (0.64, 0.33), "green": (0.30, 0.60), "blue": (0.15, 0.06)},
    "foreign srgb": {"red": (0.64, 0.33), "green": (0.30, 0.60), "blue": (0.15, 0.06)},
    "adobe rgb": {"red": (0.64, 0.33), "green": (0.21, 0.71), "blue": (0.15, 0.06)},
}


@pytest.mark.parametrize("name", PUBLISHED)
def test_working_spaces_end_in_their_published_primaries(name: str) -> None:
    back = np.linalg.inv(bradford_matrix(np.array([0.3127, 0.3290, 0.3583]) / 0.3290, WHITE_D50))
    for ramp in colours(name).ramps:
        if ramp.name not in PUBLISHED[name]:
            continue
        xyz = back @ lab_to_xyz(ramp.lab[-1])
        assert xyz[:2] / xyz.sum() == pytest.approx(np.array(PUBLISHED[name][ramp.name]), abs=0.001)
    assert colours(name).white.absolute == pytest.approx([100, 0, 0], abs=0.01)
    assert colours(name).black.absolute == pytest.approx([0, 0, 0], abs=0.01)


@pytest.mark.parametrize("name", ["rgb v2", "rgb v4"])
def test_white_and_black_are_the_printers_own(name: str) -> None:
    found = colours(name)
    assert found.white.media_relative == pytest.approx([100, 0, 0], abs=0.01)
    assert found.white.absolute == pytest.approx(xyz_to_lab(tables.PAPER), abs=0.01)
    # By the formula of the printer: Y 0.01 beside the paper, 0.01 times the paper's own to an instrument.
    assert found.black.media_relative == pytest.approx(xyz_to_lab(0.01 * WHITE_D50), abs=0.02)
    assert found.black.absolute == pytest.approx(xyz_to_lab(0.01 * tables.PAPER), abs=0.02)


@pytest.mark.parametrize("name", ["cmyk v2", "cmyk v4"])
def test_the_white_of_fogra39_is_that_of_its_data(name: str) -> None:
    # FOGRA39L.txt, the patch without ink: L*a*b* 95.00 0.00 -2.00.
    assert colours(name).white.absolute == pytest.approx([95, 0, -2], abs=0.02)
    # Four full inks in the data: L* 9.2; the test's own separation stops at a lighter mixture.
    assert 9 < colours(name).black.absolute[0] < 17


@pytest.mark.parametrize("name", ["rgb v2", "rgb v4"])
def test_intents_with_their_own_tables_are_told_from_repeats(name: str) -> None:
    assert use(name, "relative").to_colours.repeats == "perceptual"  # one table for all intents
    assert use(name, "relative").to_colours.exact
    relative, saturation = use(name, "relative").to_device, use(name, "saturation").to_device
    assert relative is not None
    assert relative.repeats is None
    assert relative.tag == "B2A1"
    assert saturation is not None
    assert (saturation.repeats, saturation.exact) == ("perceptual", True)
    absolute = use(name, "absolute").to_device
    assert absolute is not None
    assert absolute.repeats == "relative"


def test_tables_with_other_bytes_and_the_same_colours_are_seen_through() -> None:
    # One node of the last table is a step off, in a corner that no colour reaches.
    def nudged(lab: np.ndarray) -> np.ndarray:
        device = tables.lab_to_invented(lab)
        device[0] = 0.5
        return device

    profile = tables.printer(
        b"RGB ",
        2,
        tables.invented_to_lab,
        {"0": tables.lab_to_invented, "1": nudged},
        tables.PAPER,
        nodes=9,
        name="Nudged",
    )
    found = summarise(profile, TODAY).colours
    assert found is not None
    relative = found.intents[1].to_device
    assert relative is not None
    assert (relative.repeats, relative.exact) == ("perceptual", False)


def test_primaries_and_curves_serve_all_intents_alike() -> None:
    assert use("srgb", "perceptual").to_colours.tag is None
    assert {use("srgb", intent).to_colours.repeats for intent in ("relative", "saturation")} == {"perceptual"}


def test_round_trips_of_exact_tables_come_back_and_of_wrong_ones_do_not() -> None:
    good = use("rgb v2", "relative")
    assert good.round_trip_median is not None
    assert good.round_trip_p95 is not None
    assert good.round_trip_median < 0.3
    assert good.round_trip_p95 < 1.2
    # The way back aims 6 too light: so much L* is nearly so much ΔE00 in the middle tones, as light again.
    profile = tables.printer(
        b"RGB ",
        2,
        tables.invented_to_lab,
        {"0": tables.lab_to_invented, "1": lambda lab: tables.lab_to_invented(lab + np.array([6, 0, 0]))},
        tables.PAPER,
        nodes=17,
        name="Too light",
    )
    found = summarise(profile, TODAY).colours
    assert found is not None
    worse = found.intents[1].round_trip_median
    assert worse is not None
    assert 3 < worse < 7


def test_a_profile_without_a_way_back_has_no_round_trip() -> None:
    assert all(
        each.round_trip_median is None and each.to_device is None for each in colours("one way").intents
    )


def test_greys_have_the_cast_that_the_table_has() -> None:
    def warm(rgb: np.ndarray) -> np.ndarray:
        lab = tables.invented_to_lab(rgb)
        lift = np.exp(-(((lab[:, 0] - 50) / 15) ** 2))
        return lab + np.stack([0 * lift, 0 * lift, 3 * lift], axis=1)

    profile = tables.printer(
        b"RGB ",
        4,
        warm,
        {"0": tables.lab_to_invented, "1": tables.lab_to_invented},
        tables.PAPER,
        nodes=33,
        name="Warm in the middle",
    )
    found = summarise(profile, TODAY).colours
    assert found is not None
    assert found.neutral.largest_cast == pytest.approx(3, abs=0.1)
    assert colours("rgb v4").neutral.largest_cast < 0.02
    # Between its 17 nodes the table is straight.
    nodes = np.linspace(0, 1, 17)
    lightness = tables.invented_to_lab(nodes[:, None].repeat(3, axis=1))[:, 0]
    greys = colours("rgb v4").neutral
    assert greys.lab[:, 0] == pytest.approx(np.interp(greys.level, nodes, lightness), abs=0.02)


def test_neutrals_of_inks_are_those_that_the_profile_prints() -> None:
    greys = colours("cmyk v2").neutral
    assert greys.asked
    light = greys.lab[:, 0] > 30
    assert greys.lab[light, 0] == pytest.approx(100 * greys.level[light], abs=1.5)


def test_smoothness_is_that_of_the_formula_and_grows_with_a_kink() -> None:
    axis = np.linspace(1, 0, 65)[:, None].repeat(3, axis=1)
    bends = np.linalg.norm(np.diff(rgb_to_lab(axis, SRGB), n=2, axis=0), axis=1)
    black = colours("srgb").ramps[0]
    assert black.name == "black"
    assert black.rms == pytest.approx(float(np.sqrt(np.mean(bends**2))), abs=0.05)

    def kinked(rgb: np.ndarray) -> np.ndarray:
        return tables.invented_to_lab(np.where(rgb > 0.5, rgb, 0.25 + rgb / 2))

    profile = tables.printer(
        b"RGB ",
        2,
        kinked,
        {"0": tables.lab_to_invented, "1": tables.lab_to_invented},
        tables.PAPER,
        nodes=17,
        name="Kink",
    )
    found = summarise(profile, TODAY).colours
    assert found is not None
    # At the kink each light's slope halves: the bend is half of the step of L* there, seen at 64 steps.
    middle = tables.invented_to_lab(np.full((2, 3), 0.5) + np.array([[1], [-1]]) / 128)
    step = float(middle[0, 0] - middle[1, 0])
    bend = np.abs(np.diff(found.ramps[0].lab[:, 0], n=2))[31]
    assert bend == pytest.approx(step / 2, rel=0.2)


def test_a_grey_device_has_no_volume_and_says_so() -> None:
    assert colours("grey").gamut_volume == 0
    assert colours("grey").solid is None
    assert "grey" in colours("grey").gamut_method


def test_a_profile_that_is_of_no_device_is_described_but_shows_no_colours() -> None:
    link = working_space_profile("srgb")
    link = link[:12] + b"link" + link[16:]
    found = summarise(link, TODAY)
    assert found.colours is None
    assert found.unusable == Message("profile.of-no-device", kind="device link")


def test_what_is_no_profile_is_refused() -> None:
    with pytest.raises(BadProfile):
        summarise(b"no profile" * 50, TODAY)


def test_a_scanners_profile_is_shown_for_what_it_is_and_has_no_way_back() -> None:
    levels = np.linspace(0, 1, 5)
    device = np.array([[r, g, b] for r in levels for g in levels for b in levels])
    forward = tables.table(2, 3, 3, 5, tables.coded_lab(tables.invented_to_lab(device), 2), b"mAB ")
    tags = [
        (b"desc", tables.text("An invented scanner", 2, description=True)),
        (b"cprt", tables.text("None", 2, description=False)),
        (b"wtpt", tables.xyz_tag(WHITE_D50)),
        (b"A2B0", forward),
    ]
    found = summarise(tables.assemble(b"scnr", b"RGB ", b"Lab ", 2, tags), TODAY)
    assert found.header.profile_class == "input"
    assert found.faults == ()
    assert found.colours is not None
    assert all(each.to_device is None for each in found.colours.intents)
    assert found.colours.gamut_volume > 0


def volume_by_colour_science(name: str) -> float:
    """Volume in CIELAB under D50 of a working space, ΔE*ab cubed, by colour-science: definition, Bradford, CIELAB.

    The RGB cube is cut into 64³ cells of six tetrahedra each (Freudenthal's cut), whose signed volumes are summed.
    """
    space = colour.RGB_COLOURSPACES[name]
    d50 = colour.CCS_ILLUMINANTS["CIE 1931 2 Degree Standard Observer"]["D50"]
    axis = np.linspace(0, 1, 65)
    rgb = np.stack(np.meshgrid(axis, axis, axis, indexing="ij"), axis=-1)
    lab = colour.XYZ_to_Lab(colour.RGB_to_XYZ(rgb, space, d50, "Bradford", True), d50)
    total = 0.0
    for order in permutations(range(3)):
        ways = np.vstack([np.zeros(3), np.cumsum(np.eye(3)[list(order)], axis=0)]).astype(int)
        corners = [lab[tuple(slice(n, n + 64) for n in at)] for at in ways]
        edges = np.stack([corner - corners[0] for corner in corners[1:]], axis=-1)
        total += np.linalg.det(np.eye(3)[list(order)]) * float(np.linalg.det(edges).sum()) / 6
    return abs(total)


# The figures beside the names are those of a widely copied table: docs/sources.md, S72.
@pytest.mark.parametrize(
    ("name", "open_name", "table"),
    [("srgb", "sRGB", 832_870), ("adobe rgb", "Adobe RGB (1998)", 1_208_631)],
)
def test_working_spaces_have_their_volumes(name: str, open_name: str, table: int) -> None:
    found = colours(name).gamut_volume
    assert found == pytest.approx(volume_by_colour_science(open_name), rel=0.001)
    assert found == pytest.approx(table, rel=0.001)
