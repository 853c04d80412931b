"""Cards as a PDF (ISO 32000-1): one page a face, boxes exact, everything in one profiled space; what several pages
show stands in it once.

It states its colours by an output intent and asks for no scaling. It claims no conformance to a part of PDF/X: no
checker has passed it.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import groupby
from pathlib import Path

import numpy as np
import pikepdf
from pikepdf import Array, Dictionary, Name

from tackside.card.layout.layout import CardFace
from tackside.card.layout.placed import PlacedCode, PlacedPicture, PlacedRule, Rgb
from tackside.card.pdf.font import embed_fonts, text_operators
from tackside.card.pixels.conversion import OutputColour, Sharpening
from tackside.card.pixels.cover import Affine
from tackside.card.pixels.jpeg import jpeg_of
from tackside.card.pixels.resample import Upright, joined, made_ready, turned
from tackside.card.type.typeface import Typeface
from tackside.files.pdf import save_patiently
from tackside.fit.placement.correction import IDENTITY, Correction
from tackside.profile.icc.inspect import describe
from tackside.records.sheet_plan import Side
from tackside.units import MM_PER_INCH, MM_PER_POINT, Box, sheet_px


@dataclass(frozen=True)
class PdfPage:
    """A page to be: a face, and the correction that takes wanted places on the sheet to those that the file must have.

    ``label`` is what a viewer calls the page, empty: its number. ``chapter`` is the bookmark that leads to it; pages
    that follow one another under one chapter stand below it by their ``title``.
    """

    face: CardFace
    correction: Correction = IDENTITY
    label: str = ""
    chapter: str = ""
    title: str = ""


def save_pdf(
    faces: Sequence[CardFace],
    ppi: float,
    colour: OutputColour,
    path: Path,
    *,
    sharpening: Sharpening | None = None,
    corrections: Mapping[Side, Correction] | None = None,
    jpeg_quality: int | None = None,
) -> None:
    """Write the faces, a page each. ``corrections`` are by side; the rest is as for ``save_pages``."""
    pages = [PdfPage(face, (corrections or {}).get(face.side, IDENTITY)) for face in faces]
    save_pages(pages, ppi, colour, path, sharpening=sharpening, jpeg_quality=jpeg_quality)


def save_pages(
    pages: Sequence[PdfPage],
    ppi: float,
    colour: OutputColour,
    path: Path,
    *,
    sharpening: Sharpening | None = None,
    jpeg_quality: int | None = None,
    tell: Callable[[int, int], None] = lambda done, of: None,
) -> None:
    """Write the pages, their corrections as each page's first matrix; pictures at ``ppi`` at most, once for all pages
    that show them alike: without loss, or as JPEG of a quality of 1 to 100. Same input, same bytes.

    ``tell`` hears how many pages are done. Raises BadImage, pyvips.Error from a picture, OSError.
    """
    with pikepdf.new() as pdf:
        profile = pdf.make_stream(colour.profile, N=3, Alternate=Name.DeviceRGB)
        space = pdf.make_indirect(Array([Name.ICCBased, profile]))
        fonts = embed_fonts(pdf, [page.face for page in pages])
        pictures = _Pictures(pdf, ppi, colour, space, sharpening, jpeg_quality)
        for number, page in enumerate(pages, start=1):
            _add_page(pdf, page, colour, space, fonts, pictures)
            tell(number, len(pages))
        pdf.Root.OutputIntents = Array([_output_intent(pdf, colour, profile)])
        # A print path that scales to the page would spoil the size: ask it not to (clause 12.2, table 150).
        pdf.Root.ViewerPreferences = Dictionary(PrintScaling=Name("/None"))
        _name_pages(pdf, pages)
        save_patiently(pdf, path, deterministic_id=True, min_version="1.6")


def _name_pages(pdf: pikepdf.Pdf, pages: Sequence[PdfPage]) -> None:
    """Page labels (clause 12.4.2), each of them a prefix alone, and bookmarks (clause 12.3.3)."""
    if any(page.label for page in pages):
        labels: list[pikepdf.Object | int] = []
        for number, page in enumerate(pages):
            named = (
                Dictionary(P=pikepdf.String(page.label))
                if page.label
                else Dictionary(S=Name.D, St=number + 1)
            )
            labels += [number, named]
        pdf.Root.PageLabels = Dictionary(Nums=Array(labels))
    if not any(page.chapter for page in pages):
        return
    with pdf.open_outline() as outline:
        for chapter, held in groupby(enumerate(pages), key=lambda each: each[1].chapter):
            inside = list(held)
            item = pikepdf.OutlineItem(chapter, inside[0][0])
            if len(inside) > 1:
                item.children.extend(pikepdf.OutlineItem(page.title, number) for number, page in inside)
                item.is_closed = True
            outline.root.append(item)


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
    page: PdfPage,
    colour: OutputColour,
    space: pikepdf.Object,
    fonts: Mapping[Typeface, tuple[str, pikepdf.Object]],
    pictures: _Pictures,
) -> None:
    face, correction = page.face, page.correction
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
        shown = pictures.shown(placed, face.fit.size_mm)
        images[f"/Picture{number}"] = shown.image
        content.append(_picture(f"/Picture{number}", placed, shown, pictures.ppi, height))
    for code in face.codes:
        content += _code(code, height, paint)
    for text in face.texts:
        content += text_operators(text, height, paint)
    content += [_stroke(rule, height, colour) for rule in face.rules]
    sheet_box = Box(0, 0, *face.fit.size_mm)
    # A box that reached past the medium would be cut to it all the same (clause 14.11.2.1).
    bleed = face.bleed.intersection(sheet_box) or sheet_box
    used = dict.fromkeys(run.font for text in face.texts for run in text.runs)
    made = Dictionary(
        Type=Name.Page,
        MediaBox=_page_box(sheet_box, height),
        BleedBox=_page_box(bleed, height),
        TrimBox=_page_box(face.trim, height),
        Resources=Dictionary(
            XObject=Dictionary(images),
            Font=Dictionary(dict(fonts[each] for each in used)),
            ColorSpace=Dictionary(Output=space),
        ),
        Contents=pdf.make_stream("\n".join(content).encode("ascii")),
    )
    pdf.pages.append(pikepdf.Page(pdf.make_indirect(made)))


@dataclass(frozen=True)
class _Shown:
    """A picture in the file: ``size_px`` (w, h), and what takes its pixels to the upright sheet's, as ``Upright`` says;
    ``sheet`` is the sheet in pixels."""

    image: pikepdf.Object
    size_px: tuple[int, int]
    scale: tuple[float, float]
    start: tuple[float, float]
    sheet: tuple[int, int]


@dataclass
class _Pictures:
    """The pictures of a file, each of them once for each way that it is shown."""

    pdf: pikepdf.Pdf
    ppi: float
    colour: OutputColour
    space: pikepdf.Object
    sharpening: Sharpening | None
    jpeg_quality: int | None
    known: dict[Hashable, _Shown] = field(default_factory=dict)

    def shown(self, placed: PlacedPicture, size_mm: tuple[float, float]) -> _Shown:
        key = (placed.picture.path, placed.place, size_mm)
        if key not in self.known:
            sheet = sheet_px(size_mm, self.ppi)
            ready = made_ready(placed, self.ppi, sheet, self.colour, self.sharpening)
            size = ready.image.width, ready.image.height
            self.known[key] = _Shown(self._image(ready), size, ready.scale, ready.start, sheet)
        return self.known[key]

    def _image(self, ready: Upright) -> pikepdf.Object:
        """A picture's RGB of 8 bits as an image XObject (clause 8.9.5), never finer than the printer's grid."""
        image = ready.image
        about = Dictionary(
            Type=Name.XObject,
            Subtype=Name.Image,
            Width=image.width,
            Height=image.height,
            ColorSpace=self.space,
            BitsPerComponent=8,
        )
        if self.jpeg_quality is not None:
            about.Filter = Name.DCTDecode
            data = jpeg_of(image, self.jpeg_quality)
        else:
            about.Filter = Name.FlateDecode
            about.DecodeParms = Dictionary(Predictor=15, Colors=3, BitsPerComponent=8, Columns=image.width)
            data = ready.deflated
        return self.pdf.make_indirect(pikepdf.Stream(self.pdf, data, about))


def _picture(name: str, placed: PlacedPicture, shown: _Shown, ppi: float, height: float) -> str:
    """The picture's pixels where they belong, cut to its box: it holds a few more than show."""
    image = np.array([[shown.scale[0], 0, shown.start[0]], [0, shown.scale[1], shown.start[1]]])
    to_mm = joined(turned(placed.frame.turn_deg, shown.sheet), image) * MM_PER_INCH / ppi
    # The unit square's origin is the image's lower left corner, its second axis points to the image's head.
    width, tall = shown.size_px
    unit = np.array([[width, 0, 0], [0, -tall, tall]])
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
