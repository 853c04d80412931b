"""Pictures in the workbench: taken in, looked at before any ink, and the ways on from there."""

from __future__ import annotations

import re
import shutil
from pathlib import Path
from typing import Any

import pytest
import pyvips

from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.store import Bench
from tackside.errors import BadImage
from tackside.fit.fit_stock import fit_stock
from tackside.messages.wording import TERMINAL, Wording
from tackside.picture.check.check import check_picture
from tackside.picture.file.open import kind_of
from tackside.web.app import create_app
from tackside.web.workbench import Options
from tests.web.at_work import hues, run_jobs, save_picture, send
from tests.web.axe import SPILL, faults_in
from tests.web.shots import WIDTHS
from tests.web.workshop import SATIN, TERN, TestClient, furnish, serving


@pytest.fixture
def png(tmp_path: Path) -> bytes:
    return save_picture(tmp_path / "hues.png").read_bytes()


def jpeg(width: int = 360, height: int = 240) -> bytes:
    image = pyvips.Image.new_from_array(hues(width, height))
    return bytes(image.jpegsave_buffer(Q=90))


def test_what_is_no_picture_is_refused_in_the_command_lines_words(
    bench: Bench, client: TestClient, tmp_path: Path, png: bytes
) -> None:
    notes = tmp_path / "notes.jpg"
    notes.write_text("not a picture at all")
    with pytest.raises(BadImage) as refused:
        kind_of(notes)
    files = [("files", ("boats.png", png)), ("files", ("notes.jpg", notes.read_bytes()))]
    answer = client.post("/pictures", files=files)
    assert answer.status_code == 422
    assert str(refused.value).replace(str(notes), "notes.jpg") in answer.text
    assert [job.asked["name"] for job in bench.jobs.list(kind="picture")] == ["boats.png"]
    assert "there is no picture to look at" in client.post("/pictures").text.lower()


@pytest.mark.slow
def test_a_picture_is_looked_at_by_a_worker_and_has_its_page(
    bench: Bench, client: TestClient, tmp_path: Path
) -> None:
    sent = jpeg()
    page = send(client, "/pictures", ("boats at noon.jpg", sent))
    assert "Waiting for its turn" in client.get(page).text
    assert bench.pictures.list(ListAsked())[1] == 0  # not on the list before it was opened
    assert client.get(f"{page}/thumbnail.jpg").headers["content-type"] == "image/svg+xml"
    assert [job.state for job in run_jobs(bench)] == ["done"]
    told = client.get(page).text
    assert "360 × 240 pixels" in told
    (tmp_path / "boats at noon.jpg").write_bytes(sent)
    found = check_picture(tmp_path / "boats at noon.jpg")
    assert found.findings
    for each in found.findings:
        said = Wording(where="page").what(each.message)
        assert said[1:].replace("'", "&#39;") in told
    assert "file-1.jpg" not in told  # our own name of it, in the worker's folder
    for name in ("shown", "thumbnail"):
        answer = client.get(f"{page}/{name}.jpg")
        assert answer.headers["content-type"] == "image/jpeg"
        assert pyvips.Image.new_from_buffer(answer.content, "").bands == 3
    assert "boats at noon.jpg" in client.get("/pictures?q=noon").text
    client.post(f"{page}/archive")
    assert "boats at noon.jpg" not in client.get("/pictures").text


@pytest.mark.slow
def test_a_picture_that_breaks_off_is_told_and_not_kept_on_the_list(bench: Bench, client: TestClient) -> None:
    page = send(client, "/pictures", ("boats.jpg", jpeg()[:4000]))
    (job,) = run_jobs(bench)
    assert job.state == "failed"
    assert job.fault is not None
    assert "boats.jpg" in str(job.fault)
    assert TERMINAL.what(job.fault)[1:] in client.get(page).text
    assert bench.pictures.list(ListAsked())[1] == 0


@pytest.mark.slow
def test_resolution_is_told_for_a_panel(bench: Bench, client: TestClient, png: bytes) -> None:
    page = send(client, "/pictures", ("boats.png", png))
    run_jobs(bench)
    place = f"{page}?stock=Harbour+Satin+300&printer=Tern+8&panel=front&distance=30"
    asked = re.search(r"hx-vals='([^']*)'", client.get(place).text)
    assert asked is not None
    client.post(
        f"{page}/look", data={"stock": SATIN.name, "printer": TERN.name, "panel": "front", "distance": "30"}
    )
    assert [job.state for job in run_jobs(bench)] == ["done"]
    front = next(panel for panel in fit_stock(SATIN, TERN).panels if panel.name == "front")
    ppi = min(360 / (front.trim.w / 25.4), 240 / (front.trim.h / 25.4))  # pixels over inches, the scarcer way
    assert f"{round(ppi)} ppi" in client.get(place).text
    assert "ppi" not in client.get(page).text  # without a place there is none


@pytest.mark.slow
def test_doors_lead_on_from_a_picture(bench: Bench, client: TestClient, png: bytes) -> None:
    page = send(client, "/pictures", ("boats.png", png))
    run_jobs(bench)
    told = client.get(page).text
    gamut = re.search(r'href="(/gamut\?[^"]+)"', told)
    assert gamut is not None
    assert page[-64:] in gamut[1]
    assert client.get(gamut[1].replace("&amp;", "&")).status_code == 200
    choice = client.post(f"{page}/choose").headers["location"]
    assert bench.jobs.get(choice.removeprefix("/choices/")).asked["files"] == [
        {"sha256": page[-64:], "name": "boats.png"}
    ]
    door = re.search(r'href="(/make/card\?picture=[0-9a-f]{64})"', told)
    assert door is not None
    begun = client.get(door[1]).text
    assert "boats.png" in begun
    typed = {"stock": SATIN.name, "printer": TERN.name, "name": "Boats again", "picture": page[-64:]}
    client.post("/make/card", data=typed)
    (job,) = bench.jobs.list(kind="card-picture", subject="Boats again")
    assert job.asked["sha256"] == page[-64:]


@pytest.mark.slow
def test_a_picture_that_was_put_out_of_the_cache_is_looked_at_again(
    bench: Bench, client: TestClient, png: bytes
) -> None:
    page = send(client, "/pictures", ("boats.png", png))
    run_jobs(bench)
    shutil.rmtree(bench.folder / "cache")
    assert "hx-post" in client.get(page).text
    assert client.get(f"{page}/shown.jpg").status_code == 200
    client.post(f"{page}/look")
    run_jobs(bench)
    assert "360 × 240 pixels" in client.get(page).text


def test_other_files_of_the_bench_are_not_shown_as_pictures(bench: Bench, client: TestClient) -> None:
    scan = bench.readings.standing(bench.trials.list()[0].id).source_sha256
    for address in (
        f"/pictures/{scan}",
        f"/pictures/{'0' * 64}",
        "/pictures/..%2F..",
        f"/pictures/{scan}/x.jpg",
    ):
        assert client.get(address).status_code in (404, 422)
    assert client.post(f"/pictures/{scan}/look").status_code == 404
    assert client.post(f"/pictures/{scan}/choose").status_code == 404


@pytest.mark.browser
@pytest.mark.slow
def test_files_are_dropped_and_lead_to_their_pages(tmp_path: Path, chromium: Any, png: bytes) -> None:
    bench = furnish(tmp_path / "bench")
    (tmp_path / "boats.png").write_bytes(png)
    (tmp_path / "notes.icc").write_text("no profile")
    with serving(create_app(bench.folder, Options())) as address:
        context = chromium.new_context(locale="en-GB", viewport={"width": 1200, "height": 900})
        page = context.new_page()
        said: list[str] = []
        page.on("pageerror", lambda error: said.append(str(error)))
        page.goto(f"{address}/profiles")
        page.set_input_files("#files", tmp_path / "notes.icc")
        page.click('button:has-text("Import")')
        page.wait_for_selector("#taken [role=alert]")
        assert "notes.icc is not an ICC colour profile" in page.inner_text("#taken")
        assert faults_in(page, "light") == []
        page.goto(f"{address}/pictures")
        page.set_input_files("#files", tmp_path / "boats.png")
        page.click('button:has-text("Import")')
        page.wait_for_selector("h1:has-text('boats.png')", timeout=60_000)
        page.wait_for_selector("figure.shown img")
        assert page.evaluate("document.querySelector('figure.shown img').naturalWidth") == 360
        for width in WIDTHS:
            page.set_viewport_size({"width": width, "height": 900})
            assert page.evaluate(SPILL) <= 0
        assert said == []
        context.close()
