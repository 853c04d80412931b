"""A small picture of a trial: its scan where one is prepared, else its patches drawn."""

from __future__ import annotations

import numpy as np
from starlette.responses import FileResponse, Response

from tackside.records import Reading, Trial
from tackside.report.patches import to_screen
from tackside.web.views.scan import sources_of
from tackside.web.workbench import Workbench
from tackside.workflow.prepared.scan_view import is_ready, place_of

SHORTLY = {"cache-control": "private, max-age=60"}


def thumbnail_of(workbench: Workbench, trial: Trial) -> Response:
    """JPEG or SVG; both are drawn in the print's own colours."""
    reading = workbench.bench.readings.find_standing(trial.id)
    if reading is not None:
        for source in sources_of(reading):
            place = place_of(workbench.bench.folder / "cache", source.sha256, trial.id)
            if is_ready(place) and (place / "thumbnail.jpg").is_file():
                return FileResponse(place / "thumbnail.jpg", media_type="image/jpeg", headers=SHORTLY)
    return Response(_drawn(trial, reading), media_type="image/svg+xml", headers=SHORTLY)


def _drawn(trial: Trial, reading: Reading | None) -> str:
    """The sheet, or its first page, with its patches as read, or as asked for; paper where nothing was read."""
    width, height = trial.sheet.size_mm
    colours: dict[str, str] = {}
    paper = "#f6f4ef"
    if reading is not None and reading.patches:
        screen, _ = to_screen(np.array([patch.lab for patch in reading.patches]))
        colours = {patch.name: colour for patch, colour in zip(reading.patches, screen, strict=True)}
        white = next((p.name for p in trial.sheet.patches if "white" in p.roles and p.name in colours), None)
        paper = colours[white] if white else paper
    boxes = "".join(
        f'<rect x="{p.box_mm.x:.1f}" y="{p.box_mm.y:.1f}" width="{p.box_mm.w:.1f}" height="{p.box_mm.h:.1f}" '
        f'fill="{colours.get(p.name) or _asked(p.rgb)}"/>'
        for p in trial.sheet.on_page(1).patches
    )
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width:g} {height:g}">'
        f'<rect width="{width:g}" height="{height:g}" fill="{paper}"/>{boxes}</svg>'
    )


def _asked(rgb: tuple[float, float, float]) -> str:
    return "#" + "".join(f"{round(255 * part):02x}" for part in rgb)
