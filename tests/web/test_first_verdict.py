"""From an empty bench to a first verdict, and on to a print-ready PDF: few clicks, little time, or no mouse at all."""

from __future__ import annotations

import re
from pathlib import Path
from typing import Any

import pikepdf
import pytest

from tackside.bench.store import Bench
from tackside.web.app import create_app
from tackside.web.workbench import Options
from tests.extent import share
from tests.web.card_bench import write_picture
from tests.web.person import Person
from tests.web.workshop import laid_on_glass, serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
PATIENCE = 120_000  # ms: the machine that tests may be busy
# Our own limits: what somebody with a pack of unknown card puts up with.
MOST_CLICKS, MOST_SECONDS, MOST_CLICKS_TO_A_PDF = 12, 180, 8


@pytest.mark.parametrize("hand", share(["mouse", "keyboard"], 2))
def test_a_first_verdict_and_a_card_of_it(chromium: Any, tmp_path: Path, hand: str) -> None:
    folder = tmp_path / "bench"
    context = chromium.new_context(
        locale="en-GB", accept_downloads=True, viewport={"width": 1280, "height": 900}
    )
    page = context.new_page()
    page.set_default_timeout(PATIENCE)
    with serving(create_app(folder, Options())) as address:
        page.goto(address)
        person = Person(page, has_mouse=hand == "mouse")
        describe_what_is_there(person)
        sheet = person.save("a:has-text('Download the TIFF')", tmp_path)
        trial = Bench.open(folder).trials.list()[0]
        scan = laid_on_glass(sheet, trial.sheet, tmp_path / "my scan.tif")
        person.press("a:has-text('It is printed: read it back')")
        person.give("#files", scan)
        person.press("button:has-text('Read and judge')")
        page.wait_for_url(re.compile(rf"/trials/{trial.id}$"))
        page.locator(".verdict .grade").wait_for()
        print(f"\n{hand}: a verdict after {person.clicks} clicks, {person.keys} keys, {person.seconds:.0f} s")
        if person.has_mouse:
            assert person.clicks <= MOST_CLICKS
            assert person.seconds <= MOST_SECONDS
        before = person.clicks, person.seconds
        pdf = card_of_it(person, tmp_path)
        print(f"{hand}: a PDF {person.clicks - before[0]} clicks, {person.seconds - before[1]:.0f} s later")
        if person.has_mouse:
            assert person.clicks - before[0] <= MOST_CLICKS_TO_A_PDF
    with pikepdf.open(pdf) as opened:
        width, height = (float(each) / 72 * 25.4 for each in opened.pages[0].trimbox[2:])
    assert (width, height) == pytest.approx((148, 105), abs=0.2)
    context.close()


def describe_what_is_there(person: Person) -> None:
    """A card and a printer in as few words as do, and their test sheet."""
    person.press("main a:has-text('Test a card')")
    person.press("text=A card that is new here")
    person.type("#name", "Gannet Smooth 280")
    person.type("#size", "148 x 105")
    person.choose("#folds", "A flat card")
    person.press("button.first")
    person.press("text=A printer that is new here")
    person.type("#name", "Tern 8")
    for field, value in (("min_w", "80"), ("min_h", "80"), ("max_w", "329"), ("max_h", "1000")):
        person.type(f"#feed0_{field}", value)
    for edge in ("top", "bottom", "left", "right"):
        person.type(f"#feed0_{edge}", "3")
    person.press("button.first")
    person.press("text=Make the test sheet")


def card_of_it(person: Person, folder: Path) -> Path:
    """A card on the stock just judged, with one picture, as a PDF."""
    person.press(".verdict a:has-text('Make a card')")
    person.give("#file", write_picture(folder))
    person.press("button:has-text('Lay it out')")
    person.press("button:has-text('Make the files')")
    return person.save("a:has-text('PDF')", folder)
