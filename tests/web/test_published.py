"""Reports made in the browser: what the command line writes, kept, with a page to come back to."""

from __future__ import annotations

import io
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from tackside.bench.store import Bench
from tackside.report.pages.page import render_report
from tackside.report.pages.short import render_short
from tackside.web.app import create_app
from tackside.web.i18n.preferences import COOKIES
from tackside.web.jobs import report
from tackside.web.workbench import Options
from tackside.workflow.report import entry_of, extras_of
from tests.web.at_work import next_done
from tests.web.test_choose import open_to_everyone
from tests.web.test_run_plan import text_of
from tests.web.workshop import TestClient, furnish, serving


def made(bench: Bench, folder: Path) -> dict[str, Any]:
    return next_done(bench, folder, report.make)


@pytest.mark.slow
def test_the_report_is_the_command_lines_and_lasts(client: TestClient, bench: Bench, tmp_path: Path) -> None:
    one, other = (trial.id for trial in bench.trials.list()[:2])
    typed = {
        "trial": [one, other], "title": "Two cards", "note": "by a test", "licence": "CC BY 4.0", "pictures": "yes",
        "data": "yes",
    }  # fmt: skip
    answer = client.post("/report", data=typed)
    assert answer.status_code == 303
    address = answer.headers["location"]
    assert "Waiting for its turn" in client.get(address).text
    made(bench, tmp_path / "job")
    html = client.get(f"{address}/report.html")
    entries = [entry_of(bench, each) for each in (one, other)]
    extras = extras_of(bench, entries, "CC BY 4.0")
    assert html.text == render_report(entries, title="Two cards", note="by a test", extras=extras)
    assert "sandbox" in html.headers["content-security-policy"]
    assert "data:image/jpeg" in html.text
    pdf = client.get(f"{address}/report.pdf")
    assert 'filename="two-cards.pdf"' in pdf.headers["content-disposition"]
    assert "CC BY 4.0" in text_of(pdf.content)
    with pikepdf.open(io.BytesIO(pdf.content)) as document:
        assert {"figures.csv", "patches.csv"} < set(document.attachments)
    page = client.get(address).text
    assert f"{address}/report.pdf" in page
    assert address in client.get("/report").text  # found again
    assert client.get(f"{address}/report.exe").status_code == 404


def test_the_short_form_answers_on_one_card(client: TestClient, bench: Bench, tmp_path: Path) -> None:
    one, other = (trial.id for trial in bench.trials.list()[:2])
    refused = client.post("/report", data={"trial": [one, other], "short": "yes", "licence": "mine"})
    assert refused.status_code == 422
    assert "answers on one trial" in refused.text
    assert 'value="mine"' in refused.text
    answer = client.post("/report", data={"trial": [one], "short": "yes"})
    made(bench, tmp_path / "job")
    html = client.get(f"{answer.headers['location']}/report.html").text
    assert html == render_short(entry_of(bench, one))
    assert "Can I print on Harbour Satin 300?" in client.get(answer.headers["location"]).text
    client.cookies.set(COOKIES["language"], "de")
    assert "Kann ich auf Harbour Satin 300 drucken?" in client.get(answer.headers["location"]).text
    assert "Kann ich auf Harbour Satin 300 drucken?" in client.get("/report").text


def test_what_cannot_be_reported_is_refused(client: TestClient, bench: Bench) -> None:
    assert client.post("/report", data={}).status_code == 422
    waiting = bench.trials.list()[2].id
    assert client.post("/report", data={"trial": [waiting]}).status_code == 404
    assert client.get("/reports/nothing").status_code == 404
    assert bench.jobs.list(kind="report") == ()


@pytest.mark.browser
@pytest.mark.slow
def test_a_comparison_is_published_in_the_browser(tmp_path: Path, chromium: Any) -> None:
    bench = furnish(tmp_path / "bench")
    with serving(create_app(bench.folder, Options())) as address:
        context = chromium.new_context(
            locale="en-GB", accept_downloads=True, viewport={"width": 1280, "height": 900}
        )
        page = context.new_page()
        said: list[str] = []
        page.on("pageerror", lambda error: said.append(str(error)))
        page.goto(f"{address}/report")
        for box in page.query_selector_all("input[name=trial]"):
            box.check()
        page.click("button:has-text('Make the page')")
        page.fill("#licence", "CC BY 4.0")
        page.click("button:has-text('Make HTML and PDF')")
        page.wait_for_selector("a:has-text('For print, PDF')", timeout=60_000)
        files = {}
        for name, words in (("html", "One page, HTML"), ("pdf", "For print, PDF")):
            with page.expect_download() as waiting:
                page.click(f"a:has-text('{words}')")
            files[name] = Path(waiting.value.path()).read_bytes()
        assert b"figures.csv" in files["html"]
        assert "Harbour Satin 300" in text_of(files["pdf"])
        open_to_everyone(page, "report-made")
        assert said == []
        context.close()
