"""Pictures to choice: the answer first, then proofs, then a live one that shows what the server would."""

from __future__ import annotations

import html
import json
import re
from pathlib import Path
from typing import Any

import numpy as np
import pytest
import pyvips
from numpy.typing import NDArray

from tackside.bench.repositories.jobs import Job
from tackside.bench.store import Bench
from tackside.colour.difference import delta_e_2000
from tackside.colour.spaces import SRGB, rgb_to_lab
from tackside.picture.choose.cards import CardReading
from tackside.picture.file.open import open_picture
from tackside.picture.proof.advice import IntentVariant
from tackside.picture.proof.proof import maps_of, sample_of
from tackside.press.printer.stock_model import semi_gloss
from tackside.profile.device.device import ProfileDevice
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.link.link import device_link
from tackside.records.assets import ProfileFile
from tackside.web.app import create_app
from tackside.web.jobs import choose, proof
from tackside.web.jobs.engine.task import Task
from tackside.web.workbench import Options
from tackside.workflow.prepared import proof_tables
from tests.profile.card_profiles import press_profile
from tests.web.axe import SPILL, faults_in
from tests.web.pixels import READ_PIXELS, pixels_of
from tests.web.shots import WIDTHS, shoot
from tests.web.workshop import TestClient, furnish, serving, token_in

WIDE, TALL = 480, 320


def coloured() -> NDArray[np.uint8]:
    """Every hue from pale to deep, a grey ramp, and noise: numbers from all over the cube."""
    x, y = np.meshgrid(np.linspace(0, 1, WIDE), np.linspace(0, 1, TALL))
    hue = 2 * np.pi * x
    waves = np.stack([np.cos(hue), np.cos(hue - 2.1), np.cos(hue + 2.1)], axis=-1) * 0.5 + 0.5
    rgb = waves * y[..., None] + (1 - y[..., None]) * (0.25 + 0.7 * x[..., None])
    rgb[:40] = x[:40, :, None]
    rgb[-60:] = np.random.default_rng(6).random((60, WIDE, 3))
    return np.rint(rgb * 255).astype(np.uint8)


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    path = tmp_path / "boats at noon.png"
    pyvips.Image.new_from_array(coloured()).pngsave(str(path))
    return path


def task_of(bench: Bench, asked: dict[str, Any], folder: Path) -> Task:
    folder.mkdir(exist_ok=True)
    return Task(bench, asked, folder, lambda share, said: None)


def chosen(bench: Bench, picture: Path, **wishes: Any) -> Job:
    files = [{"sha256": bench.keep_file(picture, picture.name), "name": picture.name}]
    job = bench.jobs.add("choose", {"files": files, **wishes})
    assert bench.jobs.claim("a test") is not None
    bench.jobs.finish(job.id, choose.run(task_of(bench, job.asked, picture.parent / "job")))
    return bench.jobs.get(job.id)


def proofed(bench: Bench, choice: Job, folder: Path) -> Task:
    assert choice.result is not None
    cards = [{"card": each["trial"], "name": each["name"]} for each in choice.result["cards"]]
    given = choice.result["pictures"][0]
    asked = {
        "sha256": given["sha256"], "name": given["name"], "cards": cards, "choice": choice.id, "number": 0,
        "trials": [each["card"] for each in cards], "card": cards[0]["card"],
    }  # fmt: skip
    task = task_of(bench, asked, folder)
    proof.prepare(task)
    return task


@pytest.mark.slow
def test_the_answer_stands_first_and_every_proof_leads_to_a_live_one(
    bench: Bench, client: TestClient, picture: Path, tmp_path: Path
) -> None:
    job = chosen(bench, picture)
    page = client.get(f"/choices/{job.id}").text
    assert re.search(r"<h1[^>]*>For this picture use Harbour Satin 300", page)
    # Harbour Satin's black is L* 6, Shingle Craft's 31 (the workshop's own readings), so it cannot come first.
    assert page.index("Harbour Satin 300") < page.index("Shingle Craft 250")
    assert "boats at noon.png" in page
    assert "estimates" in page
    shown = re.findall(rf"/choices/{job.id}/shown/[0-9a-f]{{64}}\.jpg", page)
    assert len(shown) == 3
    for address in shown:
        answer = client.get(address)
        assert answer.headers["content-type"] == "image/jpeg"
        assert pyvips.Image.new_from_buffer(answer.content, "").width <= 300
    asked = client.post(f"/choices/{job.id}/proof", data={"csrf": token_in(page), "number": "0", "card": "?"})
    assert asked.status_code == 303
    assert "Waiting for its turn" in client.get(asked.headers["location"]).text
    proofed(bench, job, tmp_path / "proof")
    live = client.get(asked.headers["location"]).text
    assert "Black point compensation" in live
    plain = re.search(r'src="(/choices/[^"]+\.jpg)"', live)
    assert plain is not None
    assert client.get(plain[1]).headers["content-type"] == "image/jpeg"
    other = client.get(f"{asked.headers['location']}&intent=absolute&paper=yes").text
    assert plain[1] not in other
    assert "-paper.jpg" in other
    mapped = client.get(f"{asked.headers['location']}&intent=absolute&show=lost-contrast").text
    shown_map = re.search(r'src="(/choices/[^"]+-lost-contrast\.jpg)"', mapped)
    assert shown_map is not None
    assert client.get(shown_map[1]).headers["content-type"] == "image/jpeg"
    assert re.search(r'<svg class="map-scale" data-scale="lost-contrast"[^>]*(?<!hidden)>', mapped)
    _lost_contrast_is_the_commands(bench, client, mapped, picture)


def _lost_contrast_is_the_commands(bench: Bench, client: TestClient, page: str, picture: Path) -> None:
    """What the browser lays over the picture is what ``tackside proof --maps`` paints, to a byte's step."""
    data = json.loads(html.unescape(re.search(r'data-proof="([^"]+)"', page)[1]))  # type: ignore[index]
    way = next(each for each in data["ways"] if (each["intent"], each["bpc"]) == ("relative", True))
    sent = client.get(f"{data['base']}/{way['lost']}").content
    device = CardReading("", bench.readings.list(way["card"])[0]).device
    meant = maps_of(sample_of(open_picture(picture)), device, IntentVariant("relative", True)).lost_contrast
    assert meant.max() > 0.2
    found = pyvips.Image.new_from_buffer(sent, "").numpy().squeeze() / 255
    np.testing.assert_allclose(found, np.clip(meant, 0, 1), atol=0.5 / 255 + 1e-9)


def test_wishes_that_make_no_sense_are_told_beside_their_fields(client: TestClient) -> None:
    page = client.get("/choose").text
    typed = {"csrf": token_in(page), "width": "wide", "max_price": "-1", "on_hand": "some", "height": "148"}
    answer = client.post("/choose", data=typed)
    assert answer.status_code == 422
    for name in ("width", "max_price", "on_hand"):
        assert f'id="{name}-fault"' in answer.text
    assert 'value="wide"' in answer.text
    nothing = client.post("/choose", data={"csrf": token_in(page)})
    assert nothing.status_code == 422
    assert "no picture" in nothing.text


def test_a_choice_shows_no_other_files_of_the_bench(bench: Bench, client: TestClient, picture: Path) -> None:
    job = bench.jobs.add("choose", {"files": []})
    kept = bench.keep_file(picture, "another.png")
    for address in (f"/choices/{job.id}/shown/{kept}.jpg", "/choices/nothing", f"/choices/{job.id}/proof/0"):
        assert client.get(address).status_code == 404


@pytest.mark.slow
def test_cards_that_are_not_what_is_wanted_are_refused_with_the_reason(bench: Bench, picture: Path) -> None:
    with pytest.raises(Exception, match="its price is not known"):
        chosen(bench, picture, max_price="0.50")


def test_the_shader_puts_numbers_where_its_tables_have_them() -> None:
    """The shader's formula for a number's place among the nodes, written out here, against the tables' own nodes."""
    code = proof_tables.node_codes()
    assert len(code) == proof_tables.NODES
    place = np.minimum(code / 3, 16 + (code - 48) * 32 / 207)
    np.testing.assert_allclose(place, np.arange(proof_tables.NODES), atol=1e-9)


READ = f"""async ([trial, intent, bpc, paper]) => {{
  const form = document.querySelector("[data-proof]"), live = form.proof, canvas = live.canvas;
  form.elements.card.value = trial; form.elements.intent.value = intent;
  form.elements.bpc.checked = bpc; form.elements.paper.checked = paper;
  await live.load(live.way);
  canvas.width = live.shader.size[0]; canvas.height = live.shader.size[1];
  live.view = {{ x: 0, y: 0, step: 1 }};
  live.draw();
  return ({READ_PIXELS})(live.shader.gl);
}}"""


@pytest.mark.browser
@pytest.mark.slow
def test_from_pictures_to_a_live_proof_that_shows_what_the_server_would(
    tmp_path: Path, picture: Path, chromium: Any
) -> None:
    bench = furnish(tmp_path / "bench")
    kept = a_profile(bench, tmp_path)
    with serving(create_app(bench.folder, Options())) as address:
        context = chromium.new_context(locale="en-GB", viewport={"width": 1280, "height": 800})
        page = context.new_page()
        said: list[str] = []
        page.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda error: said.append(str(error)))
        page.goto(f"{address}/choose")
        page.set_input_files("#files", picture)
        page.click("text=Compare the cards")
        page.wait_for_selector("h1.said", timeout=60_000)
        open_to_everyone(page, "choice")
        page.click("td button >> nth=0")
        page.wait_for_selector("[data-proof]", timeout=120_000)
        page.wait_for_selector("[data-proof][data-whole]", timeout=60_000)
        assert page.is_hidden(".place img")
        _same_as_the_server(page, bench, kept)
        page.focus("canvas")
        page.keyboard.press("2")
        assert "Shingle Craft 250" in page.inner_text("[data-told]")
        page.keyboard.press("m")
        assert "cannot hold" in page.inner_text("[data-told]")
        open_to_everyone(page, "live-proof")
        assert said == []
        page.evaluate(
            "document.querySelector('[data-proof]').proof.shader.gl.getExtension('WEBGL_lose_context').loseContext()"
        )
        page.wait_for_selector(".place img", state="visible")  # the prepared picture comes back
        context.close()


def open_to_everyone(page: Any, name: str) -> None:
    for theme in ("light", "dark"):
        page.emulate_media(color_scheme=theme)
        assert faults_in(page, theme) == [], theme
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            assert page.evaluate(SPILL) <= 0, f"{name} spills at {width} px"
            page.wait_for_timeout(400)
            shoot(page, name, width, theme)


def a_profile(bench: Bench, folder: Path) -> ProfileFile:
    """A printer profile of an invented card, kept on the bench."""
    file = folder / "tern satin.icc"
    file.write_bytes(press_profile(semi_gloss()))
    sha256 = bench.keep_file(file, file.name)
    return bench.profiles.add(
        ProfileFile(
            sha256=sha256, name=file.name, title="Tern satin", size_bytes=file.stat().st_size, kind="output",
            colour_space="RGB",
        )
    )  # fmt: skip


@pytest.mark.slow
def test_a_profile_that_came_later_is_brought_into_the_live_proof(
    bench: Bench, client: TestClient, picture: Path, tmp_path: Path
) -> None:
    job = chosen(bench, picture)
    proofed(bench, job, tmp_path / "proof")
    address = f"/choices/{job.id}/proof/0"
    assert '<optgroup label="Profiles">' not in client.get(address).text
    kept = a_profile(bench, tmp_path)
    page = client.get(address).text
    assert "A profile came since this was prepared: Tern satin." in page
    damaged = tmp_path / "damaged.icc"
    damaged.write_bytes(bench.file(kept.sha256).read_bytes()[:4000])
    sha256 = bench.keep_file(damaged, damaged.name)
    bench.profiles.add(kept.model_copy(update={"sha256": sha256, "name": damaged.name, "title": "Damaged"}))
    asked = client.post(
        f"/choices/{job.id}/proof", data={"csrf": token_in(page), "number": "0", "renew": "yes"}
    )
    assert asked.status_code == 303
    assert "Waiting for its turn" in client.get(address).text
    waiting = bench.jobs.claim("a test")
    assert waiting is not None
    proof.prepare(task_of(bench, waiting.asked, tmp_path / "again"))
    bench.jobs.finish(waiting.id, waiting.asked)
    page = client.get(f"{address}?card=profile-{kept.sha256}&intent=saturation&bpc=yes").text
    assert re.search(
        r'<optgroup label="Profiles"><option value="profile-[0-9a-f]{64}" selected>Tern satin<', page
    )
    assert '<option value="saturation" selected>' in page
    assert "Damaged: " in page
    assert "came since" not in page


def _same_as_the_server(page: Any, bench: Bench, kept: ProfileFile) -> None:
    read = [each for each in bench.trials.list() if bench.readings.list(each.id)]
    trial = next(each for each in read if each.stock == "Harbour Satin 300")
    device = CardReading("", bench.readings.list(trial.id)[0]).device
    name = page.evaluate("document.querySelector('[data-proof]').proof.data.base")
    jpeg = page.request.get(f"{page.url.split('/choices')[0]}{name}/picture.jpg").body()
    sent = pyvips.Image.new_from_buffer(jpeg, "").numpy()
    assert np.abs(sent.astype(int) - coloured()).mean() < 4  # the picture itself came through
    by_profile = ProfileDevice(press_profile(semi_gloss()))
    for card, of, intent, bpc, paper in (
        (trial.id, device, "relative", True, False),
        (trial.id, device, "absolute", False, True),
        (f"profile-{kept.sha256}", by_profile, "saturation", False, True),
    ):
        shown = pixels_of(page.evaluate(READ, [card, intent, bpc, paper]))
        assert shown.shape == (TALL, WIDE, 3)
        link = device_link(working_space_profile("srgb"), of, intent, bpc=bpc, paper=paper)  # type: ignore[arg-type]
        meant = link.apply(sent)
        far = delta_e_2000(rgb_to_lab(shown / 255, SRGB), rgb_to_lab(meant / 255, SRGB))
        assert (
            np.quantile(far, 0.99) < 1
        )  # both are rounded to 8 bits, which alone moves dark colours by that much
        unlike = delta_e_2000(rgb_to_lab(shown / 255, SRGB), rgb_to_lab(sent / 255, SRGB))
        assert np.quantile(unlike, 0.99) > 2  # a proof that were the picture itself would fail
