"""The pages of the documentation as a person opens them: open to everyone, whole at each width, without a script."""

from __future__ import annotations

from typing import Any

import pytest
from tools.site.build import Built, build

from tests.extent import share
from tests.web.axe import SPILL, faults_in, findings

pytestmark = pytest.mark.browser
# Tables of hundreds of rows, in the colours of every other table: contrast is measured there.
LONG = {"files.html", "json.html", "licences.html", "python.html", "sources.html", "verdict.html"}
# Pages that have all colours between them: prints, tables, commands, a file with its remarks, the interface's code.
COLOURS = {"index.html", "which-side.html", "what-to-charge.html", "instruments.html"}


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Built:
    return build(tmp_path_factory.mktemp("site"))


@pytest.mark.slow
def test_pages_are_open_to_everyone_and_spill_at_no_width(site: Built, chromium: Any) -> None:
    page = chromium.new_page(locale="en-GB")
    pages = share(list(site.pages), 4)
    assert pages
    for name in pages:
        page.emulate_media(color_scheme="light")
        page.set_viewport_size({"width": 1280, "height": 900})
        page.goto((site.folder / name).as_uri())
        assert findings(page, without=("color-contrast",) if name in LONG else ()) == [], name
        for width in (390, 1280):
            page.set_viewport_size({"width": width, "height": 844})
            assert page.evaluate(SPILL) <= 0, f"{name} spills at {width} px"
        if name not in COLOURS:
            continue
        page.emulate_media(color_scheme="dark")
        assert faults_in(page, "dark") == [], f"{name}, dark"
    page.close()


def test_on_a_phone_the_menu_opens_without_a_script(site: Built, chromium: Any) -> None:
    context = chromium.new_context(java_script_enabled=False, viewport={"width": 390, "height": 844})
    page = context.new_page()
    page.goto((site.folder / "which-side.html").as_uri())
    link = page.get_by_role("link", name="What do I charge?")
    assert not link.first.is_visible()
    page.get_by_role("button", name="All pages").click()
    assert link.first.is_visible()
    context.close()
