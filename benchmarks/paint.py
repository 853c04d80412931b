"""When each page of the workbench is first seen, with 2,000 trials in the bench, in a headless browser.

    .venv/bin/python benchmarks/paint.py [REPEATS]

Aim: the first contentful paint of every page under a second after it was asked for. The page is opened in a window of
1280 × 800 by a browser that keeps nothing from the page before: style sheet, scripts and fonts are fetched anew each
time. The moment is the browser's own, from the start of the navigation (Paint Timing, W3C). Before them each page is
opened once without a count, as the server remembers nothing yet then; that one is told beside them. The peer is a bare
answer of the same server ("/api/session") in the same browser.
"""

from __future__ import annotations

import os
import statistics
import sys
import tempfile
from pathlib import Path
from urllib.parse import urljoin

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))
sys.path.insert(0, str(Path(__file__).resolve().parent))

from playwright.sync_api import Browser, sync_playwright
from tests import services

from web import filled, serve

REPEATS = 5
LIMIT_MS = 1000.0
# Milliseconds from the start of the navigation to the first contentful paint; 0 while there is none.
PAINTED = """() => {
  const [found] = performance.getEntriesByName("first-contentful-paint");
  return found ? found.startTime : 0;
}"""


def first_paint_ms(browser: Browser, address: str, path: str) -> float:
    """Of a page opened with nothing kept from before. Raises AssertionError where it is refused or stays empty."""
    with browser.new_context(viewport={"width": 1280, "height": 800}) as context:
        page = context.new_page()
        context.request.get(address)  # which lets this browser in
        answer = page.goto(urljoin(address, path), wait_until="load")
        assert answer is not None
        assert answer.status == 200, f"{path}: {answer.status}"
        for _ in range(100):
            if painted := page.evaluate(PAINTED):
                return float(painted)
            page.wait_for_timeout(50)
        raise AssertionError(f"nothing was painted of {path}")


def measure(address: str, all_paths: dict[str, str], repeats: int) -> None:
    print("| page | first look | median | worst of the rest | against a bare answer |")
    print("| --- | --- | --- | --- | --- |")
    with sync_playwright() as player:
        browser = player.chromium.launch(executable_path=services.browser(), args=["--no-sandbox"])
        bare, slowest, late = 0.0, ("", 0.0), []
        for name, path in {"nothing (/api/session)": "/api/session", **all_paths}.items():
            first, *rest = (first_paint_ms(browser, address, path) for _ in range(1 + repeats))
            median = statistics.median(rest)
            bare = bare or median
            slowest = max(slowest, (name, median), key=lambda each: each[1])
            late += [name] if max(first, *rest) >= LIMIT_MS else []
            print(
                f"| {name} | {first:.0f} ms | {median:.0f} ms | {max(rest):.0f} ms | {median / bare:.1f} |",
                flush=True,
            )
        browser.close()
    print(f"\nslowest of {len(all_paths)} pages: {slowest[0]}, {slowest[1]:.0f} ms at the median")
    print(f"a second or more at any time: {', '.join(late) or 'none'}")


def main() -> None:
    repeats = int(sys.argv[1]) if len(sys.argv) > 1 else REPEATS
    with tempfile.TemporaryDirectory() as place:
        bench, all_paths = filled(Path(place) / "bench")
        process, address = serve(bench.folder)
        try:
            print(f"load of the machine: {os.getloadavg()[0]:.1f}\n")
            measure(address, all_paths, repeats)
        finally:
            process.terminate()
            process.wait()


if __name__ == "__main__":
    main()
