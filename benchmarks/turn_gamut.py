"""Frames a second of a gamut turned by hand: a solid, a wireframe and a picture's colours in a window of 1280 × 800.

    .venv/bin/python benchmarks/turn_gamut.py [SECONDS]

Aim: 20 frames a second or better while it turns, with the headless browser's software renderer; a graphics card then
has room to spare. Every frame is a new one, turned by three degrees, drawn and shown by the browser. Told are the
median time from one frame to the next and all of them over the whole time, once as the page paces itself (coarser while
it moves, whole when it rests) and once drawn whole whatever it takes. The peer is the same canvas cleared to another
grey each time: what the browser alone costs. Where the system tells it, beside it stands the processor time that all of
the browser's processes spent on a frame.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import Any

sys.path.insert(0, str(Path(__file__).resolve().parent.parent))

from tests.web.at_work import add_art, until
from tests.web.frames import frames, software_page
from tests.web.pages import paths
from tests.web.workshop import furnish, serving

from tackside.web.app import create_app
from tackside.web.workbench import Options

FRAMES = """async ([seconds, what]) => {
  const live = document.querySelector("[data-gamut]").gamut, gl = live.scene.gl, gaps = [], sizes = [];
  const own = live.paced;
  if (what === "whole") live.paced = () => live.draw(1);
  const clear = (n) => { gl.clearColor(n % 2, 0.5, 0.5, 1); gl.clear(gl.COLOR_BUFFER_BIT); };
  gl.finish();
  const begun = performance.now();
  let frames = 0, last = 0;
  await new Promise((done) => {
    const tick = (now) => {
      if (last) gaps.push(now - last);
      last = now;
      if (now - begun > seconds * 1000) { done(); return; }
      frames += 1;
      sizes.push(live.canvas.width);
      if (what === "clear") clear(frames); else live.turn(3);
      requestAnimationFrame(tick);
    };
    requestAnimationFrame(tick);
  });
  gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
  const took = (performance.now() - begun) / 1000;
  live.paced = own;
  gaps.sort((a, b) => a - b);
  sizes.sort((a, b) => a - b);
  return { frames, median: 1000 / gaps[gaps.length >> 1], all: frames / took, wide: sizes[sizes.length >> 1] };
}"""
LOOK = """([glass, points, cut]) => {
  const live = document.querySelector("[data-gamut]").gamut, panel = live.panel;
  panel.querySelector("[data-glass]").checked = glass;
  panel.querySelector("[data-points]").value = points;
  live.cut = cut;
}"""
READY = "document.querySelector('[data-gamut]').dataset.ready === 'yes'"
SIZE = """() => { const { canvas } = document.querySelector("[data-gamut]").gamut;
  return [canvas.width, canvas.height]; }"""
LOOKS: dict[str, list[Any]] = {
    "seen through, all points": [True, "all", 100],
    "solid, all points": [False, "all", 100],
    "solid, no points": [False, "none", 100],
    "cut at L* 50, seen through, all points": [True, "all", 50],
}


def measure(seconds: float) -> dict[str, Any]:
    with tempfile.TemporaryDirectory() as place:
        bench = furnish(Path(place) / "bench")
        known = paths(bench, add_art(bench))
        with (
            serving(create_app(bench.folder, Options(keep_jobs=False))) as address,
            software_page(address + known["gamut"]) as page,
        ):
            until(page, READY)
            page.wait_for_timeout(800)
            rows: dict[str, Any] = {}
            found = {"size": page.evaluate(SIZE), "rows": rows}

            def look(name: str, what: str) -> None:
                rows[name] = frames(page, FRAMES, seconds, what)
                page.wait_for_timeout(600)  # it rests, and is drawn whole

            look("empty canvas", "clear")
            for name, shown in LOOKS.items():
                page.evaluate(LOOK, shown)
                look(name, "paced")
                look(f"{name}, drawn whole", "whole")
            return found


def main() -> None:
    found = measure(float(sys.argv[1]) if len(sys.argv) > 1 else 4.0)
    width, height = found["size"]
    print(f"canvas {width} × {height} at rest\n")
    print(
        "| what | frames a second, median | over all | of an empty canvas's | canvas's width | processor ms a frame | "
        "load |"
    )
    print("| --- | ---: | ---: | ---: | ---: | ---: | ---: |")
    empty = found["rows"]["empty canvas"]["all"]
    for name, row in found["rows"].items():
        spent = "–" if row["ms"] is None else f"{row['ms']:.0f}"
        print(
            f"| {name} | {row['median']:.1f} | {row['all']:.1f} | {row['all'] / empty:.2f} | {row['wide']} | "
            f"{spent} | {row['load']:.1f} |"
        )


if __name__ == "__main__":
    main()
