"""Card to PDF as a person makes it: a picture dropped and dragged, words written in place, the file measured."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import numpy as np
import pypdfium2 as pdfium
import pytest

from tackside.web.app import create_app
from tackside.web.workbench import Options
from tests.web.at_work import until
from tests.web.card_bench import GREEN, RED, write_picture
from tests.web.test_choose import open_to_everyone
from tests.web.workshop import SATIN, furnish, serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
MM = 25.4 / 72
SHOWN = "[data-told]"
SETTLED = "() => document.querySelector('form[data-card]').desk.isSettled"
AT_WORK = "() => document.querySelector('form[data-card]')?.desk"  # the page's script listens


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    bench = furnish(tmp_path_factory.mktemp("cards") / "bench")
    with serving(create_app(bench.folder, Options())) as address:
        yield address


@pytest.fixture
def page(site: str, chromium: Any) -> Iterator[Any]:
    context = chromium.new_context(
        locale="en-GB", viewport={"width": 1280, "height": 900}, accept_downloads=True
    )
    made = context.new_page()
    said: list[str] = []
    made.on(
        "console", lambda message: said.append(message.text) if message.type in ("error", "warning") else None
    )
    made.on("pageerror", lambda error: said.append(str(error)))
    yield made
    assert said == []
    context.close()


def begin(page: Any, site: str, name: str, picture: Path) -> None:
    page.goto(f"{site}/make/card")
    page.fill("#name", name)
    page.select_option("#stock", SATIN.name)
    page.set_input_files("#file", picture)
    page.click("text=Lay it out")
    page.wait_for_selector("#handle-p0", timeout=120_000)
    until(page, AT_WORK)


def settle(page: Any, act: Any) -> None:
    """Do something, and wait until the server has drawn it."""
    with page.expect_response("**/check", timeout=20_000):
        act()
    until(page, SETTLED)


def place_of(page: Any, key: str) -> list[float]:
    """Left, top and width of a part in mm, as the form holds them."""
    return [float(page.input_value(f"#{key}_{name}")) for name in ("x", "y", "w")]


def drag(page: Any, key: str, dx: float, dy: float) -> None:
    """Drag a part by so many mm of the sheet."""
    box = page.locator(f"#handle-{key}").bounding_box()
    scale = page.evaluate(f"document.getElementById('handle-{key}').getScreenCTM().a")
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + dx * scale / 2, y + dy * scale / 2, steps=4)
    page.mouse.move(x + dx * scale, y + dy * scale, steps=4)


def test_card_to_pdf(page: Any, site: str, tmp_path: Path) -> None:
    begin(page, site, "Regatta", write_picture(tmp_path))
    page.click("#handle-p0")
    settle(page, lambda: page.click("[data-bar] >> text=All of it"))
    # 3 : 2 on a front of 90 × 120 mm: 90 mm wide and 60 mm high, in the middle. Smaller by keys, then dragged so far up
    # that the borders at the left, the top and the right are all but alike: they catch.
    page.focus("#handle-p0")
    for _ in range(10):
        settle(page, lambda: page.keyboard.press("-"))
    x, y, w = place_of(page, "p0")
    assert w == pytest.approx(90 * 0.98**10, abs=0.05)
    assert (x, y) == pytest.approx(((90 - w) / 2, (120 - w / 1.5) / 2), abs=0.05)
    drag(page, "p0", 0.7, x - y + 0.6)
    said = page.inner_text(SHOWN)
    assert "equal borders" in said
    assert "in the middle across" in said
    assert page.locator("[data-guides] path").count() >= 2
    folded = "document.querySelector('.cover .out use').getBoundingClientRect().height"
    assert page.evaluate(folded) > 0
    settle(page, page.mouse.up)
    left, top, width = place_of(page, "p0")
    assert (left, top, width) == pytest.approx((x, x, w), abs=0.02)
    settle(page, lambda: page.keyboard.press("Shift+ArrowDown"))
    settle(page, lambda: page.keyboard.press("Shift+ArrowUp"))
    settle(page, lambda: page.keyboard.press("ArrowDown"))
    assert place_of(page, "p0")[1] == pytest.approx(top + 1, abs=0.002)
    settle(page, lambda: page.keyboard.press("Control+z"))
    assert place_of(page, "p0")[1] == pytest.approx(top, abs=0.002)

    page.keyboard.press("Escape")
    page.select_option("[data-to-panel]", "inside-right")
    settle(page, lambda: page.click("[data-do=words]"))
    page.wait_for_selector("textarea.in-place")
    settle(page, lambda: page.keyboard.insert_text("Fair winds"))
    page.keyboard.press("Escape")
    drag(page, "t0", 0.5, -30)
    assert "in the middle across" in page.inner_text(SHOWN)
    settle(page, page.mouse.up)
    at = page.evaluate("JSON.parse(document.getElementById('handle-t0').dataset.model).whole")

    page.click("text=Make the files >> nth=0")
    page.wait_for_selector(".made", timeout=120_000)
    with page.expect_download() as started:
        page.click("text=Download the PDF")
    file = tmp_path / "regatta.pdf"
    started.value.save_as(file)
    assert started.value.suggested_filename == "regatta.pdf"
    outside, inside = _pages(file)
    _picture_lies_at(outside, 90 + left, top, width, width / 1.5)
    _words_stand_at(inside, "Fair winds", at)


def test_an_answer_under_way_undoes_nothing(page: Any, site: str, tmp_path: Path) -> None:
    begin(page, site, "Headwind", write_picture(tmp_path))
    page.click("#handle-p0")
    settle(page, lambda: page.click("[data-bar] >> text=All of it"))
    page.focus("#handle-p0")
    page.evaluate(
        """() => {
            const asked = window.fetch, doors = [];
            window.waits = 0;
            window.open_up = () => { while (doors.length) doors.shift()(); };
            window.fetch = async (...all) => {
                const answer = await asked(...all);
                await new Promise((done) => { doors.push(done); window.waits++; });
                return answer;
            };
        }"""
    )
    page.keyboard.press("-")
    until(page, "() => window.waits === 1")
    # The second press comes while the answer to the first is under way, the third before the second is asked about.
    page.evaluate(
        """() => {
            const press = () => document.getElementById("handle-p0").dispatchEvent(
                new KeyboardEvent("keydown", { key: "-", bubbles: true }));
            press();
            window.open_up();
            return new Promise((done) => setTimeout(() => { press(); done(); }, 50));
        }"""
    )
    until(page, "() => window.waits === 2")
    page.evaluate("window.open_up()")
    until(page, SETTLED)
    assert place_of(page, "p0")[2] == pytest.approx(90 * 0.98**3, abs=0.05)


def _pages(file: Path) -> tuple[Any, Any]:
    document = pdfium.PdfDocument(file)
    assert len(document) == 2
    for each in document:
        width, height = each.get_size()
        assert (width * MM, height * MM) == pytest.approx(SATIN.open_size_mm, abs=0.02)
    return document[0], document[1]


def _picture_lies_at(sheet: Any, x: float, y: float, w: float, h: float) -> None:
    """The front's picture, in mm on the sheet, by the colours that pdfium draws: red and green above."""
    ppmm = 10
    pixels = sheet.render(scale=ppmm * MM).to_numpy()[:, :, 2::-1].astype(int)
    inked = np.argwhere((pixels < 245).any(axis=2)) / ppmm
    (top, left), (bottom, right) = inked.min(axis=0), inked.max(axis=0) + 1 / ppmm
    assert (left, top, right, bottom) == pytest.approx((x, y, x + w, y + h), abs=0.15)
    for share, colour in ((0.25, RED), (0.75, GREEN)):
        found = pixels[int((y + h / 4) * ppmm), int((x + share * w) * ppmm)]
        assert np.abs(found - colour).max() < 12


def _words_stand_at(sheet: Any, words: str, at: list[float]) -> None:
    """On the inside's right page, which begins at the crease, 90 mm from the left; x and width of its line."""
    text = sheet.get_textpage()
    assert words in text.get_text_bounded()
    boxes = [text.get_charbox(n) for n in range(text.count_chars())]
    height = sheet.get_size()[1]
    left, right = min(box[0] for box in boxes) * MM, max(box[2] for box in boxes) * MM
    top, bottom = (height - max(box[3] for box in boxes)) * MM, (height - min(box[1] for box in boxes)) * MM
    x, y, w, h = at
    assert (left, right) == pytest.approx((90 + x, 90 + x + w), abs=0.6)  # side bearings
    assert y <= top < bottom <= y + h
    assert (left + right) / 2 == pytest.approx(135, abs=0.3)  # in the middle of the page


def test_the_wheel_zooms_the_chosen_picture_and_the_safe_zone_catches(
    page: Any, site: str, tmp_path: Path
) -> None:
    begin(page, site, "Gulls", write_picture(tmp_path))
    page.click("#handle-p0")
    settle(page, lambda: page.click("[data-bar] >> text=All of it"))
    box = page.locator("#handle-p0").bounding_box()
    page.mouse.move(box["x"] + box["width"] / 2, box["y"] + box["height"] / 2)
    settle(page, lambda: page.mouse.wheel(0, 60))
    x, _y, w = place_of(page, "p0")
    # A sixtieth less on each side of 90 mm is within reach of the safe zone, 3 mm in (docs/sources.md, S18).
    assert (x, w) == pytest.approx((3, 84), abs=0.1)
    assert "on the safe zone" in page.inner_text(SHOWN)


def test_a_picture_dropped_on_a_panel_goes_there_and_warnings_stand_by_it(
    page: Any, site: str, tmp_path: Path
) -> None:
    begin(page, site, "Terns", write_picture(tmp_path))
    other = write_picture(tmp_path, "second.png", turned=True)
    drop = """([bytes]) => {
      const file = new File([new Uint8Array(bytes)], "second.png", { type: "image/png" });
      const data = new DataTransfer();
      data.items.add(file);
      const { x, y, width, height } = document.querySelector('[data-panel="back"]').getBoundingClientRect();
      const at = { clientX: x + width / 2, clientY: y + height / 2, bubbles: true, cancelable: true };
      document.querySelector("[data-workplace]").dispatchEvent(new DragEvent("drop", { ...at, dataTransfer: data }));
    }"""
    page.evaluate(drop, [list(other.read_bytes())])
    page.wait_for_selector("#handle-p1", timeout=120_000)
    assert page.input_value("#p1_panel") == "back"
    remarks = page.inner_text("[data-remarks=p1]")
    assert "second.png" in remarks
    assert "pixels an inch on the back panel" in remarks
    assert "second.png" not in page.inner_text("[data-remarks=p0]")
    page.keyboard.press("Control+s")
    page.wait_for_url("**kept=2")


def test_wrong_numbers_are_told_beside_the_field_while_typing(page: Any, site: str) -> None:
    page.goto(f"{site}/cards/Boats")
    until(page, AT_WORK)
    page.click("[data-fields=p0] summary")
    settle(page, lambda: page.fill("#p0_border", "wide"))
    said = page.inner_text("[data-said-now]")
    assert said.startswith("Border: “wide”")  # by the field's label, never by its key in a file
    assert "border_mm" not in said
    assert page.get_attribute("#p0_border", "aria-invalid") == "true"
    settle(page, lambda: page.fill("#p0_border", "8"))
    assert page.locator("[data-said-now]").count() == 0
    page.evaluate("document.querySelector('form[data-card]').desk.isChanged = false")


def test_the_folded_card_opens_and_turns_over(page: Any, site: str) -> None:
    page.goto(f"{site}/cards/Boats")
    for name in ("inside", "back", "front"):
        page.click(f"[data-see={name}]")
        assert page.get_attribute("[data-standing]", "data-seen") == name
    page.click("[data-tab=inside]")
    assert page.get_attribute("[data-standing]", "data-seen") == "inside"
    assert page.is_visible("#handle-t0")
    assert page.is_hidden("#handle-p0")


def test_everything_on_the_card_is_reached_by_keyboard(page: Any, site: str) -> None:
    page.goto(f"{site}/cards/Boats")
    until(page, AT_WORK)
    page.focus("[data-tab=outside]")
    reached = []
    for _ in range(14):
        page.keyboard.press("Tab")
        reached.append(page.evaluate("document.activeElement.id || document.activeElement.textContent"))
    assert "handle-p0" in reached
    page.focus("#handle-p0")
    assert page.is_visible("[data-for=picture]")
    page.keyboard.press("Escape")
    page.click("[data-tab=inside]")
    page.focus("#handle-t0")
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.className").startswith("in-place")


@pytest.mark.parametrize("name", ["front", "inside"])
def test_the_card_at_work_is_open_to_everyone(page: Any, site: str, name: str) -> None:
    page.goto(f"{site}/cards/Boats")
    until(page, AT_WORK)
    if name == "inside":
        page.click("[data-tab=inside]")
        page.focus("#handle-t0")
    else:
        page.focus("#handle-p0")
    open_to_everyone(page, f"card-{name}")


def test_a_card_is_laid_out_without_scripts(site: str, chromium: Any) -> None:
    context = chromium.new_context(java_script_enabled=False, locale="en-GB")
    page = context.new_page()
    page.goto(f"{site}/cards/Boats")
    assert page.locator(".held svg").count() == 3
    page.click("[data-fields=p0] summary")
    page.select_option("#p0_lay", "placed")
    for name, mm in (("x", "6"), ("y", "7.5"), ("w", "78")):
        page.fill(f"#p0_{name}", mm)
    page.click("[data-keep]")
    assert "kept=3" in page.url
    assert page.input_value("#p0_y") == "7.5"
    assert 'x="6.000" y="7.500" width="78.000"' in page.content()
    context.close()
