"""The card as a PDF (ISO 32000-1): one page a face, boxes exact, everything in one profiled space.

It states its colours by an output intent and asks for no scaling. It claims no conformance to a part of PDF/X: no
checker has passed it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from decimal import Decimal
from pathlib import Path

import numpy as np
import pikepdf
from pikepdf import Array, Dictionary, Name

from tackside.card.layout.layout import CardFace
from tackside.card.layout.pictures import PlacedPicture
from tackside.card.layout.placed import PlacedCode, PlacedRule, Rgb
from tackside.card.pdf.font import embed_fonts, text_operators
from tackside.card.pixels.conversion import OutputColour, Sharpening
from tackside.card.pixels.cover import Affine
from tackside.card.pixels.resample import Upright, joined, made_ready, turned
from tackside.fit.placement.correction import IDENTITY, Correction
from tackside.profile.icc.inspect import describe
from tackside.records.sheet_plan import Side
from tackside.units import MM_PER_INCH, MM_PER_POINT, Box, sheet_px


def save_pdf(
    faces: Sequence[CardFace],
    ppi: float,
    colour: OutputColour,
    path: Path,
    *,
    sharpening: Sharpening | None = None,
    corrections: Mapping[Side, Correction] | None = None,
) -> None:
    """Write the faces, a page each; pictures at ``ppi`` at most. Same input, same bytes.

    ``corrections``, by side, take wanted places on the sheet to those that the file must have; they become each
    page's first matrix. Raises BadImage, pyvips.Error from a picture, OSError.
    """
    with pikepdf.new() as pdf:
        profile = pdf.make_stream(colour.profile, N=3, Alternate=Name.DeviceRGB)
        space = pdf.make_indirect(Array([Name.ICCBased, profile]))
        fonts = embed_fonts(pdf, faces)
        for face in faces:
            correction = (corrections or {}).get(face.side, IDENTITY)
            _add_page(pdf, face, ppi, colour, space, fonts, sharpening, correction)
        pdf.Root.OutputIntents = Array([_output_intent(pdf, colour, profile)])
        # A print path that scales to the page would spoil the size: ask it not to (clause 12.2, table 150).
        pdf.Root.ViewerPreferences = Dictionary(PrintScaling=Name("/None"))
        pdf.save(path, deterministic_id=True, min_version="1.6")


def _output_intent(pdf: pikepdf.Pdf, colour: OutputColour, profile: pikepdf.Object) -> pikepdf.Object:
    """Clause 14.11.5, table 365: the numbers in the file are those of the embedded profile."""
    said = describe(colour.profile)
    return pdf.make_indirect(
        Dictionary(
            Type=Name.OutputIntent,
            S=Name.GTS_PDFX,
            OutputConditionIdentifier=pikepdf.String("Custom"),
            OutputCondition=pikepdf.String(said),
            Info=pikepdf.String(said),
            DestOutputProfile=profile,
        )
    )


def _add_page(
    pdf: pikepdf.Pdf,
    face: CardFace,
    ppi: float,
    colour: OutputColour,
    space: pikepdf.Object,
    fonts: dict[str, pikepdf.Object],
    sharpening: Sharpening | None,
    correction: Correction,
) -> None:
    height = face.fit.size_mm[1]

    def paint(rgb: Rgb) -> str:
        return f"{_numbers(colour.of_rgb(rgb))} scn"

    content = ["/Output cs"]
    if not correction.is_identity:
        content.append(f"{_matrix(_flipped(np.array(correction.matrix), height))} cm")
    for fill in face.fills:
        content += [paint(fill.rgb), f"{_rectangle(fill.box_mm, height)} f"]
    images: dict[str, pikepdf.Object] = {}
    for number, placed in enumerate(face.pictures, start=1):
        sheet = sheet_px(face.fit.size_mm, ppi)
        ready = made_ready(placed, ppi, sheet, colour, sharpening)
        images[f"/Picture{number}"] = _image(pdf, ready, space)
        content.append(_picture(f"/Picture{number}", placed, ready, sheet, ppi, height))
    for code in face.codes:
        content += _code(code, height, paint)
    for text in face.texts:
        content += text_operators(text, height, paint)
    content += [_stroke(rule, height, colour) for rule in face.rules]
    sheet_box = Box(0, 0, *face.fit.size_mm)
    # A box that reached past the medium would be cut to it all the same (clause 14.11.2.1).
    bleed = face.bleed.intersection(sheet_box) or sheet_box
    page = Dictionary(
        Type=Name.Page,
        MediaBox=_page_box(sheet_box, height),
        BleedBox=_page_box(bleed, height),
        TrimBox=_page_box(face.trim, height),
        Resources=Dictionary(
            XObject=Dictionary(images), Font=Dictionary(fonts), ColorSpace=Dictionary(Output=space)
        ),
        Contents=pdf.make_stream("\n".join(content).encode("ascii")),
    )
    pdf.pages.append(pikepdf.Page(pdf.make_indirect(page)))


def _image(pdf: pikepdf.Pdf, ready: Upright, colours: pikepdf.Object) -> pikepdf.Object:
    """A picture's RGB of 8 bits as an image XObject (clause 8.9.5): lossless, never finer than the printer's grid."""
    image = ready.image
    return pdf.make_indirect(
        pikepdf.Stream(
            pdf,
            ready.deflated,
            Dictionary(
                Type=Name.XObject,
                Subtype=Name.Image,
                Width=image.width,
                Height=image.height,
                ColorSpace=colours,
                BitsPerComponent=8,
                Filter=Name.FlateDecode,
                DecodeParms=Dictionary(Predictor=15, Colors=3, BitsPerComponent=8, Columns=image.width),
            ),
        )
    )


def _picture(
    name: str, placed: PlacedPicture, ready: Upright, sheet: tuple[int, int], ppi: float, height: float
) -> str:
    """The picture's pixels where they belong, cut to its box: it holds a few more than show."""
    image = np.array([[ready.scale[0], 0, ready.start[0]], [0, ready.scale[1], ready.start[1]]])
    to_mm = joined(turned(placed.frame.turn_deg, sheet), image) * MM_PER_INCH / ppi
    # The unit square's origin is the image's lower left corner, its second axis points to the image's head.
    unit = np.array([[ready.image.width, 0, 0], [0, -ready.image.height, ready.image.height]])
    on_page = joined(_to_points(height), joined(to_mm, unit))
    return f"q {_rectangle(placed.box_mm, height)} W n {_matrix(on_page)} cm {name} Do Q"


def _code(code: PlacedCode, height: float, paint: Callable[[Rgb], str]) -> Iterator[str]:
    if code.ground is not None:
        yield paint(code.ground)
        yield f"{_rectangle(code.ground_mm, height)} f"
    yield paint(code.rgb)
    # One path for all: no hairs of white between neighbours.
    yield " ".join(_rectangle(box, height) for box in code.dark_runs()) + " f"


def _stroke(rule: PlacedRule, height: float, colour: OutputColour) -> str:
    start, end = (
        f"{_number(x / MM_PER_POINT)} {_number((height - y) / MM_PER_POINT)}"
        for x, y in (rule.start, rule.end)
    )
    ink, width = _numbers(colour.of_rgb(rule.rgb)), _number(rule.width_mm / MM_PER_POINT)
    return f"q /Output CS {ink} SCN 0 J {width} w {start} m {end} l S Q"


def _to_points(height_mm: float) -> Affine:
    """From the sheet's mm, y downwards, to the page's points, y upwards."""
    return np.array([[1.0, 0.0, 0.0], [0.0, -1.0, height_mm]]) / MM_PER_POINT


def _flipped(matrix: Affine, height_mm: float) -> Affine:
    """A map of the sheet in mm as the same map of the page in points."""
    back = np.array([[MM_PER_POINT, 0.0, 0.0], [0.0, -MM_PER_POINT, height_mm]])
    return joined(_to_points(height_mm), joined(matrix, back))


def _matrix(affine: Affine) -> str:
    """The six numbers of ``cm``: a b c d e f of clause 8.3.3. Six decimals, as they scale whole sheets."""
    return " ".join(_number(value, 6) for value in affine.T.ravel())


def _rectangle(box: Box, height_mm: float) -> str:
    corner = (box.x, height_mm - box.bottom)
    return " ".join(_number(mm / MM_PER_POINT) for mm in (*corner, box.w, box.h)) + " re"


def _page_box(box: Box, height_mm: float) -> Array:
    edges = (box.x, height_mm - box.bottom, box.right, height_mm - box.y)
    return Array([Decimal(_number(edge / MM_PER_POINT)) for edge in edges])


def _numbers(rgb: Rgb) -> str:
    return " ".join(_number(value, 5) for value in rgb)


def _number(value: float, decimals: int = 4) -> str:
    """Four decimals of a point are less than a ten-thousandth of a mm."""
    text = f"{value:.{decimals}f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text
