"""The page: self-contained, escaped, accessible, honest about estimates and the demo, the same for the same
input.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import UTC, datetime
from itertools import pairwise

import pytest
from lxml import html

from tackside.errors import BadRequest
from tackside.messages.message import Message
from tackside.report.pages.page import render_report
from tackside.report.pages.short import render_short
from tests.report.invented import entry, four

NASTY = '<script>alert("x")</script>'


@pytest.fixture(scope="module")
def page() -> str:
    return render_report(four(), note="Invented for a demonstration.")


@pytest.fixture(scope="module")
def tree(page: str) -> html.HtmlElement:
    return html.document_fromstring(page)


def test_nothing_comes_from_outside_and_nothing_runs(page: str, tree: html.HtmlElement) -> None:
    assert not tree.xpath("//script | //link | //iframe | //img | //object | //form")
    addresses = re.findall(r"""(?:href|src|url)\s*[=(]\s*["']?([^"')\s>]+)""", page)
    assert addresses
    assert all(each.startswith(("#", "data:font/otf;base64,")) for each in addresses)
    assert "http:" not in page.replace("http://www.w3.org", "")
    assert not re.search(r"\son\w+=", page)


def test_the_answer_comes_first(tree: html.HtmlElement) -> None:
    first = tree.xpath("//main/*[1]")[0]
    assert first.get("id") == "answer"
    lead = first.xpath(".//p[@class='lead']")[0].text_content()
    assert "Print cards for sale on Harbour Satin 300" in lead
    assert 1 <= lead.count(". ") + 1 <= 3, "three sentences at most"


def test_notices_and_sources_are_said_once() -> None:
    twice, alone = "The scanner's own blur is in all edges.", "This one was sharpened."
    entries = [
        replace(
            one,
            verdict=one.verdict.model_copy(update={"notices": (twice, *(() if number else (alone,)))}),
            reading=one.reading.model_copy(update={"notices": (twice,)}),
        )
        for number, one in enumerate(four())
    ]
    tree = html.document_fromstring(render_report(entries))
    text = tree.text_content()
    assert text.count(twice) == 1
    assert text.count(alone) == 1
    listed = [each.text_content() for each in tree.xpath("//ol[contains(@class,'sources')]/li")]
    assert len(listed) == len(set(listed)) > 0
    for link in tree.xpath("//td[@class='source']/a"):
        assert tree.xpath(f"//li[@id='{link.get('href')[1:]}']")
        assert link.text_content() == link.get("href").removeprefix("#source-")


def test_the_note_and_the_date_are_shown(tree: html.HtmlElement) -> None:
    masthead = tree.xpath("//header")[0].text_content()
    assert "Invented for a demonstration." in masthead
    assert "14 May 2026" in masthead


def test_estimates_are_called_estimates_and_explained(tree: html.HtmlElement) -> None:
    assert len(tree.xpath("//ol[contains(@class, 'places')]//span[@class='estimate']")) == 4
    assert tree.xpath("//section[@id='answer']/p[contains(@class, 'remark')]")
    assert "What an estimate is" in tree.text_content()
    measured = html.document_fromstring(render_report([entry(estimate=False)]))
    assert not measured.xpath("//span[@class='estimate']")
    assert "What an estimate is" not in measured.text_content()


def test_each_trial_shows_card_settings_and_reading(tree: html.HtmlElement) -> None:
    for article in tree.xpath("//article"):
        said = article.text_content()
        for fact in (
            "300 g/m²",
            "0.32 mm",
            "25 sheets",
            "0.58 GBP",
            "Photo satin",
            "Tern satin",
            "Flatbed 1",
            "99.91 %",
        ):
            assert fact in said


def test_headings_go_down_step_by_step_and_ids_are_unique(tree: html.HtmlElement) -> None:
    levels = [int(heading.tag[1]) for heading in tree.xpath("//h1 | //h2 | //h3 | //h4")]
    assert levels.count(1) == 1
    assert levels[0] == 1
    assert all(after - before <= 1 for before, after in pairwise(levels))
    ids = tree.xpath("//@id")
    assert len(ids) == len(set(ids))
    assert {target[1:] for target in tree.xpath("//a/@href")} <= set(ids)
    assert set(tree.xpath("//@aria-labelledby")) <= set(ids)


def test_tables_have_captions_and_headed_rows(tree: html.HtmlElement) -> None:
    for table in tree.xpath("//table"):
        assert table.xpath("./caption")
        assert all(cell.get("scope") for cell in table.xpath(".//th"))


def test_drawings_speak_or_are_silent(tree: html.HtmlElement) -> None:
    drawings = tree.xpath("//*[local-name()='svg']")
    assert drawings
    assert all(drawing.get("aria-label") or drawing.get("aria-hidden") == "true" for drawing in drawings)


def test_cautions_stand_on_the_page(tree: html.HtmlElement) -> None:
    said = tree.xpath("//section[@class='cautions']")[0].text_content()
    assert "strike the head" in said
    assert "damp fingers" in said


def test_names_from_users_are_escaped_everywhere() -> None:
    one = entry(NASTY, media=NASTY, reasons=(NASTY,))
    nasty = replace(
        one,
        reading=one.reading.model_copy(update={"device": NASTY, "source_name": NASTY, "notices": (NASTY,)}),
        stock=one.stock.model_copy(update={"name": NASTY, "notes": NASTY, "surface": NASTY}),
    )
    page = render_report([nasty, entry("Plain", trial_id="2")], title=NASTY, note=NASTY)
    assert "<script" not in page
    assert page.count("&lt;script&gt;") > 8


def test_readings_that_are_not_alike_stand_in_groups_of_their_own() -> None:
    page = render_report([entry("A", trial_id="a"), entry("B", trial_id="b", comparable_with="other")])
    tree = html.document_fromstring(page)
    assert len(tree.xpath("//ol[contains(@class, 'places')]")) == 2
    assert "not ranked together" in " ".join(tree.text_content().split())
    assert not tree.xpath("//span[@class='place']")


def test_no_two_trials_of_one_plot_look_alike() -> None:
    tree = html.document_fromstring(render_report([entry(f"S{n}", trial_id=str(n)) for n in range(8)]))
    legends = tree.xpath("//ul[@class='legend']")
    assert [len(legend.xpath("./li")) for legend in legends] == [6 + 1, 2 + 1]


def test_a_reading_without_patches_still_makes_a_page() -> None:
    one = entry()
    bare = replace(
        one, reading=one.reading.model_copy(update={"patches": (), "kind": "eye", "placement": None})
    )
    assert "Harbour Satin 300" in render_report([bare])


def test_same_entries_same_page(page: str) -> None:
    assert render_report(four(), note="Invented for a demonstration.") == page
    assert "1 June 2026" in render_report(four(), made_at=datetime(2026, 6, 1, tzinfo=UTC))


def test_no_entries_no_page() -> None:
    with pytest.raises(BadRequest) as refused:
        render_report([])
    assert refused.value.message == Message("report.no-trials")


def test_what_is_published_names_no_command_and_no_key_of_a_file() -> None:
    """A remark is told here as on any page, not as at the terminal, whether a reason, a notice or a basis."""
    one, remark = entry(), Message("run.labour-not-counted")
    assert "[labour]" in str(remark)
    doubt = one.reading.uncertainty.model_copy(update={"basis": remark})
    told = replace(
        one,
        verdict=one.verdict.model_copy(update={"reasons": (remark,), "notices": (remark,)}),
        reading=one.reading.model_copy(update={"notices": (remark,), "uncertainty": doubt}),
    )
    page = html.document_fromstring(render_report([told])).text_content()
    assert page.count("say what an hour costs to count it") >= 4
    assert "[labour]" not in page
    short = html.document_fromstring(render_short(told)).text_content()
    assert "say what an hour costs" in short
    assert "[labour]" not in short
