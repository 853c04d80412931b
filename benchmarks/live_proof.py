"""Frames a second of the live proof: a picture of 12 megapixels in a window of 1280 × 800, drawn by software alone.

    .venv/bin/python benchmarks/live_proof.py [SECONDS]

Aim: 20 frames a second or better with the headless browser's software renderer; a graphics card then has room to
spare. Every frame is a new one, drawn whole at the canvas's resolution and shown by the browser: the picture is moved,
or another card, intent, compensation or white is chosen. Frames are told by the median time from one to the next, and
by all of them over the whole time, until the last is drawn. The peer is the same canvas cleared to another grey each
time: what the browser alone costs. Where the system tells it, beside it stands the processor time that all of the
browser's processes spent on a frame, which other work on the machine does not stretch.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import Any

import numpy as np
import pyvips

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tests.web.frames import frames, software_page
from tests.web.test_choose import chosen, proofed
from tests.web.workshop import furnish, serving

from tackside.web.app import create_app
from tackside.web.workbench import Options

FRAMES = """async ([seconds, what]) => {
  const form = document.querySelector("[data-proof]"), live = form.proof, gl = live.shader.gl, gaps = [];
  const next = (name) => {
    const field = form.elements[name]; field.selectedIndex = (field.selectedIndex + 1) % field.options.length; };
  const change = {
    clear: (n) => {
      gl.scissor(0, 0, gl.canvas.width, gl.canvas.height);
      gl.clearColor(n % 2, 0.5, 0.5, 1);
      gl.clear(gl.COLOR_BUFFER_BIT);
    },
    moved: (n) => live.move(n % 2 ? 7 : -7, n % 4 < 2 ? 5 : -5),
    switched: (n) => {
      if (n % 3 === 1) form.elements.paper.click(); else next(n % 3 ? "intent" : "card");
      live.tell();
    },
    split: (n) => { form.elements.split.value = 20 + (n * 3) % 60; live.moving(); },
  }[what];
  live.pace = () => {}; // drawn whole, however long it takes
  live.coarsest = 1;
  gl.finish();
  const begun = performance.now();
  let frames = 0, last = 0;
  await new Promise((done) => {
    const tick = (now) => {
      if (last) gaps.push(now - last);
      last = now;
      if (now - begun > seconds * 1000) { done(); return; }
      change(frames++);
      requestAnimationFrame(tick);
    };
    requestAnimationFrame(tick);
  });
  gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
  gaps.sort((a, b) => a - b);
  return { frames, median: 1000 / gaps[gaps.length >> 1], all: frames / ((performance.now() - begun) / 1000) };
}"""
RENDERER = """() => { const gl = document.querySelector("[data-proof]").proof.shader.gl;
  const info = gl.getExtension("WEBGL_debug_renderer_info"); return gl.getParameter(info.UNMASKED_RENDERER_WEBGL); }"""
SIZE = """() => { const live = document.querySelector("[data-proof]").proof;
  return [live.canvas.width, live.canvas.height, ...live.shader.size]; }"""
DO = "(name) => document.querySelector(`[data-do=${name}]`).click()"


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
            software_page(f"{address}/choices/{job.id}/proof/0") as page,
        ):
            page.wait_for_selector("[data-proof][data-whole]", timeout=120_000)
            page.evaluate(DO, "full")
            page.wait_for_timeout(800)
            rows: dict[str, Any] = {}
            found = {"renderer": page.evaluate(RENDERER), "size": page.evaluate(SIZE), "rows": rows}

            def look(name: str, what: str) -> None:
                rows[name] = frames(page, FRAMES, seconds, what)

            look("empty canvas", "clear")
            look("all of it, moved", "moved")
            look("all of it, card, intent and white switched", "switched")
            page.evaluate(DO, "pixels")
            look("1 : 1, moved", "moved")
            look("1 : 1, switched", "switched")
            for value in ("outside", "difference", "lost-contrast"):
                page.select_option("#show", value)
                page.wait_for_timeout(500)
                look(f"1 : 1, map “{value}”, moved", "moved")
            page.select_option("#show", "print")
            page.select_option("#against", "split")
            look("1 : 1, divided, the line moved", "split")
            look("empty canvas again", "clear")
            return found


def main() -> None:
    found = measure(float(sys.argv[1]) if len(sys.argv) > 1 else 4.0)
    width, height, across, down = found["size"]
    print(f"{found['renderer']}; canvas {width} × {height}, drawn whole; picture {across} × {down}\n")
    print(
        "| what | frames a second, median | over all | of an empty canvas's | processor ms a frame | load |"
    )
    print("| --- | ---: | ---: | ---: | ---: | ---: |")
    empty = found["rows"]["empty canvas"]["all"]
    for name, row in found["rows"].items():
        spent = "–" if row["ms"] is None else f"{row['ms']:.0f}"
        print(
            f"| {name} | {row['median']:.1f} | {row['all']:.1f} | {row['all'] / empty:.2f} | {spent} | "
            f"{row['load']:.1f} |"
        )


if __name__ == "__main__":
    main()
