"""Prints side by side: differences that are more than chance, and never a ranking across scanners."""

from __future__ import annotations

from pathlib import Path

import pytest

from tackside.bench.store import Bench
from tackside.web.i18n.preferences import person_of
from tackside.web.views.compare import compare_view
from tackside.web.views.evidence import RULES, keys_of_patch, keys_of_target
from tests.web.workshop import SATIN, TestClient, add_reading, add_trial, add_verdict

ENGLISH = person_of({}, "en")


def trial_with(bench: Bench, black_l: float, device: str = "flatbed") -> str:
    trial = add_trial(bench, SATIN)
    add_verdict(bench, trial, add_reading(bench, trial, black_l, device))
    return trial.id


def sentences(client: TestClient, *trials: str) -> list[tuple[str, ...]]:
    view = compare_view(client.app.state.workbench, trials, ENGLISH)  # type: ignore[attr-defined]
    return [group.sentences for group in view.groups]


def test_a_deeper_black_is_said_with_both_figures(client: TestClient, bench: Bench) -> None:
    deep, weak = trial_with(bench, 6.0), trial_with(bench, 25.0)
    (said,) = sentences(client, deep, weak)
    assert any("deeper black: L* 6.0 against 25.0" in each for each in said)


def test_what_may_be_chance_is_not_said(client: TestClient, bench: Bench) -> None:
    (said,) = sentences(client, trial_with(bench, 10.0), trial_with(bench, 10.4))
    assert said == ()


def test_prints_of_two_scanners_stand_in_two_groups(client: TestClient, bench: Bench) -> None:
    one, other = trial_with(bench, 6.0, "flatbed"), trial_with(bench, 25.0, "another")
    assert sentences(client, one, other) == [(), ()]
    assert "never ranked across them" in client.get(f"/compare?trial={one}&trial={other}").text


def test_fewer_than_two_are_asked_for_more(client: TestClient, bench: Bench) -> None:
    judged = bench.trials.list()[0].id
    assert "Choose at least one more" in client.get(f"/compare?trial={judged}").text
    assert client.get(f"/compare?trial={judged}&trial=NOWHERE1").status_code == 404
    waiting = bench.trials.list()[2].id
    assert "has no verdict yet" in client.get(f"/compare?trial={judged}&trial={waiting}").text


def test_every_rule_of_a_verdict_has_its_evidence(bench: Bench) -> None:
    verdict = bench.verdicts.standing(bench.trials.list()[0].id)
    sheet = bench.trials.list()[0].sheet
    shown = {key for patch in sheet.patches for key in keys_of_patch(patch.roles)}
    shown |= {key for target in sheet.targets for key in keys_of_target(target.kind)}
    for rule in verdict.rules:
        assert rule.rule in RULES
        assert rule.rule in shown


def test_a_published_page_is_shut_in_and_can_be_taken_away(client: TestClient, bench: Bench) -> None:
    one, other = (trial.id for trial in bench.trials.list()[:2])
    address = f"/report/page.html?trial={one}&trial={other}&title=Two+cards"
    shown = client.get(address)
    assert "sandbox" in shown.headers["content-security-policy"]
    assert "frame-ancestors 'self'" in shown.headers["content-security-policy"]
    taken = client.get(f"{address}&save=true")
    assert taken.headers["content-disposition"] == 'attachment; filename="two-cards.html"'
    evil = client.get("/report/page.html", params={"trial": one, "title": '"\r\nx: <script>', "save": True})
    assert evil.status_code == 200
    assert "x" not in evil.headers
    assert client.get("/report/page.html").status_code == 422


@pytest.mark.slow
def test_a_scan_in_the_watched_folder_is_taken_up(bench: Bench, tmp_path: Path) -> None:
    import time

    from tackside.web.app import create_app
    from tackside.web.jobs.engine.watched import Watcher
    from tackside.web.workbench import Options

    folder = tmp_path / "scans"
    folder.mkdir()
    (folder / "old.tif").write_bytes(b"II*\0 was there before")
    app = create_app(bench.folder, Options(keep_jobs=False, watched=folder))
    watcher = Watcher(app.state.workbench)
    watcher.start()
    try:
        (folder / "new.tif").write_bytes(b"II*\0 a new scan")
        (folder / "notes.txt").write_bytes(b"no scan")
        deadline = time.monotonic() + 20
        while not bench.jobs.list(kind="arrived") and time.monotonic() < deadline:
            time.sleep(0.1)
    finally:
        watcher.stop()
    (job,) = bench.jobs.list(kind="arrived")
    assert [each["name"] for each in job.asked["files"]] == ["new.tif"]
