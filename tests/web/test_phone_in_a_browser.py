"""The phone's page and the one that opens it, in a browser: at a phone's widths and on a desk, in both languages."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import cv2
import numpy as np
import pytest
from PIL import Image

from tackside.bench.store import Bench
from tackside.web.app import create_app
from tackside.web.workbench import Options
from tests.extent import share
from tests.heic import heic
from tests.web.at_work import run_jobs
from tests.web.axe import SPILL, findings
from tests.web.phone_bench import new_and_good, on_loopback
from tests.web.phone_photo import photo_of
from tests.web.shots import shoot
from tests.web.workshop import serving

pytestmark = [pytest.mark.browser, pytest.mark.slow]
LANGUAGES = {"en": "en-GB", "de": "de-DE"}
WIDTHS = (360, 414)


@pytest.fixture
def desk(bench: Bench, monkeypatch: pytest.MonkeyPatch) -> Iterator[str]:
    on_loopback(monkeypatch)
    with serving(create_app(bench.folder, Options(keep_jobs=False))) as address:
        yield address


def _save(path: Path, pixels: np.ndarray) -> Path:
    Image.fromarray(pixels).save(path, "JPEG", quality=90)
    return path


def _photo(bench: Bench, **how: float) -> np.ndarray:
    return photo_of([bench.trials.get(each).sheet for each in new_and_good(bench)], lift=0.02, **how)


def _glaring(bench: Bench) -> np.ndarray:
    """The same with a lamp's reflection on the left sheet."""
    seen = _photo(bench).astype(np.float32)
    height, width = seen.shape[:2]
    spot = np.zeros((height, width), np.float32)
    cv2.ellipse(spot, (int(width * 0.26), int(height * 0.5)), (330, 200), 20, 0, 360, 1.0, -1)
    return np.clip(seen + 260 * cv2.GaussianBlur(spot, (0, 0), 40)[..., None], 0, 255).astype(np.uint8)


def _look_over(page: Any, name: str, width: int, language: str) -> None:
    assert page.evaluate(SPILL) <= 0, name
    assert findings(page) == [], name
    assert page.evaluate("document.documentElement.lang") == language
    shoot(page, f"{name}-{language}", width, "light")


@pytest.mark.parametrize("language", share(list(LANGUAGES), 2))
def test_a_phone_takes_a_picture_and_both_pages_show_the_verdict(
    chromium: Any, desk: str, bench: Bench, tmp_path: Path, language: str
) -> None:
    trial, good = new_and_good(bench)
    sound, poor = _save(tmp_path / "a.jpg", _photo(bench)), _save(tmp_path / "b.jpg", _glaring(bench))
    locale = LANGUAGES[language]
    beside = chromium.new_context(viewport={"width": 1280, "height": 900}, locale=locale)
    at_desk, faults = beside.new_page(), []
    at_desk.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
    at_desk.goto(f"{desk}/trials/{trial}/read")
    at_desk.click(f"a[href='/trials/{trial}/phone']")
    assert at_desk.input_value("#beside") == good
    _look_over(at_desk, "phone-ask", 1280, language)
    at_desk.click("form[action$='/phone'] button.first")
    at_desk.wait_for_selector("[data-open]")
    _look_over(at_desk, "phone-open", 1280, language)
    url, password = at_desk.inner_text(".address"), at_desk.inner_text(".password")
    held = chromium.new_context(
        viewport={"width": 360, "height": 740}, locale=locale, has_touch=True, is_mobile=True
    )
    page = held.new_page()
    page.on("console", lambda said: faults.append(said.text) if said.type == "error" else None)
    page.goto(url)
    _look_over(page, "phone-enter", 360, language)
    page.fill("#password", password)
    page.click("button.first")
    page.wait_for_selector("#guide")
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 740})
        _look_over(page, "phone-guide", width, language)
    page.set_input_files("#picture", poor)
    page.wait_for_selector(".faults li", timeout=120_000)
    assert page.is_hidden("[data-send]") == (page.query_selector(".faults .hinders") is not None)
    assert page.query_selector_all(".taken polygon.area")
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 740})
        _look_over(page, "phone-faults", width, language)
    page.set_input_files("#picture", sound)
    page.wait_for_selector("[data-send]:not([hidden])", timeout=120_000)
    _look_over(page, "phone-sound", 414, language)
    page.click("[data-send]")
    page.wait_for_selector("[data-step=read]:not([hidden])")
    _look_over(page, "phone-reading", 414, language)
    worker = threading.Thread(target=lambda: _until_read(bench), daemon=True)
    worker.start()
    page.wait_for_selector("[data-step=done]:not([hidden])", timeout=180_000)
    assert len(page.query_selector_all("[data-lines] li")) == 3
    for width in WIDTHS:
        page.set_viewport_size({"width": width, "height": 740})
        _look_over(page, "phone-done", width, language)
    at_desk.wait_for_url(f"**/trials/{trial}", timeout=60_000)
    shoot(at_desk, f"phone-verdict-{language}", 1280, "light")
    worker.join(timeout=10)
    assert faults == []
    held.close()
    beside.close()


def _until_read(bench: Bench) -> None:
    for _ in range(200):
        if run_jobs(bench):
            return
        time.sleep(0.3)


def test_a_picture_that_the_browser_cannot_draw_is_shown_by_the_workbench(
    chromium: Any, desk: str, bench: Bench, tmp_path: Path
) -> None:
    trial, _ = new_and_good(bench)
    (tmp_path / "IMG_1.HEIC").write_bytes(heic(_photo(bench, px_per_mm=6.0), quality=90))
    beside = chromium.new_context(viewport={"width": 1280, "height": 900})
    at_desk = beside.new_page()
    at_desk.goto(f"{desk}/trials/{trial}/phone")
    at_desk.click("form[action$='/phone'] button.first")
    at_desk.wait_for_selector("[data-open]")
    page = chromium.new_context(viewport={"width": 360, "height": 740}).new_page()
    page.goto(at_desk.inner_text(".address"))
    page.fill("#password", at_desk.inner_text(".password"))
    page.click("button.first")
    page.set_input_files("#picture", tmp_path / "IMG_1.HEIC")
    page.wait_for_selector(".taken polygon.sheet", state="attached", timeout=120_000)
    assert page.evaluate("document.querySelector('.taken img').naturalWidth") == 1200
    assert findings(page) == []
    # The desk's page goes: so does the phone's.
    at_desk.goto(f"{desk}/trials")
    for _ in range(50):
        try:
            if page.evaluate("fetch(location.href).then(a => a.status, () => 0)") in (0, 410):
                break
        except Exception:  # noqa: BLE001  the page may be torn down with its server
            break
        time.sleep(0.1)
    else:
        pytest.fail("the door stayed open")
    beside.close()
