"""The card as a PDF (ISO 32000-1): one page a face, boxes exact, pictures and text in a profiled space."""

from __future__ import annotations

import io
from collections.abc import Sequence
from decimal import Decimal
from pathlib import Path

import pikepdf
from pikepdf import Array, Dictionary, Name

from tackside.bench.files import write_atomically
from tackside.bench.records.sheet_plan import Space
from tackside.card.frame import Frame
from tackside.card.layout import CardFace
from tackside.card.pdf_font import embed_font, shown
from tackside.card.pdf_image import embed_picture
from tackside.card.pictures import PlacedPicture
from tackside.card.texts import PlacedText
from tackside.profile import working_space_profile
from tackside.units import MM_PER_POINT

# The direction of "right" on the upright panel, in PDF space (y upwards), for each clockwise turn.
RIGHT: dict[int, tuple[int, int]] = {0: (1, 0), 90: (0, -1), 180: (-1, 0), 270: (0, 1)}


def write_pdf(faces: Sequence[CardFace], ppi: float, space: Space, path: Path) -> None:
    """Write the faces, a page each; pictures at ``ppi`` at most. Same input, same bytes.

    Raises StorageTrouble, BadImage.
    """
    with pikepdf.new() as pdf:
        colours = _colour_space(pdf, space)
        fonts = _fonts(pdf, faces)
        for face in faces:
            images = {
                f"/Picture{number}": embed_picture(pdf, picture, ppi, space, colours)
                for number, picture in enumerate(face.pictures, start=1)
            }
            _add_page(pdf, face, images, fonts, colours)
        # A print path that scales to the page would spoil the size: ask it not to (clause 12.2, table 150).
        pdf.Root.ViewerPreferences = Dictionary(PrintScaling=Name("/None"))
        stream = io.BytesIO()
        pdf.save(stream, deterministic_id=True, min_version="1.6")
    write_atomically(path, stream.getvalue())


def _colour_space(pdf: pikepdf.Pdf, space: Space) -> pikepdf.Object:
    profile = pdf.make_stream(working_space_profile(space), N=3, Alternate=Name.DeviceRGB)
    return pdf.make_indirect(Array([Name.ICCBased, profile]))


def _fonts(pdf: pikepdf.Pdf, faces: Sequence[CardFace]) -> dict[str, pikepdf.Object]:
    """Each font that the card uses, once, with the characters that it needs."""
    texts = [text for face in faces for text in face.texts]
    return {
        f"/{font.name}": embed_font(
            pdf,
            font,
            {
                character
                for text in texts
                if text.font == font
                for line in text.lines
                for character in line.text
            },
        )
        for font in {text.font.name: text.font for text in texts}.values()
    }


def _add_page(
    pdf: pikepdf.Pdf,
    face: CardFace,
    images: dict[str, pikepdf.Object],
    fonts: dict[str, pikepdf.Object],
    colours: pikepdf.Object,
) -> None:
    width, height = face.fit.size_mm
    content = [
        f"q {_picture_matrix(picture, height)} cm {name} Do Q"
        for name, picture in zip(images, face.pictures, strict=True)
    ]
    content += [line for text in face.texts for line in _text(text, height)]
    box = Array([0, 0, Decimal(_points(width)), Decimal(_points(height))])
    page = Dictionary(
        Type=Name.Page,
        MediaBox=box,
        TrimBox=box,
        Resources=Dictionary(
            XObject=Dictionary(images), Font=Dictionary(fonts), ColorSpace=Dictionary(Working=colours)
        ),
        Contents=pdf.make_stream("\n".join(content).encode("ascii")),
    )
    pdf.pages.append(pikepdf.Page(pdf.make_indirect(page)))


def _picture_matrix(placed: PlacedPicture, sheet_height: float) -> str:
    """The matrix that lays the unit square on the picture's box, turned as its panel asks."""
    box = placed.box_mm
    rx, ry = RIGHT[placed.frame.turn_deg]
    ux, uy = -ry, rx
    wide, tall = (box.w, box.h) if placed.frame.turn_deg in (0, 180) else (box.h, box.w)
    # The unit square's corner is the box's middle, less half of each of its sides.
    x, y = box.centre
    corner_x = x - (rx * wide + ux * tall) / 2
    corner_y = sheet_height - y - (ry * wide + uy * tall) / 2
    return " ".join(map(_points, (rx * wide, ry * wide, ux * tall, uy * tall, corner_x, corner_y)))


def _text(placed: PlacedText, sheet_height: float) -> list[str]:
    """The lines of a text as PDF operators, in black of the working space."""
    rx, ry = RIGHT[placed.frame.turn_deg]
    operators = [f"BT /Working cs 0 0 0 scn /{placed.font.name} {_number(placed.asked.size_pt)} Tf"]
    for line in filter(lambda line: line.text, placed.lines):
        x, y = _in_pdf(placed.frame, line.x_mm, line.baseline_mm, sheet_height)
        operators.append(
            f"{rx} {ry} {-ry} {rx} {_points(x)} {_points(y)} Tm {shown(placed.font, line.text)} TJ"
        )
    return [*operators, "ET"]


def _in_pdf(frame: Frame, x_mm: float, y_mm: float, sheet_height: float) -> tuple[float, float]:
    x, y = frame.point_on_sheet(x_mm, y_mm)
    return x, sheet_height - y


def _points(mm: float) -> str:
    return _number(mm / MM_PER_POINT)


def _number(value: float) -> str:
    """Four decimals of a point are less than a ten-thousandth of a mm."""
    text = f"{value:.4f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
