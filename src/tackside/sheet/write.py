"""Writing a sheet as TIFF (libvips) or PDF (pikepdf). Same input, same bytes; never half-written."""

from __future__ import annotations

import zlib
from decimal import Decimal
from pathlib import Path

import pikepdf
import pyvips
from pikepdf import Array, Dictionary, Name

from tackside import __version__
from tackside.errors import BadRequest, StorageTrouble
from tackside.files.atomic import atomic_path
from tackside.files.pdf import save_patiently
from tackside.profile.icc.working_space import working_space_profile
from tackside.records import SheetPlan
from tackside.sheet.canvas import Image
from tackside.units import MM_PER_INCH

TIFF_SUFFIXES = (".tif", ".tiff")
PDF_SUFFIXES = (".pdf",)
_POINTS_PER_MM = 72 / MM_PER_INCH
_PLACES = 4  # of a point in the PDF: 0.000035 mm


def write_sheet(plan: SheetPlan, image: Image, path: Path) -> None:
    """Write a sheet of one page by the path's suffix: .tif, .tiff or .pdf. Raises BadRequest for any other."""
    check_suffix(path)
    if path.suffix.lower() in PDF_SUFFIXES:
        write_pdf(plan, image, path)
    else:
        write_tiff(plan, image, path)


def files_of(path: Path, pages: int) -> tuple[Path, ...]:
    """The files that a sheet of so many pages is written to: one PDF; of TIFFs one a page, sheet-1.tif and on."""
    check_suffix(path)
    if pages == 1 or path.suffix.lower() in PDF_SUFFIXES:
        return (path,)
    return tuple(path.with_name(f"{path.stem}-{page}{path.suffix}") for page in range(1, pages + 1))


def check_suffix(path: Path) -> None:
    """Raises BadRequest for a file that a sheet is not written as."""
    if path.suffix.lower() not in TIFF_SUFFIXES + PDF_SUFFIXES:
        raise BadRequest("sheet.suffix", file=path.name)


def write_tiff(plan: SheetPlan, image: Image, path: Path) -> None:
    """A TIFF at true size, Deflate with the horizontal predictor; the plan's space embedded, or no profile.

    ``image`` is (h, w, 3) bytes of the plan's size. Raises StorageTrouble where the disk refuses.
    """
    height, width = image.shape[:2]
    picture = pyvips.Image.new_from_memory(image.data, width, height, 3, "uchar")
    per_mm = plan.ppi / MM_PER_INCH
    picture = picture.copy(interpretation="srgb", xres=per_mm, yres=per_mm)
    if plan.space is not None:
        picture.set_type(pyvips.GValue.blob_type, "icc-profile-data", working_space_profile(plan.space))
    with atomic_path(path) as temporary:
        try:
            picture.tiffsave(
                str(temporary), compression="deflate", predictor="horizontal", resunit="inch",
                keep="icc" if plan.space else "none",
            )  # fmt: skip
        except pyvips.Error as error:
            raise StorageTrouble("sheet.not-written", file=str(path)) from error


def write_pdf(plan: SheetPlan, image: Image, path: Path) -> None:
    """A PDF of one page: see ``SheetPdf``."""
    pdf = SheetPdf()
    pdf.add(plan, image)
    pdf.save(path)


class SheetPdf:
    """A PDF whose pages are the sheet's: MediaBox and TrimBox their exact size, one lossless image on each.

    The colours are ICCBased with the plan's space, or DeviceRGB for bare device numbers. It holds no
    date, and its identifier is made from its contents.
    """

    def __init__(self) -> None:
        self._pdf = pikepdf.new()
        # Scaling to the paper would spoil every measure on the sheet: ask viewers not to offer it first.
        self._pdf.Root.ViewerPreferences = Dictionary(PrintScaling=Name("/None"))
        self._pdf.docinfo["/Title"] = "Test sheet"
        self._pdf.docinfo["/Producer"] = f"Tackside {__version__}"

    def add(self, plan: SheetPlan, image: Image) -> None:
        """One more page; ``image`` is (h, w, 3) bytes of the plan's size."""
        pdf = self._pdf
        width_pt, height_pt = (Decimal(str(round(mm * _POINTS_PER_MM, _PLACES))) for mm in plan.size_mm)
        # The image keeps its own grid: it is set from the top left, at most half a dot larger or smaller.
        image_w, image_h = (Decimal(str(round(dots * 72 / plan.ppi, _PLACES))) for dots in plan.size_px)
        content = f"q {image_w} 0 0 {image_h} 0 {height_pt - image_h} cm /Sheet Do Q".encode()
        box = Array([0, 0, width_pt, height_pt])
        page = Dictionary(
            Type=Name.Page,
            MediaBox=box,
            TrimBox=box,
            Resources=Dictionary(XObject=Dictionary(Sheet=_picture(pdf, plan, image))),
            Contents=pdf.make_stream(content),
        )
        pdf.pages.append(pikepdf.Page(pdf.make_indirect(page)))
        if plan.tags and len(pdf.pages) == 1:
            pdf.docinfo["/Title"] = f"Test sheet {plan.tags[0].text}"

    def save(self, path: Path) -> None:
        """Raises StorageTrouble where the disk refuses."""
        with atomic_path(path) as temporary:
            save_patiently(
                self._pdf, temporary, deterministic_id=True, min_version="1.7", fix_metadata_version=False
            )


def _picture(pdf: pikepdf.Pdf, plan: SheetPlan, image: Image) -> pikepdf.Stream:
    """The image as a Flate stream with PNG's Sub predictor, row by row, for the memory's sake."""
    height, width = image.shape[:2]
    colours = Name.DeviceRGB if plan.space is None else _icc_based(pdf, working_space_profile(plan.space))
    stream = pikepdf.Stream(pdf, _packed(image))
    stream.stream_dict = Dictionary(
        Type=Name.XObject,
        Subtype=Name.Image,
        Width=width,
        Height=height,
        BitsPerComponent=8,
        ColorSpace=colours,
        Interpolate=False,
        Filter=Name.FlateDecode,
        DecodeParms=Dictionary(Predictor=11, Colors=3, BitsPerComponent=8, Columns=width),
    )
    return pdf.make_indirect(stream)


def _icc_based(pdf: pikepdf.Pdf, profile: bytes) -> Array:
    space = pdf.make_stream(profile)
    space.N = 3
    space.Alternate = Name.DeviceRGB
    return Array([Name.ICCBased, space])


def _packed(image: Image) -> bytes:
    """Each row led by PNG's filter number 1 and told as differences to the pixel on its left (PNG, 9.2)."""
    packer = zlib.compressobj(level=6)
    parts = []
    for row in image:
        differences = row.copy()
        differences[1:] -= row[:-1]  # bytes wrap round, as PNG wants
        parts.append(packer.compress(b"\x01" + differences.tobytes()))
    parts.append(packer.flush())
    return b"".join(parts)
