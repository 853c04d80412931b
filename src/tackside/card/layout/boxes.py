"""Where everything on a card stands, as plain data for scripts."""

from __future__ import annotations

from collections.abc import Sequence

from tackside.card.layout.layout import CardFace
from tackside.units import Box


def boxes_mm(faces: Sequence[CardFace]) -> dict[str, object]:
    """Boxes are [x, y, w, h] in mm on the face as fed; ``sheet``, ``trim``, ``panels``, ``pictures``, ``texts``."""
    first = faces[0]
    return {
        "sheet": [0.0, 0.0, *first.fit.size_mm],
        "trim": _plain(first.trim),
        "bleed": _plain(first.bleed),
        "panels": {
            panel.name: {
                "face": face.name,
                "trim": _plain(panel.trim),
                "printable": _plain(panel.printable),
                "turn_deg": panel.turn_deg,
            }
            for face in faces
            for panel in face.panels
        },
        "pictures": [
            {
                "panel": placed.asked.panel,
                "file": placed.asked.file,
                "face": face.name,
                "box": _plain(placed.box_mm),
                "turn_deg": placed.frame.turn_deg,
                "ppi": round(placed.ppi, 1),
            }
            for face in faces
            for placed in face.pictures
        ],
        "texts": [
            {
                "panel": text.asked.panel,
                "face": face.name,
                "box": _plain(text.box_mm),
                "turn_deg": text.frame.turn_deg,
                "lines": [line.text for line in text.lines],
            }
            for face in faces
            for text in face.texts
        ],
        "codes": [
            {"face": face.name, "box": _plain(code.box_mm), "turn_deg": code.turn_deg}
            for face in faces
            for code in face.codes
        ],
    }


def _plain(box: Box) -> list[float]:
    return [round(length, 4) for length in box]
