"""A run planned in the browser: refused beside the field, worked out to the cent, saved with its papers, counted."""

from __future__ import annotations

import html
import io
import re
from pathlib import Path
from typing import Any

import pypdfium2
import pytest

from tackside.bench.store import Bench
from tackside.card.file.design import CardParts, CardText
from tackside.errors import TacksideError
from tackside.run.plan.load_run import load_run
from tackside.run.plan.run_toml import run_toml
from tackside.web.app import create_app
from tackside.web.forms.run.run_form import RunAsked, run_from
from tackside.web.jobs.cards import run_plan
from tackside.web.jobs.engine.task import Task
from tackside.web.workbench import Options
from tackside.workflow.cards.kept import kept_card
from tackside.workflow.runs.plan import plan as plan_run
from tests.web.at_work import next_done
from tests.web.test_choose import open_to_everyone
from tests.web.workshop import CRAFT, SATIN, TERN, TestClient, furnish, serving, token_in

TYPED = {
    "name": "Harbour fair", "currency": "GBP",
    "card-1-name": "Boats", "card-1-stock": SATIN.name, "card-1-printer": TERN.name, "card-1-quantity": "40",
    "card-1-ink_ml": "0.6", "card-1-setting": "photo satin, best",
    "card-2-name": "Gulls", "card-2-stock": SATIN.name, "card-2-printer": TERN.name, "card-2-quantity": "12",
    "card-2-ink_ml": "0,45",
    "ink-1-printer": TERN.name, "ink-1-ml": "112", "ink-1-price": "128.00",
    "pack-1-stock": SATIN.name, "pack-1-count": "25", "pack-1-price": "14.50", "pack-1-on_hand": "5",
    "envelopes-count": "50", "envelopes-price": "6,00", "sleeves-count": "100", "sleeves-price": "4.50",
    "rate": "14.00", "machine-1-printer": TERN.name, "machine-1-price": "620.00", "machine-1-sheets": "6000",
    "postage-service": "letter", "postage-price": "0.87", "postage-dated": "2026-04-07",
    "postage-country": "United Kingdom", "extra-1-name": "stall", "extra-1-price": "12.00", "extra-1-per": "run",
    "profit": "20", "retail_factor": "2", "tax": "0", "step": "0.05", "spoiled_share": "6", "setup_sheets": "2",
    "start": "2026-05-04", "day-mon": "yes", "day-tue": "yes", "day-wed": "yes", "print_minutes": "3",
}  # fmt: skip
RUN_FILE = """
name = "Harbour fair"
currency = "GBP"
[[cards]]
name = "Boats"
stock = "Harbour Satin 300"
printer = "Tern 8"
quantity = 40
ink_ml = 0.6
setting = "photo satin, best"
[[cards]]
name = "Gulls"
stock = "Harbour Satin 300"
printer = "Tern 8"
quantity = 12
ink_ml = 0.45
[inks."Tern 8"]
ml = 112
price = "128.00"
currency = "GBP"
[stock_prices."Harbour Satin 300"]
count = 25
price = "14.50"
currency = "GBP"
[on_hand]
"Harbour Satin 300" = 5
[envelopes]
count = 50
price = "6.00"
currency = "GBP"
[sleeves]
count = 100
price = "4.50"
currency = "GBP"
[labour]
rate = "14.00"
[equipment."Tern 8"]
price = "620.00"
lifetime_sheets = 6000
[postage]
service = "letter"
price = "0.87"
dated = 2026-04-07
country = "United Kingdom"
[[extras]]
name = "stall"
price = "12.00"
[waste]
spoiled_share = 0.06
setup_sheets = 2
[pricing]
profit = 0.2
retail_factor = 2
tax = 0.0
step = "0.05"
[calendar]
start = 2026-05-04
days = ["mon", "tue", "wed"]
print_minutes = 3
"""


def asked_from(typed: dict[str, str]) -> RunAsked:
    found = run_from(typed, "mm")
    assert isinstance(found, RunAsked)
    return found


def test_the_form_is_the_run_file_of_the_command_line(tmp_path: Path) -> None:
    (tmp_path / "fair.toml").write_text(RUN_FILE)
    by_file = load_run(tmp_path / "fair.toml")
    assert asked_from(TYPED).run.model_copy(update={"folder": tmp_path}) == by_file
    (tmp_path / "again.toml").write_text(run_toml(by_file))
    assert load_run(tmp_path / "again.toml") == by_file


def test_a_plan_is_worked_out_as_at_the_command_line(
    client: TestClient, bench: Bench, tmp_path: Path
) -> None:
    (tmp_path / "fair.toml").write_text(RUN_FILE)
    plan = plan_run(bench, load_run(tmp_path / "fair.toml"))
    page = client.post("/plan/run", data={**TYPED, "do": "plan"}).text
    low, high = plan.unit_range
    assert f"A card costs {plan.unit_cost} GBP, between {low} and {high}." in page
    for amount in (
        plan.total,
        plan.outlay,
        plan.price.retail,
        plan.cards[1].unit_cost,
        plan.what_if[0].unit_cost,
    ):
        assert f"{amount} GBP" in page
    assert f"<dd>{plan.all_sheets}</dd>" in page
    assert f"{plan.break_even['retail']} cards at the retail price" in page
    assert f"for all that is paid for ({plan.paid} GBP, packs whole)" in page
    assert f"{plan.paid_back['retail']} cards at the retail price" in page
    assert bench.runs.list()[-1].name != ""
    assert len(bench.runs.list()) == 1


@pytest.mark.parametrize(
    ("wrong", "field", "words"),
    [
        ({"name": ""}, "name", "Name: this is missing; fill it in"),
        ({"card-1-quantity": "0"}, "card-1-quantity", "Design 1, How many: 0 is too small; it must be more than 0"),
        ({"card-1-quantity": "-3"}, "card-1-quantity", "it must be more than 0"),
        ({"card-1-quantity": ""}, "card-1-quantity", "Boats: either a number of cards or a list belongs here"),
        ({"card-1-ink_ml": ""}, "card-1-ink_ml", "Boats: its ink is not known; choose a design"),
        ({"card-2-name": "Boats"}, "card-2-name", "two cards are called Boats"),
        ({"ink-1-price": "1,000"}, "ink-1-price", "not an amount"),
        ({"ink-1-price": "a lot"}, "ink-1-price", "not an amount"),
        ({"ink-1-price": ""}, "ink-1-price", "Tern 8, Price of the ink: this is missing"),
        ({"pack-1-price": ""}, "pack-1-price", "give price and currency together"),
        ({"machine-1-printer": ""}, "machine-1-printer", "of which printer"),
        ({"ink-2-printer": TERN.name, "ink-2-ml": "9"}, "ink-2-printer", "has a price above already"),
        ({"currency": "XYZ"}, "currency", "is no currency code"),
        ({"currency": "pounds"}, "currency", "Currency: “POUNDS” is not the code of a currency"),
        ({"ink-1-printer": "", "ink-1-ml": "", "ink-1-price": ""}, "ink-1-price", "what ink for Tern 8 costs"),
        ({"pack-1-count": "", "pack-1-price": ""}, "pack-1-price", "has no pack price"),
        ({"card-1-stock": CRAFT.name}, "pack-2-price", "has no pack price"),
        ({"profit": "much"}, "profit", "Profit on cost: “much” is not a number"),
        ({"start": "4 May"}, "start", "First day: “4 May” is not a date"),
        ({"to_time": "08:00"}, "to_time", "To: no time is left to work in; choose at least one day"),
        ({"label_columns": "9"}, "label_columns", "the labels need a width of 630 mm, the page has 210 mm"),
        ({"card-1-label": "{street}"}, "card-1-label", "which its list does not have"),
    ],
)  # fmt: skip
def test_what_the_command_line_refuses_is_refused_beside_the_field(
    client: TestClient, wrong: dict[str, str], field: str, words: str
) -> None:
    answer = client.post("/plan/run", data={**TYPED, **wrong, "do": "keep"})
    assert answer.status_code == 422
    found = re.search(rf'id="{field}-fault">.*?</p>', answer.text, re.DOTALL)
    assert found is not None, re.findall(r'id="([\w-]+-fault)"', answer.text)
    told = html.unescape(re.sub("<.*?>", "", found[0].partition(">")[2]))
    assert words in told
    # What a person typed is answered in the form's own labels: no key, table or value of a run file.
    assert not re.search(r"[a-z]_[a-z]|\[|\]| = |None", told)
    assert 'value="Gulls"' in answer.text or wrong.get("card-2-name")  # what was typed is kept


def test_another_row_comes_with_what_was_typed_still_there(client: TestClient) -> None:
    answer = client.post("/plan/run", data={**TYPED, "do": "more-card"})
    assert answer.status_code == 200
    assert 'name="card-3-name"' in answer.text
    assert 'value="0,45"' in answer.text


def test_a_kept_run_is_counted_and_has_its_papers(client: TestClient, bench: Bench, tmp_path: Path) -> None:
    answer = client.post("/plan/run", data={**TYPED, "do": "keep"})
    assert answer.status_code == 303
    run = bench.runs.list()[-1]
    assert answer.headers["location"] == f"/runs/{run.id}"
    assert sum(batch.good for batch in run.batches) == 52
    job = bench.jobs.claim("a test")
    assert job is not None
    assert job.kind == "run-papers"
    (tmp_path / "job").mkdir()
    bench.jobs.finish(
        job.id, run_plan.write_papers(Task(bench, job.asked, tmp_path / "job", lambda share, said: None))
    )
    page = client.get(f"/runs/{run.id}").text
    for name, words in (("pick-list", "Boats"), ("labels", "Gulls"), ("instructions", "photo satin, best")):
        paper = client.get(f"/runs/{run.id}/papers/{name}.pdf")
        assert paper.headers["content-type"] == "application/pdf"
        assert words in text_of(paper.content)
        assert f"/runs/{run.id}/papers/{name}.pdf" in page
    assert client.get(f"/runs/{run.id}/papers/other.pdf").status_code == 404
    (tmp_path / "back.toml").write_bytes(client.get(f"/runs/{run.id}/run.toml").content)
    again = plan_run(bench, load_run(tmp_path / "back.toml"))
    assert str(again.unit_cost) == run.plan["unit_cost"]


def test_a_character_that_no_font_has_is_told_beside_the_labels(
    client: TestClient, bench: Bench, tmp_path: Path
) -> None:
    """A private character: no font at hand may claim it."""
    client.post("/plan/run", data={**TYPED, "card-1-label": "Boats \ue000", "do": "keep"})
    run = bench.runs.list()[-1]
    made = next_done(bench, tmp_path / "job", run_plan.write_papers)
    assert len(made["warnings"]) == 1
    page = client.get(f"/runs/{run.id}").text
    link = re.search(r"<a [^>]*labels\.pdf[^>]*>", page)
    assert link is not None
    assert 'aria-describedby="label-warnings"' in link[0]
    told = page.partition('id="label-warnings"')[2].partition("</ul>")[0]
    assert "No font at hand has \ue000 (a character, U+E000)" in told
    assert "install a font that has it" in told
    assert "[labels]" not in told


def test_labels_that_are_set_whole_come_without_a_warning(
    client: TestClient, bench: Bench, tmp_path: Path
) -> None:
    client.post("/plan/run", data={**TYPED, "do": "keep"})
    run = bench.runs.list()[-1]
    assert next_done(bench, tmp_path / "job", run_plan.write_papers)["warnings"] == []
    assert "label-warnings" not in client.get(f"/runs/{run.id}").text


def test_two_windows_do_not_count_the_same_sheets_twice(client: TestClient, bench: Bench) -> None:
    run = bench.runs.list()[0].id
    page = client.get(f"/runs/{run}").text
    seen = re.search(r'name="seen" value="(\d+)"', page)
    assert seen is not None
    counted = {"batch": "1", "good": "12", "seen": seen[1]}
    assert client.post(f"/runs/{run}/count", data=counted).status_code == 303
    other = client.post(f"/runs/{run}/count", data=counted)
    assert other.status_code == 409
    assert "counted in another window" in other.text
    assert 'value="12"' in other.text  # still there, to be counted once it was looked at
    assert "12 of 40 good" in other.text
    assert [each.sheets for each in bench.runs.tallies(run)] == [12]
    newer = re.search(r'name="seen" value="(\d+)"', other.text)
    assert newer is not None
    assert client.post(f"/runs/{run}/count", data={**counted, "seen": newer[1]}).status_code == 303


def test_a_run_of_the_command_line_says_where_its_papers_are_written(
    client: TestClient, bench: Bench
) -> None:
    run = bench.runs.list()[0].id
    assert "tackside run picklist fair.toml" in client.get(f"/runs/{run}").text
    answer = client.post(f"/runs/{run}/papers", data={})
    assert answer.status_code == 404
    assert "saved from the command line" in answer.text


def a_card(bench: Bench) -> str:
    """A card made in the workbench, its words from a list, kept."""
    text = CardText(panel="front", text="For {name}", size_pt=24)
    parts = CardParts(stock=SATIN.name, printer=TERN.name, background="#336699", texts=(text,))
    bench.cards.add(kept_card("Guests", parts, ()))
    return "Guests"


BY_DESIGN = {
    **{name: value for name, value in TYPED.items() if not name.startswith("card-")},
    "card-1-name": "Guests", "card-1-design": "Guests", "card-1-label": "{name}",
}  # fmt: skip


def test_a_card_made_here_is_planned_by_its_own_ink_and_list(
    client: TestClient, bench: Bench, tmp_path: Path
) -> None:
    a_card(bench)
    begun = client.get("/plan/run?card=Guests").text
    assert '<option value="Guests" selected>' in begun
    assert f'<option value="{TERN.name}" selected>' in begun  # the price of its ink is asked for
    assert client.get("/plan/run?card=Nobody").status_code == 404
    names = ("card-1-file", ("guests.csv", b"name\nRuth\nOmar\nLi\n", "text/csv"))
    answer = client.post("/plan/run", data={**BY_DESIGN, "do": "plan"}, files=[names])
    assert answer.status_code == 303
    job = planned_job(bench, tmp_path / "job")
    page = client.get(answer.headers["location"]).text
    assert "<dd>3</dd>" in page
    assert "guests.csv" in page
    ink = job["plan"]["batches"][0]["cards"][0]["ink_ml"]
    assert 0.05 < ink < 1  # 180 × 120 mm of one colour take some, and less than 20 ml/m² on one face
    token = token_in(page)
    kept = client.post(f"{answer.headers['location']}/keep", data={"csrf": token})
    assert kept.status_code == 303
    bench.jobs.claim("a test")
    (tmp_path / "papers").mkdir()
    run = bench.runs.list()[-1]
    assert run.batches[0].tones_m2[0] is not None
    made = run_plan.write_papers(Task(bench, {"run": run.id}, tmp_path / "papers", lambda share, said: None))
    assert made["labels"] == 3
    assert "Omar" in text_of(bench.file(made["files"]["labels.pdf"]).read_bytes())


def test_a_list_that_is_none_fails_in_the_command_lines_words_and_the_form_comes_back(
    client: TestClient, bench: Bench, tmp_path: Path
) -> None:
    a_card(bench)
    names = ("card-1-file", ("guests.csv", b"street\nQuay 1\n", "text/csv"))
    answer = client.post("/plan/run", data={**BY_DESIGN, "do": "plan"}, files=[names])
    job = bench.jobs.claim("a test")
    assert job is not None
    (tmp_path / "job").mkdir()
    with pytest.raises(TacksideError) as refused:
        run_plan.plan(Task(bench, job.asked, tmp_path / "job", lambda share, said: None))
    assert "guests.csv" in str(refused.value)
    assert str(tmp_path) not in str(refused.value)
    bench.jobs.fail(job.id, refused.value.message, refused.value.place)
    page = client.get(answer.headers["location"])
    assert page.status_code == 422
    assert refused.value.what.split('"')[0][:30] in html.unescape(page.text)
    assert 'value="Harbour fair"' in page.text


def planned_job(bench: Bench, folder: Path) -> dict[str, Any]:
    return next_done(bench, folder, run_plan.plan)


@pytest.mark.browser
@pytest.mark.slow
def test_a_run_is_planned_kept_and_counted_in_the_browser(tmp_path: Path, chromium: Any) -> None:
    bench = furnish(tmp_path / "bench")
    a_card(bench)
    (tmp_path / "guests.csv").write_text("name\nRuth\nOmar\nLi\n")
    with serving(create_app(bench.folder, Options())) as address:
        context = chromium.new_context(
            locale="en-GB", accept_downloads=True, viewport={"width": 1280, "height": 900}
        )
        page = context.new_page()
        said: list[str] = []
        page.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
        page.on("pageerror", lambda error: said.append(str(error)))
        page.goto(f"{address}/runs")
        page.click("a:has-text('Plan a run')")
        page.fill("#name", "Spring fair")
        page.fill("#currency", "GBP")
        page.fill("#card-1-name", "Guests")
        page.select_option("#card-1-design", "Guests")
        page.click("details.further summary")
        page.set_input_files("#card-1-file", tmp_path / "guests.csv")
        page.fill("#card-1-label", "{name}")
        page.click(".actions button:has-text('Calculate')")
        # Prices are asked for where they are missing, beside their fields; the list that came is kept.
        page.wait_for_selector("#faults")
        assert "pack price" in page.inner_text("#pack-1-price-fault")
        page.fill("#pack-1-count", "25")
        page.fill("#pack-1-price", "14.50")
        page.fill("#ink-1-ml", "112")
        page.fill("#ink-1-price", "128.00")
        said.clear()  # the browser notes the refusal itself
        page.click(".actions button:has-text('Calculate')")
        page.wait_for_selector("h2:has-text('What to buy')", timeout=60_000)
        assert "A card costs" in page.inner_text(".lead")
        open_to_everyone(page, "run-plan")
        page.click("button:has-text('Save this run')")
        page.wait_for_selector("a:has-text('Pick list')", timeout=60_000)
        for name, words in (
            ("Pick list", "Spring fair"),
            ("Labels", "Omar"),
            ("Instruction cards", SATIN.name),
        ):
            with page.expect_download() as waiting:
                page.click(f"a:has-text('{name}')")
            assert words in text_of(Path(waiting.value.path()).read_bytes())
        other = context.new_page()
        other.goto(f"{address}/plan/run")
        assert other.is_hidden("[data-draft-offer]")  # what is kept is begun no more
        other.goto(page.url)
        for each in (page, other):
            each.fill("#good-1", "2")
            each.click("button:has-text('Count')")
            each.wait_for_load_state()
        assert "counted in another window" in other.inner_text("[role=alert]")
        assert other.input_value("#good-1") == "2"
        assert "2 of 3 good, 1 left" in other.inner_text(".batches")
        other.close()
        open_to_everyone(page, "run-kept")
        # A download is no navigation after all, and the browser says so of the transition it had begun.
        assert [each for each in said if not each.startswith("Transition was skipped")] == []
        context.close()


def text_of(pdf: bytes) -> str:
    document = pypdfium2.PdfDocument(io.BytesIO(pdf))
    return "\n".join(page.get_textpage().get_text_range() for page in document)


@pytest.mark.browser
def test_a_run_that_was_begun_and_left_is_offered_again(tmp_path: Path, chromium: Any) -> None:
    bench = furnish(tmp_path / "bench")
    with serving(create_app(bench.folder, Options(keep_jobs=False))) as address:
        page = chromium.new_context(locale="en-GB").new_page()
        page.goto(f"{address}/plan/run")
        assert page.is_hidden("[data-draft-offer]")
        page.fill("#name", "Spring fair")
        page.fill("#card-1-name", "Boats")
        page.click("button:has-text('Another design')")
        page.fill("#card-2-name", "Gulls")
        page.select_option("#card-2-stock", SATIN.name)
        page.goto(f"{address}/stocks")  # left by accident
        page.goto(f"{address}/plan/run")
        assert page.input_value("#name") == ""
        page.click("button:has-text('Go on with it')")
        page.wait_for_selector("#card-2-name")
        assert page.input_value("#name") == "Spring fair"
        assert page.input_value("#card-1-name") == "Boats"
        assert page.input_value("#card-2-name") == "Gulls"
        assert page.input_value("#card-2-stock") == SATIN.name
        page.goto(f"{address}/plan/run")
        page.click("button:has-text('Forget it')")
        assert page.is_hidden("[data-draft-offer]")
        page.goto(f"{address}/plan/run")
        assert page.is_hidden("[data-draft-offer]")


def test_in_german_a_plan_holds_no_english(client: TestClient) -> None:
    kept = {name: value for name, value in TYPED.items() if name not in ("profit", "retail_factor", "rate")}
    answer = client.post("/plan/run", data={**kept, "do": "plan"}, headers={"accept-language": "de"})
    assert answer.status_code == 200
    page = html.unescape(answer.text)
    assert '<html lang="de"' in page
    assert page.count('lang="en"') == 0
    for said in (
        "Annahmen",
        "Der Einzelhandelspreis ist das Doppelte des Großhandelspreises, wie in der Branche üblich; "
        "geben Sie Ihren eigenen Faktor an.",
        "20 % Gewinn auf die Kosten sind angenommen; geben Sie Ihren eigenen an.",
        f"{SATIN.name} auf {TERN.name}: Ausschuss nach Ihrer Angabe; Einrichtebogen nach Ihrer Angabe.",
        "Tinte: ein Zehntel teurer",
        "falzen, kuvertieren und einhüllen",
        "Gewinnschwelle",
    ):
        assert said in page, said
    assert re.search(r"Eine Karte kostet \d+,\d\d\u00a0£", page)


def test_in_german_faults_are_told_in_the_forms_own_words(client: TestClient) -> None:
    wrong = {**TYPED, "label_columns": "9", "card-2-name": "Boats", "do": "plan"}
    page = client.post("/plan/run", data=wrong, headers={"accept-language": "de"}).text
    for field, words in (
        ("card-2-name", "zwei Karten heißen Boats; geben Sie jeder einen eigenen Namen"),
        ("label_columns", "die Etiketten brauchen 630 mm Breite, die Seite hat 210 mm"),
    ):
        found = re.search(rf'id="{field}-fault">.*?</p>', page, re.DOTALL)
        assert found is not None
        assert words in html.unescape(found[0])
        assert 'lang="en"' not in found[0]


def test_a_plan_that_an_earlier_version_kept_is_shown_with_its_own_sentences(
    client: TestClient, bench: Bench
) -> None:
    """Assumptions, steps and questions were sentences then; they stay, and are marked as English."""
    old = bench.runs.list()[0]
    plan = {
        **old.plan,
        "assumptions": ["Working time is not counted."],
        "what_if": [{"what": "stock a tenth dearer", "unit_cost": "1.20", "more": "0.10"}],
    }
    run = bench.runs.add(old.model_copy(update={"id": None, "plan": plan}))
    page = client.get(f"/runs/{run.id}", headers={"accept-language": "de"}).text
    assert '<p lang="en">Working time is not counted.</p>' in page
    assert '<th scope="row" lang="en">stock a tenth dearer</th>' in page
