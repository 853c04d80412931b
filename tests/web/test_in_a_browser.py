"""Every page as a person opens it: nothing spills, nothing is fetched from elsewhere, nothing shuts anyone out.

Half of them in each run are looked at in both languages, on a phone and on a desk; screenshots at three widths are kept
as artefacts (``shots.py``), and one in the dark. One browser and one server do for all of them.
"""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

import pytest

from tackside.bench.store import Bench
from tackside.web.app import create_app
from tackside.web.routes.prints import scanning
from tackside.web.workbench import Options
from tackside.workflow.standing.withdraw import withdraw_trial
from tests.extent import share
from tests.web.at_work import add_art
from tests.web.axe import SPILL, faults_in, findings
from tests.web.pages import PAGES, paths
from tests.web.shots import WIDTHS, shoot
from tests.web.workshop import CRAFT, add_reading, add_trial, furnish, serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
# The largest contentful paint would need frames; the first paint does for the first page.
PAINT = "performance.getEntriesByName('first-contentful-paint')[0]?.startTime"
PHONE, DESK = 390, 1280
LANGUAGES = {"en": "en-GB", "de": "de-DE"}
# In the dark only the colours differ, and these pages have all of them.
DARK = (
    "home",
    "stock-form",
    "trials",
    "trial",
    "test-fit",
    "print",
    "compare",
    "run",
    "jobs",
    "choice",
    "live-proof",
    "picture",
    "profile",
    "gamut",
)
# What stands on a bench with nothing on it, and the door of one that is shut.
BARE = {
    "bare-home": "/", "bare-stocks": "/stocks", "bare-trials": "/trials", "bare-compare": "/compare",
    "bare-report": "/report", "bare-choose": "/choose", "bare-pictures": "/pictures", "bare-cards": "/cards",
    "bare-card-begin": "/make/card", "bare-test": "/test", "bare-jobs": "/jobs",
}  # fmt: skip
SHUT, KEYED = {"enter": "/enter"}, {"key": "/enter"}
# Whatever the keyboard gets to must not lie behind the bar (WCAG 2.2, 2.4.11); of what is long, its beginning counts.
HIDDEN = """() => {
    const bar = document.querySelector(".places"), hidden = [];
    const under = bar ? bar.getBoundingClientRect().top : innerHeight;
    const stops = ["a[href]", "button", "input", "select", "textarea", "summary"].map(each => `main ${each}`);
    for (const each of document.querySelectorAll(stops.join())) {
        each.focus();
        if (document.activeElement !== each || each.classList.contains("unseen")) continue;
        const box = each.getBoundingClientRect();
        const isLong = each.matches("textarea") || box.height > under;
        if (box.top > under - 8 || (!isLong && box.bottom > under + 1)) hidden.push(each.outerHTML.slice(0, 120));
    }
    return hidden;
}"""
# A field's label stands on top of it, but for boxes to tick, sliders, and the one line of tools over a card.
BESIDE = """() => [...document.querySelectorAll("main label[for]")].filter(label => {
    const field = document.getElementById(label.htmlFor);
    const stands = ["checkbox", "radio", "range", "file"].includes(field?.type) || label.closest(".bar");
    if (stands || !field?.checkVisibility() || !label.checkVisibility()) return false;
    return label.getBoundingClientRect().bottom > field.getBoundingClientRect().top + 1;
}).map(label => label.outerHTML.slice(0, 120))"""


@dataclass(frozen=True)
class Site:
    """Where each page is, by its name."""

    address: str
    addresses: dict[str, str]


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Site]:
    folder = tmp_path_factory.mktemp("site")
    bench = furnish(folder / "bench")
    known = {**add_art(bench), "withdrawn": withdrawn_trial(bench)}
    quiet = Options(keep_jobs=False)
    shut = Options(keep_jobs=False, password="a few plain words")
    with (
        pytest.MonkeyPatch.context() as patch,
        serving(create_app(bench.folder, quiet)) as address,
        serving(create_app(folder / "bare", quiet)) as bare,
        serving(create_app(folder / "shut", shut)) as door,
        serving(create_app(folder / "keyed", Options(keep_jobs=False, key="k" * 43))) as keyed,
    ):
        patch.setattr(scanning, "LISTEN_SECONDS", 0.3)  # no scanner is there, however long it is listened
        yield Site(
            address,
            {
                **{name: address + path for name, path in paths(bench, known).items()},
                **{name: bare + path for name, path in BARE.items()},
                **{name: door + path for name, path in SHUT.items()},
                **{name: keyed + path for name, path in KEYED.items()},
            },
        )


def withdrawn_trial(bench: Bench) -> str:
    trial = add_trial(bench, CRAFT)
    add_reading(bench, trial, 31.0)
    return withdraw_trial(bench, trial.id, why="smudged").trial


@pytest.fixture(scope="module")
def context(chromium: Any) -> Iterator[Any]:
    made = chromium.new_context(locale="en-GB", viewport={"width": 1440, "height": 900})
    yield made
    made.close()


@pytest.fixture(scope="module")
def readers(chromium: Any) -> Iterator[dict[str, Any]]:
    """A page for each language, used for all addresses one after the other."""
    contexts = {name: chromium.new_context(locale=locale) for name, locale in LANGUAGES.items()}
    yield {name: each.new_page() for name, each in contexts.items()}
    for each in contexts.values():
        each.close()


@pytest.mark.parametrize("name", share([*PAGES, *BARE, *SHUT, *KEYED], 3))
def test_a_page_is_whole_at_every_width_and_open_to_everyone(
    site: Site, readers: dict[str, Any], name: str
) -> None:
    address = site.addresses[name]
    for language, page in readers.items():
        page.emulate_media(color_scheme="light")
        page.set_viewport_size({"width": DESK, "height": 900})
        with watched(page) as (said, fetched):
            page.goto(address, wait_until="networkidle" if language == "en" else "load")
            if name == "not-found":
                said.clear()  # the browser notes the 404 itself
            look_at(page, name, language)
        assert said == []
        own = ("/".join(address.split("/")[:3]), "blob:")
        assert [each for each in fetched if not each.startswith(own)] == []


@contextmanager
def watched(page: Any) -> Iterator[tuple[list[str], list[str]]]:
    """What a page complains of, and what it fetches, while it is looked at."""
    said: list[str] = []
    fetched: list[str] = []
    listeners = {
        "console": lambda message: said.append(message.text) if message.type == "error" else None,
        "pageerror": lambda error: said.append(str(error)),
        "request": lambda request: fetched.append(request.url),
    }
    for event, listener in listeners.items():
        page.on(event, listener)
    yield said, fetched
    for event, listener in listeners.items():
        page.remove_listener(event, listener)


def look_at(page: Any, name: str, language: str) -> None:
    """On a desk and on a phone: what axe finds, what spills, what is hidden; then what each looks like."""
    # Colours are the same in each language, and contrast is what takes longest; four hundred rows have the colours of
    # every other table, where it is measured.
    without = ("color-contrast",) if language != "en" or name == "trial-patches" else ()
    for width in (DESK, PHONE):
        page.set_viewport_size({"width": width, "height": 900})
        if language == "en" or width == PHONE:  # on a desk other words leave all that axe looks for as it is
            assert findings(page, without=without) == [], (language, width)
        assert page.evaluate(SPILL) <= 0, f"{name} spills at {width} px in {language}"
    assert page.evaluate(BESIDE) == [], language
    assert page.evaluate(HIDDEN) == [], language
    if language != "en":
        return
    page.evaluate("document.activeElement.blur(); scrollTo(0, 0)")
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate(SPILL) <= 0, f"{name} spills at {width} px"
        shoot(page, name, width, "light")
    if name in DARK:
        page.emulate_media(color_scheme="dark")
        assert faults_in(page, "dark") == [], "dark"
        shoot(page, name, WIDTHS[-1], "dark")


def test_the_menu_of_a_phone_shows_where_one_is_and_opens_its_groups(
    site: Site, readers: dict[str, Any]
) -> None:
    page = readers["en"]
    page.set_viewport_size({"width": PHONE, "height": 844})
    page.goto(site.addresses["compare-pick"])
    tab = page.locator(".places .tab[aria-current]")
    assert tab.inner_text().split("·")[0].strip() == "Compare"
    page.get_by_role("button", name="Make").click()
    assert page.get_by_role("link", name="Runs").is_visible()
    assert findings(page) == []
    page.keyboard.press("Escape")
    assert not page.get_by_role("link", name="Runs").is_visible()
    page.get_by_role("button", name="Studio").press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent.trim()") == "Stocks"
    page.keyboard.press("Enter")
    page.wait_for_url("**/stocks")


def test_the_first_page_is_painted_within_a_second_and_scripts_stay_small(site: Site, context: Any) -> None:
    page = context.new_page()
    sizes: dict[str, int] = {}
    page.on("response", lambda r: sizes.update({r.url: len(r.body())}) if r.url.endswith(".js") else None)
    page.goto(site.address, wait_until="networkidle")
    page.goto(site.address, wait_until="networkidle")  # the first visit also starts the server's own caches
    assert page.evaluate(PAINT) < 1000
    page.goto(site.addresses["trial"], wait_until="networkidle")
    page.goto(site.addresses["compare"], wait_until="networkidle")
    assert 0 < sum(sizes.values()) < 300_000
    page.close()


def test_everything_is_reached_by_keyboard(site: Site, context: Any) -> None:
    page = context.new_page()
    page.goto(site.address, wait_until="networkidle")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    reached = set()
    for _step in range(25):
        page.keyboard.press("Tab")
        reached.add(page.evaluate("document.activeElement.getAttribute('href')"))
    assert {"/", "/stocks", "/trials", "/test", "/report"} <= reached
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
    assert outline != "none"
    page.close()


def test_a_page_works_with_scripts_off(site: Site, chromium: Any) -> None:
    context = chromium.new_context(java_script_enabled=False, locale="en-GB")
    page = context.new_page()
    page.goto(f"{site.address}/describe/stock")
    page.fill("#name", "Gannet Smooth 280")
    page.fill("#width", "148")
    page.fill("#height", "210")
    page.select_option("#folds", "flat")
    page.click("button.first")
    assert page.url == f"{site.address}/stocks/Gannet%20Smooth%20280?kept=1"
    page.goto(f"{site.addresses['trial']}?show=black")
    assert "Black reaches" in page.content()
    context.close()


def test_two_prints_are_laid_over_each_other_at_one_scale(site: Site, context: Any) -> None:
    page = context.new_page()
    page.set_viewport_size({"width": 1440, "height": 1000})
    page.goto(site.addresses["compare"], wait_until="networkidle")
    pane = page.locator("[data-compare] svg.scan")
    left = "document.querySelector('[data-clip=left]').getBBox().width"
    half = page.evaluate(left)
    page.fill("#split", "25")
    assert page.evaluate(left) == pytest.approx(half / 2, rel=0.02)
    # Marks of two sheets fall on each other: both layers put a sheet's millimetre at the same place.
    scales = page.evaluate(
        "[...document.querySelectorAll('[data-layer]')].map(g => Math.hypot(...g.getAttribute('transform')"
        ".match(/-?[\\d.]+(e-?\\d+)?/g).slice(0, 2).map(Number)))"
    )
    assert scales == pytest.approx([25.4 / 300] * 4, rel=0.005)
    pane.focus()
    for _ in range(9):
        page.keyboard.press("+")
    page.wait_for_selector("[data-layer='left-0'] .tiles image")
    assert page.locator("[data-layer='right-1'] .tiles image").count() > 0
    page.click("[data-do=beside]")
    assert "translate(0 0)" not in (page.get_attribute("[data-shift=right]", "transform") or "")
    page.select_option("#right", "0")
    assert page.locator("[data-layer='right-0']").get_attribute("display") is None
    page.close()
