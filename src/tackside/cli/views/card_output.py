"""The options of the commands that write a card's files, and what such a file came to: boxes, placement."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any, Literal

from cyclopts import Parameter

from tackside.errors import BadRequest

if TYPE_CHECKING:
    from tackside.bench.store import Bench
    from tackside.card.layout.layout import CardFace
    from tackside.card.make import CardSheet
    from tackside.card.pixels.conversion import Output
    from tackside.units import Box
    from tackside.workflow.progress import Progress


@Parameter(name="*")
@dataclass(frozen=True)
class OutputOptions:
    """How the files are written."""

    space: Annotated[
        Literal["srgb", "adobe-rgb", "picture"] | None,
        Parameter(help="Colour space of the file: a working space, or that of the pictures."),
    ] = None
    profile: Annotated[
        Path | None,
        Parameter(help="Convert to this printer profile (ICC); then print without colour management."),
    ] = None
    card: Annotated[
        str | None,
        Parameter(
            help="Convert by the own profile of this card, a trial that was read; then print without colour management."
        ),
    ] = None
    intent: Annotated[
        Literal["perceptual", "relative", "saturation", "absolute"],
        Parameter(help="Rendering intent of that conversion."),
    ] = "relative"
    no_bpc: Annotated[bool, Parameter(negative=(), help="No black point compensation.")] = False
    surface: Annotated[
        Literal["semi-gloss", "matt", "cotton"] | None,
        Parameter(help="Sharpen for this surface; by default the stock's own."),
    ] = None
    no_sharpening: Annotated[bool, Parameter(negative=(), help="No sharpening.")] = False
    quality: Annotated[int, Parameter(help="Quality of a JPEG, 1 to 100.")] = 95
    jpeg_pictures: Annotated[
        bool,
        Parameter(negative=(), help="Pictures in a PDF as JPEG of that quality; by default without loss."),
    ] = False
    as_measured: Annotated[
        bool,
        Parameter(
            negative="--no-correction",
            help="Correct for where earlier trials of this card landed on the sheet.",
        ),
    ] = True

    def output(self, bench: Bench, file: Path, progress: Progress) -> Output:
        """The choices as the card ``file`` takes them; reads the profile, or has the card's own built.

        Raises BadRequest, BadProfile, NotFound, StorageTrouble.
        """
        from tackside.workflow.cards.make import output_by_card, output_of

        if not 1 <= self.quality <= 100:
            raise BadRequest("card.jpeg-quality", quality=self.quality)
        choices: dict[str, Any] = {
            "space": self.space,
            "intent": self.intent,
            "bpc": not self.no_bpc,
            "sharpen": not self.no_sharpening,
            "surface": self.surface,
            "quality": self.quality,
            "jpeg_in_pdf": self.jpeg_pictures,
        }
        if self.card is None:
            return output_of(self.profile, **choices)
        if self.profile is not None:
            raise BadRequest("own-profile.card-or-profile")
        return output_by_card(bench, file, self.card, progress=progress, **choices)


@Parameter(name="*")
@dataclass(frozen=True)
class ListOptions:
    """How the cards of a list are filed."""

    one_file: Annotated[
        bool, Parameter(negative=(), help="One PDF for the whole list, its pages bookmarked by name.")
    ] = False
    faces_apart: Annotated[
        bool,
        Parameter(
            negative=(), help="In it all outsides first, then all insides, to print one after the other."
        ),
    ] = False
    named_by: Annotated[
        str | None,
        Parameter(help="The column that files and pages are named after; by default the first on the card."),
    ] = None

    def refuse_nonsense(self, csv: Path | None, *, spread: bool) -> None:
        """Raises BadRequest for options that say nothing together."""
        if csv is None and (self.one_file or self.faces_apart or self.named_by is not None):
            raise BadRequest("card-rows.for-a-list")
        if self.faces_apart and not self.one_file:
            raise BadRequest("card-rows.apart-in-one-file")
        if self.one_file and spread:
            raise BadRequest("card-rows.spread-one-file")


def printed_on(made: CardSheet) -> str:
    """Which face of the card lies on which of the stock, in words."""
    return "; ".join(f"{face} on the {side} of the stock" for face, side in made.printed_on.items())


def placement_document(made: CardSheet) -> dict[str, dict[str, Any] | None]:
    """What each face is corrected by and what is left, None where no trial was read: for scripts."""
    found: dict[str, dict[str, Any] | None] = {}
    for face in made.faces:
        measured = made.path.placements.get(face.side)
        kept = {"trials", "residual_mm", "within_95_mm", "safe_border_mm", "basis"}
        found[face.name] = None if measured is None else measured.model_dump(mode="json", include=kept)
    return found


def placement_facts(made: CardSheet) -> list[tuple[str, str]]:
    """The same in words, for those faces that are corrected."""
    return [
        (
            f"Placed, {face.name}",
            f"corrected by {', '.join(measured.trials)}; 95 prints in 100 land within {measured.within_95_mm:.1f} mm",
        )
        for face in made.faces
        if (measured := made.path.placements.get(face.side)) is not None
    ]


def boxes_document(faces: Sequence[CardFace]) -> dict[str, object]:
    """Where everything on a card stands, for scripts: boxes are [x, y, w, h] in mm on the face as fed."""
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
