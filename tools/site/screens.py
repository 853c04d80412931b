"""Pictures of the workbench: its own pages in a browser, with the invented studio's bench."""

from __future__ import annotations

import io
import os
import subprocess
import sys
import time
import urllib.request
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any
from urllib.parse import urljoin

from PIL import Image
from tests import services

from tools.site.prints import save

DESK, PHONE = (1010, 900), (390, 760)
SHARP = 1.5  # pixels of the picture for each of the page's
STOP, TRIED = 20, 300  # s


@dataclass(frozen=True)
class Shot:
    """A page of the workbench: ``name`` of the picture, ``path``, what to do there first, and how much of it is shown.

    ``part`` is a CSS selector; ``most`` the greatest height in px of the page.
    """

    name: str
    path: str
    part: str = ".sheet"
    most: int = 900
    first: Callable[[Any], None] | None = None
    size: tuple[int, int] = DESK


@contextmanager
def workbench(bench: Path, port: int) -> Iterator[str]:
    """The workbench of a bench, served by the program itself; its address, with its key."""
    command = [
        sys.executable,
        "-m",
        "tackside",
        "--bench",
        str(bench),
        "start",
        "--no-browser",
        "--port",
        str(port),
    ]
    environ = os.environ | {"LANG": "C.UTF-8"}
    with subprocess.Popen(command, stderr=subprocess.PIPE, text=True, env=environ) as served:
        assert served.stderr is not None
        try:
            said = served.stderr.readline()
            if "Tackside is at " not in said:
                raise SystemExit(f"the workbench did not come up: {said}")
            address = said.split()[3]
            _wait_for(address)
            yield address
        finally:
            served.terminate()
            served.wait(STOP)


def _wait_for(address: str) -> None:
    for _ in range(TRIED):
        try:
            urllib.request.urlopen(address, timeout=30).close()
        except OSError:
            time.sleep(1)
        else:
            return
    raise SystemExit(f"the workbench did not answer at {address}")


@contextmanager
def browser() -> Iterator[Any]:
    path = services.browser()
    if path is None:
        raise SystemExit(
            "pictures of the workbench need a Chromium; install one, or leave the pictures as they are"
        )
    from playwright.sync_api import sync_playwright

    with sync_playwright() as player:
        opened = player.chromium.launch(executable_path=path, args=["--no-sandbox", "--disable-gpu"])
        yield opened
        opened.close()


def shoot(chromium: Any, address: str, shot: Shot, file: Path) -> Image.Image:
    """One page, from the top of its part."""
    context = chromium.new_context(
        locale="en-GB", viewport={"width": shot.size[0], "height": shot.size[1]}, device_scale_factor=SHARP,
        color_scheme="light", reduced_motion="reduce",
    )  # fmt: skip
    page = context.new_page()
    page.set_default_timeout(900_000)  # a busy machine prepares a scan or a choice slowly
    context.request.get(address)  # which lets this browser in
    page.goto(urljoin(address, shot.path), wait_until="networkidle")
    if shot.first is not None:
        shot.first(page)
        page.wait_for_load_state("networkidle")
    page.evaluate("document.activeElement.blur()")
    box = page.locator(shot.part).first.evaluate(
        "e => { const r = e.getBoundingClientRect(); return [r.x + scrollX, r.y + scrollY, r.width, r.height] }"
    )
    clip = {"x": box[0], "y": box[1], "width": box[2], "height": min(box[3], shot.most)}
    taken = page.screenshot(full_page=True, clip=clip, animations="disabled")
    context.close()
    image = Image.open(io.BytesIO(taken))
    save(image, file)
    return image


def shoot_file(chromium: Any, page_file: Path, file: Path, size: tuple[int, int]) -> Image.Image:
    """The top of a page that the program wrote, such as a report."""
    context = chromium.new_context(
        locale="en-GB",
        viewport={"width": size[0], "height": size[1]},
        device_scale_factor=SHARP,
        color_scheme="light",
    )
    page = context.new_page()
    page.goto(page_file.resolve().as_uri(), wait_until="networkidle")
    image = Image.open(io.BytesIO(page.screenshot()))
    context.close()
    save(image, file)
    return image


def filled(fields: Mapping[str, str], press: str) -> Callable[[Any], None]:
    """Fill in a form and press its button."""

    def do(page: Any) -> None:
        for selector, value in fields.items():
            field = page.locator(selector).first
            if field.evaluate("e => e.tagName") == "SELECT":
                field.select_option(value)
            elif field.get_attribute("type") == "file":
                field.set_input_files(value)
            else:
                field.fill(value)
        page.locator(press).first.click()

    return do
