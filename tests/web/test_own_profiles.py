"""A card's own profile in the browser: built from a trial, its page, a sheet through it, its promise, a card by it."""

from __future__ import annotations

from pathlib import Path

import pytest
import pyvips

from tackside.bench.store import Bench
from tackside.card.file.design import CardParts, CardPicture
from tackside.messages.wording import Wording
from tackside.records import Settings, Uncertainty
from tackside.workflow.cards.kept import images_of, kept_card
from tackside.workflow.profiles.build import build_own_profile
from tackside.workflow.profiles.told import quality_told
from tackside.workflow.trials import make_trial, note_settings
from tests.web.at_work import run_jobs
from tests.web.card_bench import done, dropped, write_picture
from tests.web.workshop import TestClient, client_of
from tests.workflow.own_profiles import bench_with, built_once, device_trial, read_by_instrument

__all__ = ["built_once"]  # a fixture

SATIN = "harbour-satin-300"
PAGE = Wording(where="page")


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return bench_with(tmp_path / "bench", SATIN)


@pytest.fixture
def client(bench: Bench) -> TestClient:
    return client_of(bench)


@pytest.mark.slow
def test_from_trial_to_profile_to_print_and_back(bench: Bench, client: TestClient) -> None:
    trial = device_trial(bench, SATIN)
    read_by_instrument(bench, trial, SATIN)
    note_settings(bench, trial.id, Settings(media_setting="Satin 2"))
    assert "Build the profile" in client.get(f"/trials/{trial.id}").text
    asked = client.post(f"/trials/{trial.id}/profile", data={"description": "My satin", "v2": ""})
    assert asked.status_code == 303
    assert [(job.kind, job.state) for job in run_jobs(bench)] == [("own-profile", "done")]
    (kept,) = bench.profiles.all()
    assert (kept.title, kept.origin.trials if kept.origin else ()) == ("My satin", (trial.id,))
    page = f"/profiles/{kept.sha256}"
    told = client.get(page).text
    assert kept.origin is not None
    for label, value in quality_told(kept.origin.quality, 1):
        assert PAGE.text(label) in told
        assert PAGE.text(value) in told
    assert "My satin" in told
    assert "the same paper (Satin 2)" in told
    sent = client.post(f"{page}/sheet", data={"intent": "relative"})
    assert sent.status_code == 303
    through = next(each for each in bench.trials.list() if each.through is not None)
    assert sent.headers["location"] == f"/trials/{through.id}/print"
    assert [job.state for job in run_jobs(bench)] == ["done"]
    instructions = client.get(f"/trials/{through.id}/print").text
    assert "converted by “My satin” already" in instructions
    read_by_instrument(bench, through, SATIN, seed=2)
    assert f"/trials/{through.id}/promise" in client.get(f"/trials/{through.id}").text
    promise = client.get(f"/trials/{through.id}/promise").text
    assert "The print keeps what the profile promised" in promise
    assert f'href="{page}"' in promise
    assert client.post(f"/trials/{through.id}/refine").status_code == 303
    assert [(job.kind, job.state) for job in run_jobs(bench)] == [("refine-profile", "done")]
    newest = bench.profiles.all()[0]
    assert newest.origin is not None
    assert newest.origin.trials == (trial.id, through.id)


@pytest.mark.slow
def test_a_cards_files_are_converted_by_the_own_profile(
    bench: Bench, client: TestClient, tmp_path: Path
) -> None:
    trial = device_trial(bench, SATIN)
    read_by_instrument(bench, trial, SATIN)
    built = build_own_profile(bench, [trial.id])
    parts = CardParts(
        stock="Harbour Satin 300", printer="Tern 8",
        pictures=(CardPicture(panel="front", file="boats at noon.png"),),
    )  # fmt: skip
    bench.cards.add(kept_card("Boats", parts, ()))
    dropped(bench, "Boats", write_picture(tmp_path))
    bench.cards.add(kept_card("Boats", parts, images_of(bench, bench.cards.get("Boats"))))
    page = client.get("/cards/Boats").text
    assert f'<option value="{trial.id}">' in page
    done(
        bench, "card-files",
        {"card": "Boats", "revision": 2, "kinds": ["tif"], "corrected": True, "by_trial": trial.id},
    )  # fmt: skip
    (job,) = bench.jobs.list(kind="card-files")
    assert job.result is not None
    image = pyvips.Image.new_from_file(str(bench.file(job.result["files"]["card.tif"])))
    assert image.get("icc-profile-data") == built.own.data
    told = client.get("/cards/Boats/print").text
    assert "converted by the card&#39;s own profile already" in told
    assert f"as for trial {trial.id}" in told


def test_a_trial_that_none_can_be_built_from_says_why(bench: Bench, client: TestClient) -> None:
    managed = make_trial(bench, "Harbour Satin 300", "Tern 8").trial
    read_by_instrument(bench, managed, SATIN)
    assert "Build the profile" not in client.get(f"/trials/{managed.id}").text
    bare = device_trial(bench, SATIN)
    read_by_instrument(
        bench, bare, SATIN, kind="scan", condition=None,
        uncertainty=Uncertainty(de00=4.5, basis="a scan", comparable_with="scan | file 0 | 300 ppi"),
    )  # fmt: skip
    told = client.get(f"/trials/{bare.id}").text
    assert "Build the profile" not in told
    assert "scanner that is not characterised" in told


def test_what_went_through_no_profile_has_no_promise(bench: Bench, client: TestClient) -> None:
    trial = device_trial(bench, SATIN)
    read_by_instrument(bench, trial, SATIN)
    answer = client.get(f"/trials/{trial.id}/promise")
    assert answer.status_code in (400, 422)
    assert "went through no profile" in answer.text
