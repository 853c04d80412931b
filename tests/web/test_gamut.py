"""Gamut solids: prepared by a job, served in small parts, turned by hand, and told in figures and drawings as well."""

from __future__ import annotations

import json
import re
from html import unescape
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import pyvips
from numpy.typing import NDArray

from tackside.bench.store import Bench
from tackside.colour.spaces import SRGB, lab_to_rgb
from tackside.errors import BadRequest, NotFound
from tackside.profile.gamut.gamut_device import SPACES, working_solid
from tackside.tasks.artifacts import place_of, read_prepared
from tackside.web.app import create_app
from tackside.web.forms.queries.gamut_query import ROOM, GamutAsked
from tackside.web.jobs import gamut
from tackside.web.jobs.engine.task import Task
from tackside.web.workbench import Options
from tackside.workflow.prepared.gamut import FORM, POINT, STEP
from tackside.workflow.standing.withdraw import withdraw_reading
from tests.web.at_work import until
from tests.web.pixels import READ_PIXELS, pixels_of
from tests.web.workshop import TestClient, furnish, serving, token_in

SRGB_IN_ADOBE = GamutAsked("srgb", "adobe-rgb")


def prepared(bench: Bench, asked: GamutAsked, folder: Path) -> Path:
    folder.mkdir(exist_ok=True)
    gamut.prepare(Task(bench, vars(asked).copy(), folder, lambda share, said: None))
    return place_of(bench.folder / "cache", ROOM, asked.key(bench))


def told(page: str) -> dict[str, Any]:
    found = re.search(r'data-gamut="([^"]*)"', page)
    assert found is not None
    data: dict[str, Any] = json.loads(unescape(found[1]))
    return data


def trial_read(bench: Bench, stock: str) -> str:
    return next(
        each.id for each in bench.trials.list() if each.stock == stock and bench.readings.list(each.id)
    )


@pytest.fixture
def picture(bench: Bench, tmp_path: Path) -> str:
    """Half of it a mid grey, which every card holds, half sRGB's blue, which none of the workshop's cards holds."""
    pixels = np.zeros((40, 40, 3), np.uint8)
    pixels[:20] = 128
    pixels[20:] = (0, 0, 255)
    path = tmp_path / "half blue.png"
    pyvips.Image.new_from_array(pixels).pngsave(str(path))
    return bench.keep_file(path, path.name)


def test_a_gamut_is_asked_for_once_and_then_shown(bench: Bench, client: TestClient, tmp_path: Path) -> None:
    page = client.get(SRGB_IN_ADOBE.address)
    assert page.status_code == 200
    assert 'hx-post="/gamut"' in page.text
    asked = {"csrf": token_in(page.text), "of": "srgb", "against": "adobe-rgb"}
    answer = client.post("/gamut", data=asked)
    assert answer.headers["location"] == SRGB_IN_ADOBE.address
    client.post("/gamut", data=asked)
    assert len(bench.jobs.list(kind="gamut")) == 1
    assert "Waiting for its turn" in client.get(SRGB_IN_ADOBE.address).text
    prepared(bench, SRGB_IN_ADOBE, tmp_path / "job")
    shown = client.get(SRGB_IN_ADOBE.address).text
    assert "Adobe RGB (1998)" in shown
    assert (
        shown.count('<svg class="plot') == 4
    )  # of each solid a drawing and its slices, for those without WebGL
    assert "100.0 %" in shown


def test_what_is_sent_is_the_solid_that_the_figures_are_of(
    bench: Bench, client: TestClient, tmp_path: Path
) -> None:
    prepared(bench, SRGB_IN_ADOBE, tmp_path / "job")
    data = told(client.get(SRGB_IN_ADOBE.address).text)
    solid = working_solid(SPACES["srgb"])
    first = data["solids"][0]
    sent = client.get(f"{data['base']}/one.bin").content
    places = np.frombuffer(sent, "<i2", first["vertices"] * 3).reshape(-1, 3) * data["step"]
    faces = np.frombuffer(sent, "<u2", offset=first["vertices"] * 6).reshape(-1, 3)
    assert len(faces) == first["triangles"]
    np.testing.assert_allclose(places, solid.surface[0], atol=data["step"])
    answer = client.get(f"{data['base']}/one-inside.bin")
    assert answer.headers["content-encoding"] == "gzip"
    size = first["lattice"]["size"]
    rows = np.frombuffer(answer.content, np.uint8).reshape(size[0], size[1], -1)
    filled = np.unpackbits(rows, axis=-1, bitorder="little", count=size[2]).astype(bool)
    np.testing.assert_array_equal(filled, solid.lattice.filled)
    # The volume of a mesh from its triangles alone (the divergence theorem), each turned outwards from the middle.
    corners = places[faces] - [60.0, 0.0, 0.0]
    six = np.abs(np.einsum("ij,ij->i", corners[:, 0], np.cross(corners[:, 1], corners[:, 2]))).sum()
    assert six / 6 == pytest.approx(solid.volume, rel=0.02)


def test_a_pictures_colours_are_points_inside_and_outside(
    bench: Bench, client: TestClient, tmp_path: Path, picture: str
) -> None:
    asked = GamutAsked(f"trial-{trial_read(bench, 'Shingle Craft 250')}", picture=picture)
    place = prepared(bench, asked, tmp_path / "job")
    about = read_prepared(place, FORM)
    assert about is not None
    # Half the picture is blue: that half is outside, and nothing else (the grey is lighter than the card's black).
    assert about["picture"]["outside"]["share"] == pytest.approx(0.5)
    points = np.frombuffer((place / "points.bin").read_bytes(), POINT)
    assert len(points) == 2
    lightness = points["lab"][:, 0] * STEP
    # sRGB's blue is L* 29.6 under D50, and 128 of 255 is L* 53.6 (IEC 61966-2-1 by CIE 15); cells are 8 levels wide.
    assert lightness[points["outside"] == 1] == pytest.approx([29.6], abs=1.5)
    assert lightness[points["outside"] == 0] == pytest.approx([53.6], abs=2)
    assert "50.0 % of its area falls outside" in client.get(asked.address).text


def test_a_card_that_was_read_anew_is_worked_out_anew(bench: Bench) -> None:
    trial = bench.trials.get(trial_read(bench, "Harbour Satin 300"))
    asked = GamutAsked(f"trial-{trial.id}")
    before = asked.key(bench)
    assert asked.key(bench) == before
    bench.readings.add(bench.readings.standing(trial.id).model_copy(update={"id": None, "device": "another"}))
    assert asked.key(bench) != before


def test_answers_by_eye_hold_no_colours(bench: Bench, tmp_path: Path) -> None:
    trial = bench.trials.get(trial_read(bench, "Harbour Satin 300"))
    latest = bench.readings.standing(trial.id)
    bench.readings.add(latest.model_copy(update={"id": None, "kind": "eye"}))
    withdraw_reading(bench, latest.id or "")  # while the scan stands, it holds the card's colours
    with pytest.raises(BadRequest, match="answers by eye"):
        prepared(bench, GamutAsked(f"trial-{trial.id}"), tmp_path / "job")


@pytest.mark.parametrize(
    "address",
    [
        "/gamut?of=../../etc", "/gamut?of=trial-NOSUCH", f"/gamut?of=profile-{'0' * 64}", "/gamut?of=srgb&against=x",
        "/gamut?of=srgb&picture=abc", f"/gamut?of=srgb&picture={'0' * 64}", f"/gamut/files/{'0' * 64}/one.bin",
        f"/gamut/files/{'0' * 64}/about.json", "/gamut/files/..%2F..%2Fbench.sqlite/one.bin",
    ],
)  # fmt: skip
def test_what_is_nobodys_gamut_is_not_found(client: TestClient, address: str) -> None:
    assert client.get(address).status_code == 404


def test_an_address_says_what_was_asked() -> None:
    assert GamutAsked.checked("srgb", "srgb").address == "/gamut?of=srgb"
    assert GamutAsked.checked("adobe-rgb", "trial-2B4C", basis="absolute").address == (
        "/gamut?of=adobe-rgb&against=trial-2B4C&basis=absolute"
    )
    with pytest.raises(NotFound):
        GamutAsked.checked("trial-a/b")


PIXELS = f"""() => {{
  const gamut = document.querySelector("[data-gamut]").gamut;
  gamut.draw(); // at the canvas's own resolution, though it may be moving
  return ({READ_PIXELS})(gamut.scene.gl);
}}"""


def drawn(page: Any) -> NDArray[np.uint8]:
    """What is drawn, (h, w, 3), the top row first."""
    return pixels_of(page.evaluate(PIXELS))


@pytest.mark.browser
@pytest.mark.slow
def test_a_solid_is_turned_by_hand_and_shows_true_colours(tmp_path: Path, chromium: Any) -> None:
    bench = furnish(tmp_path / "bench")
    with serving(create_app(bench.folder, Options())) as address:
        context = chromium.new_context(locale="en-GB", viewport={"width": 1000, "height": 900})
        page = context.new_page()
        said: list[str] = []
        page.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda error: said.append(str(error)))
        page.goto(f"{address}{SRGB_IN_ADOBE.address}")
        page.wait_for_selector("[data-gamut][data-ready]", timeout=90_000)
        assert page.is_hidden(".gamut .drawings")
        first = drawn(page)
        page.focus(".gamut canvas")
        page.keyboard.press("ArrowLeft")
        by_key = drawn(page)
        assert changed(first, by_key) > 0.02
        box = page.locator(".gamut canvas").bounding_box()
        page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
        page.mouse.down()
        page.mouse.move(box["x"] + box["width"] / 2 + 120, box["y"] + box["height"] / 2 + 30, steps=4)
        page.mouse.up()
        assert changed(by_key, drawn(page)) > 0.02
        page.keyboard.press("+")
        page.keyboard.press("0")
        assert changed(first, drawn(page)) < 0.001  # as at first
        page.fill("#gamut-cut", "60")
        page.click("[data-do=above]")
        seen = drawn(page)
        for lab in ((60, 0, 0), (60, 40, 20), (60, -30, 30)):
            x, y = page.evaluate(
                "lab => { const g = document.querySelector('[data-gamut]').gamut; return g.scene.where(lab, g.seen); }",
                lab,
            )
            colour = seen[int(y * seen.shape[0]), int(x * seen.shape[1])]
            if lab[1]:  # the axes cross at the neutral point
                np.testing.assert_allclose(colour, 255 * lab_to_rgb(lab, SRGB), atol=3)
        until(page, "() => document.querySelector('[data-told]').textContent.includes('Cut at L* 60')")
        assert said == []
        context.close()


def changed(one: np.ndarray[Any, Any], other: np.ndarray[Any, Any]) -> float:
    """The share of pixels that are not the same."""
    return float((np.abs(one.astype(int) - other.astype(int)).max(axis=-1) > 8).mean())


@pytest.mark.browser
def test_what_is_drawn_while_it_moves_is_the_same_solid_with_a_quarter_of_its_triangles(
    tmp_path: Path, chromium: Any
) -> None:
    bench = furnish(tmp_path / "bench")
    prepared(bench, SRGB_IN_ADOBE, tmp_path / "job")
    with serving(create_app(bench.folder, Options(keep_jobs=False))) as address:
        page = chromium.new_context(locale="en-GB", viewport={"width": 1000, "height": 900}).new_page()
        page.goto(f"{address}{SRGB_IN_ADOBE.address}")
        page.wait_for_selector("[data-gamut][data-ready]", timeout=90_000)
        whole = drawn(page)
        counts = page.evaluate(
            """() => {
              const { scene } = document.querySelector("[data-gamut]").gamut;
              scene.meshOf = (solid) => solid.thin;
              return scene.solids.map(({ whole, thin }) => [thin.count, whole.count]);
            }"""
        )
        assert [(4 * thin, whole) for thin, whole in counts] == [(whole, whole) for _, whole in counts]
        assert 0 < changed(whole, drawn(page)) < 0.01


@pytest.mark.browser
@pytest.mark.slow
def test_without_webgl_or_scripts_the_drawings_stay(tmp_path: Path, chromium: Any) -> None:
    bench = furnish(tmp_path / "bench")
    prepared(bench, SRGB_IN_ADOBE, tmp_path / "job")
    with serving(create_app(bench.folder, Options(keep_jobs=False))) as address:
        for settings in ({"java_script_enabled": False}, {}):
            context = chromium.new_context(locale="en-GB", **settings)
            context.add_init_script("HTMLCanvasElement.prototype.getContext = () => null;")
            page = context.new_page()
            page.goto(f"{address}{SRGB_IN_ADOBE.address}")
            page.wait_for_load_state("networkidle")
            assert page.locator(".gamut .drawings svg").count() == 4
            assert page.is_visible(".gamut .drawings")
            assert page.is_hidden(".gamut canvas")
            assert page.is_visible("table.figures >> nth=0")
            context.close()
