"""One job, asked at the terminal and in the browser, gives one answer."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from tackside.bench.repositories.scanners import Scanners
from tackside.bench.store import Bench
from tackside.press.printer.stock_model import matt_coated
from tackside.profile.icc.working_space import working_space_profile
from tackside.reading.scanners.learn import learn_from_sheet, with_characterisation
from tackside.records import Reading, Settings, Trial
from tackside.records.scanner import Scanner
from tackside.sheet.render import render
from tackside.sheet.write import write_tiff
from tackside.workflow.trials import make_trial
from tests.cli.bench_of_examples import Caller
from tests.profile.card_profiles import press_profile
from tests.web.at_work import run_jobs, send
from tests.web.workshop import (
    SATIN,
    TERN,
    TestClient,
    add_reading,
    add_trial,
    add_verdict,
    client_of,
    laid_on_glass,
)

SCANNER = "Flatbed, all corrections off"


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    made = Bench.open(tmp_path / "bench")
    made.stocks.add(SATIN)
    made.printers.add(TERN)
    return made


@pytest.fixture
def client(bench: Bench) -> TestClient:
    return client_of(bench)


def scan_of(trial: Trial, folder: Path) -> Path:
    """The trial's sheet as a perfect print, scanned at 300 ppi."""
    write_tiff(trial.sheet, render(trial.sheet), folder / "sheet.tif")
    return laid_on_glass(folder / "sheet.tif", trial.sheet, folder / "my scan.tif")


def read_in_browser(bench: Bench, client: TestClient, trial: Trial, scan: Path, **fields: str) -> Reading:
    answer = client.post(
        f"/trials/{trial.id}/read",
        data=fields,
        files=[("files", (scan.name, scan.read_bytes()))],
    )
    assert answer.status_code == 303
    jobs = run_jobs(bench)
    assert [(job.kind, job.state) for job in jobs] == [("read", "done"), ("prepare-card", "done")], jobs
    return bench.readings.standing(trial.id)


def told(notices: tuple[Any, ...]) -> list[str]:
    return [notice.code for notice in notices]


def test_a_half_wet_print_is_trusted_as_little_in_the_browser_as_at_the_terminal(
    bench: Bench, client: TestClient, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    trial = add_trial(bench, SATIN, settings=Settings(drying_hours=0.3))
    dry = add_trial(bench, SATIN)
    scan = scan_of(trial, tmp_path)
    shutil.copytree(bench.folder, tmp_path / "other")
    at_terminal = Caller(tmp_path / "other", capsys)
    code, _, _ = at_terminal._call("read", trial.id, scan, "--json")
    assert code == 0
    there = Bench.open(tmp_path / "other").readings.standing(trial.id)
    here = read_in_browser(bench, client, trial, scan)
    assert here.uncertainty == there.uncertainty
    assert here.notices == there.notices
    assert "reading.half-wet" in told(here.notices)
    assert here.patches == there.patches
    assert (here.source_name, there.source_name) == ("my scan.tif", "my scan.tif")
    page = client.get(f"/trials/{trial.id}").text
    assert "still half wet when it was read, after 0.3 hours" in page
    # The very same scan of a print that nobody called wet is trusted more.
    write_tiff(dry.sheet, render(dry.sheet), tmp_path / "dry-sheet.tif")
    dry_scan = laid_on_glass(tmp_path / "dry-sheet.tif", dry.sheet, tmp_path / "dry.tif")
    assert here.uncertainty.de00 > read_in_browser(bench, client, dry, dry_scan).uncertainty.de00


def test_a_learnt_scanner_is_chosen_in_the_browser_too(
    bench: Bench, client: TestClient, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    trial = add_trial(bench, SATIN)
    scan = scan_of(trial, tmp_path)
    data = tmp_path / "measured.txt"
    plain = read_in_browser(bench, client, trial, scan)
    assert plain.uncertainty.comparable_with != "colorimetric"
    data.write_text(cgats(plain))
    new = learn_from_sheet(
        scan, data, trial.sheet, trial.id, inks=TERN.name, surface="satin", stock=SATIN.name
    )
    Scanners(bench.folder).keep(with_characterisation(Scanner(name=SCANNER), new))
    assert f"<option>{SCANNER}</option>" in client.get(f"/trials/{trial.id}/read").text
    here = read_in_browser(bench, client, trial, scan, scanner=SCANNER)
    assert here.uncertainty.comparable_with == "colorimetric"
    assert here.device == SCANNER
    shutil.copytree(bench.folder, tmp_path / "other")
    there = Caller(tmp_path / "other", capsys).document("read", trial.id, scan, "--scanner", SCANNER)
    assert there["uncertainty"]["de00"] == here.uncertainty.de00
    assert [patch["lab"] for patch in there["patches"]] == [list(patch.lab) for patch in here.patches]


def test_a_profile_is_the_reference_in_the_browser_too(
    bench: Bench, client: TestClient, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    trial = add_trial(bench, SATIN)
    add_verdict(bench, trial, add_reading(bench, trial, 18.0, device="colorimetric"))
    profile = tmp_path / "matt.icc"
    profile.write_bytes(press_profile(matt_coated()))
    address = send(client, "/profiles", ("matt.icc", profile.read_bytes()))
    screen = send(client, "/profiles", ("screen.icc", working_space_profile("srgb")))
    page = client.get(f"/trials/{trial.id}").text
    assert f'<option value="{address[-64:]}">matt coated</option>' in page
    assert screen[-64:] not in page  # no printer's
    shutil.copytree(bench.folder, tmp_path / "other")
    there = Caller(tmp_path / "other", capsys).document("judge", trial.id, "--profile", profile)
    answer = client.post(f"/trials/{trial.id}/judge", data={"profile": address[-64:], "profile_of": "class"})
    assert answer.status_code == 303
    here = bench.verdicts.standing(trial.id)
    assert there["reference"]["used"]
    assert "verdict.profile-of-class" in told(here.reasons)
    assert (here.grade, here.cause) == (there["grade"], there["cause"])
    assert {name: one.value for name, one in here.measures.items() if isinstance(one.value, float)} == {
        name: value for name, value in there["measures"].items() if isinstance(value, float)
    }


def test_the_other_side_is_weighed_in_the_browser_too(
    bench: Bench, client: TestClient, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    front = make_trial(bench, SATIN.name, TERN.name, ppi=300).trial
    back = make_trial(bench, SATIN.name, TERN.name, side="back", ppi=300).trial
    add_reading(bench, front, 8.0)
    add_verdict(bench, back, add_reading(bench, back, 33.0))
    shutil.copytree(bench.folder, tmp_path / "other")
    there = Caller(tmp_path / "other", capsys).document("judge", back.id, "--other-side", front.id)
    answer = client.post(f"/trials/{back.id}/judge", data={"other_side": front.id})
    assert (answer.status_code, answer.headers["location"]) == (303, f"/trials/{back.id}?other={front.id}")
    here = bench.verdicts.standing(back.id)
    assert here.causes == pytest.approx(there["causes"])
    page = client.get(answer.headers["location"]).text
    assert there["side"]["printable"] == "front"
    assert "Which side takes ink" in page
    assert there["side"]["reasons"][0]["text"] in page


def test_what_cannot_stand_beside_a_print_is_told_at_its_field(bench: Bench, client: TestClient) -> None:
    trial, other = add_trial(bench, SATIN), add_trial(bench, SATIN)
    for each in (trial, other):
        add_verdict(bench, each, add_reading(bench, each, 8.0))
    before = len(bench.verdicts.list(trial.id))
    answer = client.post(f"/trials/{trial.id}/judge", data={"other_side": other.id})
    assert answer.status_code == 422
    assert 'id="other_side-fault"' in answer.text
    assert "not the other side" in answer.text
    assert len(bench.verdicts.list(trial.id)) == before


def cgats(reading: Reading) -> str:
    """The same patches as an instrument would report them."""
    rows = [
        "\t".join([patch.name, *(f"{255 * each:.4f}" for each in patch.rgb or ()), *map(str, patch.lab)])
        for patch in reading.patches
    ]
    fields = "SAMPLE_NAME RGB_R RGB_G RGB_B LAB_L LAB_A LAB_B"
    head = f"CGATS.17\nNUMBER_OF_FIELDS 7\nBEGIN_DATA_FORMAT\n{fields}\nEND_DATA_FORMAT\n"
    return head + f"NUMBER_OF_SETS {len(rows)}\nBEGIN_DATA\n" + "\n".join(rows) + "\nEND_DATA\n"
