"""Frames a second of the live proof: a picture of 12 megapixels in a window of 1280 × 800, drawn by software alone.

    .venv/bin/python benchmarks/live_proof.py [SECONDS]

Aim: 20 frames a second or better with the headless browser's software renderer; a graphics card then has room to
spare. Each frame moves the picture and is waited for (a pixel is read back). While it is moved the page draws as
coarsely as it must to keep up, and whole at rest: both are told. The peer is the same canvas cleared to one colour and
read back, in the same run: what the browser alone costs.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
import pyvips

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from playwright.sync_api import sync_playwright
from tests import services
from tests.web.test_choose import chosen, proofed
from tests.web.workshop import furnish, serving

from tackside.web import Options, create_app

FRAMES = """async ([seconds, what]) => {
  const live = document.querySelector("[data-proof]").proof, gl = live.shader.gl, pixel = new Uint8Array(4);
  const until = performance.now() + seconds * 1000, begun = performance.now();
  let frames = 0;
  while (performance.now() < until) {
    if (what === "clear") gl.clear(gl.COLOR_BUFFER_BIT);
    else if (what === "moving") { live.move(frames % 2 ? 3 : -3, 1); live.paced(); }
    else { live.isMoving = false; live.coarse = 1; live.draw(); }
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, pixel);
    frames += 1;
    if (frames % 8 === 0) await new Promise((go) => setTimeout(go));
  }
  return frames / ((performance.now() - begun) / 1000);
}"""
RENDERER = """() => { const gl = document.querySelector("[data-proof]").proof.shader.gl;
  const info = gl.getExtension("WEBGL_debug_renderer_info"); return gl.getParameter(info.UNMASKED_RENDERER_WEBGL); }"""
SIZE = """() => { const live = document.querySelector("[data-proof]").proof;
  return [live.canvas.width, live.canvas.height, ...live.shader.size]; }"""


def large_picture(path: Path) -> Path:
    """4000 × 3000 pixels of soft hills and grain, as a photograph has both."""
    rng = np.random.default_rng(12)
    small = rng.random((60, 80, 3)) * 255
    image = pyvips.Image.new_from_array(small.astype(np.uint8)).resize(50, kernel="cubic")
    grain = rng.normal(0, 6, (3000, 4000, 1))
    pixels = np.clip(image.numpy() + grain, 0, 255).astype(np.uint8)
    pyvips.Image.new_from_array(pixels).jpegsave(str(path), Q=92)
    return path


def measure(seconds: float) -> dict[str, Any]:
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        bench = furnish(folder / "bench")
        job = chosen(bench, large_picture(folder / "hills.jpg"))
        proofed(bench, job, folder / "proof")
        with (
            serving(create_app(bench.folder, Options(keep_jobs=False))) as address,
            sync_playwright() as player,
        ):
            browser = player.chromium.launch(
                executable_path=services.browser(),
                args=["--no-sandbox", "--use-angle=swiftshader", "--enable-unsafe-swiftshader"],
            )
            page = browser.new_page(viewport={"width": 1280, "height": 800})
            page.goto(f"{address}/choices/{job.id}/proof/0")
            page.wait_for_selector("[data-proof][data-whole]", timeout=120_000)
            page.evaluate("document.querySelector('[data-do=full]').click()")
            page.wait_for_timeout(800)
            found: dict[str, Any] = {"renderer": page.evaluate(RENDERER), "size": page.evaluate(SIZE)}
            found["all"] = page.evaluate(FRAMES, [seconds, "moving"])
            found["coarse"] = page.evaluate("document.querySelector('[data-proof]').proof.coarsest")
            page.evaluate("document.querySelector('[data-do=pixels]').click()")
            found["1:1"] = page.evaluate(FRAMES, [seconds, "moving"])
            page.select_option("#show", "outside")
            found["map"] = page.evaluate(FRAMES, [seconds, "moving"])
            page.select_option("#show", "print")
            found["at rest"] = page.evaluate(FRAMES, [seconds, "whole"])
            found["clear"] = page.evaluate(FRAMES, [seconds, "clear"])
            browser.close()
            return found


def main() -> None:
    found = measure(float(sys.argv[1]) if len(sys.argv) > 1 else 4.0)
    width, height, across, down = found["size"]
    print(
        f"{found['renderer']}; canvas {width} × {height}, picture {across} × {down}; "
        f"moved at 1/{found['coarse']} of the canvas's resolution, whole at rest\n"
    )
    print("| what | frames a second | share of an empty canvas's |\n| --- | ---: | ---: |")
    for name in ("all", "1:1", "map", "at rest"):
        print(f"| live proof, {name} | {found[name]:.1f} | {found[name] / found['clear']:.2f} |")
    print(f"| empty canvas | {found['clear']:.1f} | 1 |")


if __name__ == "__main__":
    main()
