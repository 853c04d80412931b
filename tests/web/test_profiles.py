"""Profiles in the workbench: taken in, looked into, their gamut, and the cards they are nearest to."""

from __future__ import annotations

from datetime import UTC, datetime
from pathlib import Path

import pytest

from tackside.bench.repositories.catalogue import ListAsked
from tackside.bench.store import Bench
from tackside.errors import BadProfile
from tackside.messages.wording import Wording
from tackside.profile.device.device_model import device_numbers
from tackside.profile.icc.files import read_profile_file
from tackside.profile.icc.summary import summarise
from tackside.profile.icc.working_space import working_space_profile
from tackside.profile.match.match import card_reading, match_profile
from tackside.report import profile_words
from tests.profile.small_profiles import grey_profile
from tests.web.at_work import run_jobs, send
from tests.web.workshop import TestClient, add_reading

SRGB = working_space_profile("srgb")


def bare(bench: Bench) -> str:
    """A trial that was printed with bare numbers and read."""
    trial = next(each for each in bench.trials.list() if each.stock == "Harbour Satin 300")
    sheet = trial.sheet.model_copy(update={"purpose": "device"})
    added = bench.trials.add(trial.model_copy(update={"id": "BARE2345", "sheet": sheet}))
    add_reading(bench, added, 9.0)
    return added.id


def test_profiles_are_taken_in_and_what_is_none_is_refused_in_the_command_lines_words(
    bench: Bench, client: TestClient, tmp_path: Path
) -> None:
    notes = tmp_path / "notes.icc"
    notes.write_text("nothing measured here" * 20)
    with pytest.raises(BadProfile) as refused:
        read_profile_file(notes)
    files = [("files", ("Tern satin.icc", SRGB)), ("files", ("notes.icc", notes.read_bytes()))]
    answer = client.post("/profiles", files=files)
    assert answer.status_code == 422
    assert str(refused.value).replace(str(notes), "notes.icc") in answer.text
    assert 'aria-describedby="taken"' in answer.text
    assert "sRGB IEC 61966-2-1" in client.get("/profiles?q=satin").text
    assert "sRGB IEC 61966-2-1" not in client.get("/profiles?q=nothing").text
    assert [line.file.name for line in bench.profiles.list(ListAsked())[0]] == ["Tern satin.icc"]
    empty = client.post("/profiles", data={"csrf": client.headers["x-csrf-token"]})
    assert empty.status_code == 422
    assert "there is no profile among" in empty.text.lower()


@pytest.mark.slow
def test_a_profiles_page_tells_what_the_command_line_tells(bench: Bench, client: TestClient) -> None:
    trial = bare(bench)
    page = send(client, "/profiles", ("screen.icc", SRGB))
    assert "Waiting for its turn" in client.get(page).text
    assert "<svg" in client.get(f"{page}/thumbnail").text
    assert [job.state for job in run_jobs(bench)] == ["done"]
    told = client.get(page).text
    summary = summarise(SRGB, datetime.now(UTC).date())
    assert summary.colours is not None
    wording = Wording(where="page")
    assert wording.text(profile_words.gamut(summary.colours)) in told
    assert wording.text(profile_words.lead(summary)) in told
    assert "data-gamut=" in told
    reading = bench.readings.standing(trial)
    card = card_reading(*device_numbers(reading, bench.trials.get(trial).sheet))
    match = match_profile(card, "screen.icc", SRGB)
    assert f'<td class="number" data-label="Median ΔE00">{match.de00_median:.1f}</td>' in told
    assert "printed through colour management" in told  # the workshop's other cards, with the reason
    assert "<path" in client.get(f"{page}/thumbnail").text
    assert client.get(f"{page}/file").content == SRGB
    client.post(f"{page}/look")
    assert len(bench.jobs.list(kind="profile")) == 2  # looked at again, when asked
    client.post(f"{page}/archive", data={"archived": "yes"})
    assert "screen.icc" not in client.get("/profiles").text
    assert "This was put away" in client.get(page).text


@pytest.mark.slow
def test_a_profile_without_a_solid_or_that_cannot_be_used_has_its_page(
    bench: Bench, client: TestClient
) -> None:
    grey = send(client, "/profiles", ("grey.icc", grey_profile(2.2)))
    damaged = send(client, "/profiles", ("cut.icc", _unusable()))
    assert [job.state for job in run_jobs(bench)] == ["done", "done"]
    assert "data-gamut=" not in client.get(grey).text
    assert "greys alone" in client.get(grey).text
    assert "none to show" in client.get(damaged).text
    assert "data-gamut=" not in client.get(damaged).text


def _unusable() -> bytes:
    """A profile whose every tag but its description is gone."""
    return SRGB.replace(b"rXYZ", b"xXYZ").replace(b"rTRC", b"xTRC")


@pytest.mark.parametrize("name", ["0" * 64, "short", "..%2F..%2Fbench.sqlite"])
def test_what_is_no_profile_of_the_bench_is_not_found(client: TestClient, name: str) -> None:
    for more in ("", "/file", "/thumbnail"):
        assert client.get(f"/profiles/{name}{more}").status_code == 404


def test_a_kept_file_that_is_no_profile_is_not_handed_out_as_one(bench: Bench, client: TestClient) -> None:
    trial = bench.trials.list()[0]
    source = bench.readings.standing(trial.id).source_sha256
    assert client.get(f"/profiles/{source}/file").status_code == 404
