"""The page of a profile: self-contained, escaped, its drawings true to the figures."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from functools import cache

import numpy as np
import pytest
from lxml import etree, html

from tackside.colour.spaces import SRGB, lab_to_xyz, xyz_d50_to_rgb
from tackside.profile.gamut.gamut_solid import GamutSolid
from tackside.profile.icc.summary import ProfileSummary, summarise
from tackside.profile.icc.working_space import working_space_profile
from tackside.report.pages.profile_page import render_profile
from tackside.report.plots.slices import slices_of
from tackside.report.plots.solid import SolidView, facets_of, solid_drawing
from tests.profile.small_profiles import cmyk_profile, grey_profile

PROFILES = {
    "srgb": lambda: working_space_profile("srgb"),
    "cmyk": cmyk_profile,
    "grey": lambda: grey_profile(2.2),
}


@cache
def summary(name: str) -> ProfileSummary:
    return summarise(PROFILES[name](), date(2026, 12, 1))


def solid(name: str) -> GamutSolid:
    colours = summary(name).colours
    assert colours is not None
    assert colours.solid is not None
    return colours.solid


@pytest.mark.parametrize("name", PROFILES)
def test_nothing_comes_from_outside_and_nothing_runs(name: str) -> None:
    page = render_profile(summary(name), source="file.icc")
    tree = html.document_fromstring(page)
    assert not tree.xpath("//script | //link | //iframe | //img | //object | //form")
    addresses = re.findall(r"""(?:href|src|url)\s*[=(]\s*["']?([^"')\s>]+)""", page)
    assert all(each.startswith(("#", "data:font/otf;base64,")) for each in addresses)
    assert page == render_profile(summary(name), source="file.icc")


@pytest.mark.parametrize("name", PROFILES)
def test_every_drawing_is_well_formed_and_named(name: str) -> None:
    drawings = re.findall(r"<svg.*?</svg>", render_profile(summary(name), source="file.icc"), re.DOTALL)
    assert len(drawings) > 3
    for drawing in drawings:
        tree = etree.fromstring(drawing)
        assert tree.get("aria-label") or tree.get("aria-hidden")
        assert "nan" not in drawing


def test_names_from_profiles_and_files_are_escaped() -> None:
    nasty = '<script>alert("x")</script>'
    page = render_profile(replace(summary("srgb"), description=nasty), source=nasty, embedded=True)
    assert "<script" not in page
    assert html.document_fromstring(page).xpath("string(//h1)") == nasty


def test_a_profile_without_colours_has_a_page_that_says_why() -> None:
    found = replace(summary("srgb"), colours=None, unusable="the colour profile is of the class device link")
    page = render_profile(found, source="link.icc")
    assert "device link" in page
    assert "Rendering intents" not in page


def test_a_slice_is_the_edge_of_what_the_space_can_hold() -> None:
    # By the formula of sRGB: a little inside the outline is inside the cube, a little outside is not.
    for one in slices_of(solid("srgb")):
        middle = one.ab.mean(axis=0)
        for share, inside in ((0.985, True), (1.015, False)):
            ab = middle + share * (one.ab - middle)
            lab = np.column_stack([np.full(len(ab), one.lightness), ab])
            rgb = xyz_d50_to_rgb(lab_to_xyz(lab), SRGB)
            held = np.all((rgb >= 0) & (rgb <= 1), axis=1)
            assert np.all(held == inside)


def test_slices_that_the_solid_does_not_reach_are_left_out() -> None:
    levels = [one.lightness for one in slices_of(solid("srgb"), (-5, 50, 101))]
    assert levels == [50]


def test_the_view_turns_about_the_lightness_and_keeps_lengths() -> None:
    lab = np.random.default_rng(3).normal(size=(50, 3)) * 40
    for turn in (0.0, 0.7, 2.6):
        seen = SolidView(turn).project(lab)
        assert np.linalg.norm(seen, axis=1) == pytest.approx(np.linalg.norm(lab, axis=1))
        up = SolidView(turn).project(np.array([1.0, 0, 0]))
        assert up[0] == 0
        assert up[1] > 0.9


def test_facets_cover_every_face_of_the_cube_once() -> None:
    assert len(facets_of(solid("srgb"))) == 6 * 16**2
    # 24 faces of two free inks, of which each is shared by two of the eight facets.
    assert len(facets_of(solid("cmyk"))) == 24 * 6**2


def test_nearer_facets_are_drawn_over_further_ones() -> None:
    # From the side of yellow, a yellow facet comes last and a blue one first.
    fills = re.findall(r'fill="#(..)(..)(..)"', solid_drawing(solid("srgb"), 150, "A view"))
    red, green, blue = (np.array([int(fill[i], 16) for fill in fills], dtype=float) for i in range(3))
    yellowness = (red + green) / 2 - blue
    count = len(fills) // 4
    assert yellowness[-count:].mean() > yellowness[:count].mean() + 30
