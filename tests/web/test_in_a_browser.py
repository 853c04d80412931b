"""Every page as a person opens it: nothing spills, nothing is fetched from elsewhere, nothing shuts anyone out.

Screenshots at three widths are kept as artefacts (``shots.py``), and one in the dark.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe

from tackside.web.app import create_app
from tackside.web.workbench import Options
from tests.web.at_work import add_art
from tests.web.pages import PAGES, paths
from tests.web.shots import WIDTHS, shoot
from tests.web.workshop import furnish, serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
SPILL = "document.documentElement.scrollWidth - document.documentElement.clientWidth"
# The largest contentful paint would need frames; the first paint does for the first page.
PAINT = "performance.getEntriesByName('first-contentful-paint')[0]?.startTime"
# WCAG 2.2 A and AA, and what axe holds to be good practice.
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
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
RUNS = {"light": {"type": "tag", "values": TAGS}, "dark": {"type": "rule", "values": ["color-contrast"]}}


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[str, dict[str, str]]]:
    bench = furnish(tmp_path_factory.mktemp("site") / "bench")
    with serving(create_app(bench.folder, Options(keep_jobs=False))) as address:
        yield address, paths(bench, add_art(bench))


@pytest.fixture(scope="module")
def context(chromium: Any) -> Iterator[Any]:
    made = chromium.new_context(locale="en-GB", viewport={"width": 1440, "height": 900})
    yield made
    made.close()


@pytest.mark.parametrize("name", PAGES)
def test_a_page_is_whole_at_every_width_and_open_to_everyone(
    site: tuple[str, dict[str, str]], context: Any, name: str
) -> None:
    address, all_paths = site
    page = context.new_page()
    said: list[str] = []
    fetched: list[str] = []
    page.on("console", lambda message: said.append(message.text) if message.type == "error" else None)
    page.on("pageerror", lambda error: said.append(str(error)))
    page.on("request", lambda request: fetched.append(request.url))
    try:
        page.goto(address + all_paths[name], wait_until="networkidle")
        if name == "not-found":
            said.clear()  # the browser notes the 404 itself
        for theme in ("light", "dark"):
            page.emulate_media(color_scheme=theme)
            if theme == "light" or name in DARK:
                assert faults_of(page, theme, name) == [], theme
            for width in WIDTHS:
                page.set_viewport_size({"width": width, "height": 900})
                if theme == "light":
                    assert page.evaluate(SPILL) <= 0, f"{name} spills at {width} px"
                if theme == "light" or width == WIDTHS[-1]:
                    shoot(page, name, width, theme)
        assert said == []
        assert [each for each in fetched if not each.startswith((address, "blob:"))] == []
    finally:
        page.close()


def faults_of(page: Any, theme: str, name: str) -> list[str]:
    """What axe finds that is moderate or worse."""
    # Four hundred rows in the colours of every other table: their contrast is measured there.
    rules = {"color-contrast": {"enabled": name != "trial-patches"}}
    found = Axe().run(page, options={"runOnly": RUNS[theme], "rules": rules})
    return [
        f"{each['id']}: {node['html'][:160]}"
        for each in found.response["violations"]
        if each["impact"] in ("serious", "critical", "moderate")
        for node in each["nodes"]
    ]


def test_the_first_page_is_painted_within_a_second_and_scripts_stay_small(
    site: tuple[str, dict[str, str]], context: Any
) -> None:
    address, all_paths = site
    page = context.new_page()
    sizes: dict[str, int] = {}
    page.on("response", lambda r: sizes.update({r.url: len(r.body())}) if r.url.endswith(".js") else None)
    page.goto(address, wait_until="networkidle")
    page.goto(address, wait_until="networkidle")  # the first visit also starts the server's own caches
    assert page.evaluate(PAINT) < 1000
    page.goto(address + all_paths["trial"], wait_until="networkidle")
    page.goto(address + all_paths["compare"], wait_until="networkidle")
    assert 0 < sum(sizes.values()) < 300_000
    page.close()


def test_everything_is_reached_by_keyboard(site: tuple[str, dict[str, str]], context: Any) -> None:
    address, _ = site
    page = context.new_page()
    page.goto(address, wait_until="networkidle")
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


def test_a_page_works_with_scripts_off(site: tuple[str, dict[str, str]], chromium: Any) -> None:
    address, all_paths = site
    context = chromium.new_context(java_script_enabled=False, locale="en-GB")
    page = context.new_page()
    page.goto(f"{address}/describe/stock")
    page.fill("#name", "Gannet Smooth 280")
    page.fill("#width", "148")
    page.fill("#height", "210")
    page.select_option("#folds", "flat")
    page.click("button.first")
    assert page.url == f"{address}/stocks/Gannet%20Smooth%20280?kept=1"
    page.goto(f"{address}{all_paths['trial']}?show=black")
    assert "Black reaches" in page.content()
    context.close()


def test_two_prints_are_laid_over_each_other_at_one_scale(
    site: tuple[str, dict[str, str]], context: Any
) -> None:
    address, all_paths = site
    page = context.new_page()
    page.set_viewport_size({"width": 1440, "height": 1000})
    page.goto(address + all_paths["compare"], wait_until="networkidle")
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
