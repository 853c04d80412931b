"""Every element within 0.1 mm and 0.05° of its place, over random stocks × printers × designs,
300 of them in full.

Read back from the PDF as two independent renderers draw it, PDFium and poppler, and from the TIFF by OpenCV. Places are
found as a person with a lens would: the middles of round marks inside the picture, by centroid, and the picture's
edges, where the grey crosses half way. What is expected is worked out here from the design alone.
"""

from __future__ import annotations

import io
import math
import shutil
import subprocess
from dataclasses import dataclass, replace
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from PIL import Image

from tackside.card.file.design import Card, CardPicture
from tackside.card.make import make_card
from tackside.fit.placement.correction import Correction
from tackside.fit.placement.measured import UNMEASURED, PrintPath
from tackside.records import Crease, Feed, Margins, Printer, Stock
from tackside.units import Box
from tests import extent

NEEDS_POPPLER = pytest.mark.skipif(
    shutil.which("pdftocairo") is None, reason="poppler's pdftocairo is not here"
)
WITHIN_MM, WITHIN_DEG = 0.1, 0.05
DARK, LIGHT, PAPER = 70, 190, 255
# Marks of the picture, as shares of its width and height, and their radius as a share of its shorter side.
MARKS = ((0.24, 0.24), (0.76, 0.24), (0.76, 0.76), (0.24, 0.76))
RADIUS = 0.055


@dataclass(frozen=True)
class Design:
    size: tuple[float, float]
    crease: tuple[str, float] | None
    panel: str
    fold: str | None
    fit: str
    border: float
    pixels: tuple[int, int]
    ppi: float
    margin: float
    correction: tuple[tuple[float, float, float], tuple[float, float, float]] | None


@st.composite
def designs(draw: st.DrawFn) -> Design:
    size = (draw(st.floats(90, 150)), draw(st.floats(90, 150)))
    direction = draw(st.sampled_from(["horizontal", "vertical", None]))
    crease = None
    if direction:
        length = size[1] if direction == "horizontal" else size[0]
        crease = (direction, draw(st.floats(length * 0.42, length * 0.58)))
    panels = ["front", "back", "inside-left", "inside-right"] if crease else ["front", "back"]
    longest, aspect = draw(st.integers(250, 1100)), draw(st.floats(0.8, 1.25))
    correction = None
    if draw(st.booleans()):
        turn = math.radians(draw(st.floats(-0.5, 0.5)))
        sx, sy = draw(st.floats(0.994, 1.006)), draw(st.floats(0.994, 1.006))
        dx, dy = draw(st.floats(-1.5, 1.5)), draw(st.floats(-1.5, 1.5))
        correction = (
            (sx * math.cos(turn), -sy * math.sin(turn), dx),
            (sx * math.sin(turn), sy * math.cos(turn), dy),
        )
    plain = Design(
        size=size,
        crease=crease,
        panel=draw(st.sampled_from(panels)),
        fold=draw(st.sampled_from(["left", "top", None])) if crease else None,
        fit=draw(st.sampled_from(["fill", "fit"])),
        border=draw(st.floats(4, 9)),
        pixels=(1, 1),
        ppi=draw(st.sampled_from([150.0, 180.0, 200.0])),
        margin=draw(st.floats(2, 4)),
        correction=correction,
    )
    # Of a shape not too far from that of its room, so that a crop leaves the marks in.
    panel, turn = where(plain)
    room = panel.shrunk(plain.border)
    shape = room.h / room.w if turn in (0, 180) else room.w / room.h
    shape *= aspect
    wide = longest / max(shape, 1)
    return replace(plain, pixels=(round(wide), round(wide * shape)))


def picture(size: tuple[int, int]) -> np.ndarray:
    """Dark, with four light round marks, their rims grey to a hundredth of a pixel's share."""
    width, height = size
    y, x = np.mgrid[0:height, 0:width] + 0.5
    image = np.full((height, width), float(DARK))
    for u, v in MARKS:
        far = np.hypot(x - u * width, y - v * height)
        image += (LIGHT - DARK) * np.clip(RADIUS * min(width, height) - far + 0.5, 0, 1)
    return np.rint(image).astype(np.uint8)


def machine(design: Design) -> tuple[Stock, Printer]:
    creases = () if design.crease is None else (Crease(direction=design.crease[0], at_mm=design.crease[1]),)
    stock = Stock(name="Any 200", open_size_mm=design.size, creases=creases, coated="both")
    edge = design.margin
    feed = Feed(
        name="rear",
        min_size_mm=(50, 50),
        max_size_mm=(330, 500),
        margins_mm=Margins(top=edge, bottom=edge, left=edge, right=edge),
    )
    return stock, Printer(name="Any 1", grid_ppi=design.ppi, feeds=(feed,))


def expected(design: Design) -> tuple[Box, list[tuple[float, float]]]:
    """The picture's box on the sheet and its marks' middles, both in mm, from the design alone.

    Folding by hand: the front lies right of or below the crease, seen from the inside it is mirrored. A turn is
    clockwise: at 90° the picture's head points right.
    """
    panel, turn = where(design)
    room = panel.shrunk(design.border)
    wide, tall = (room.w, room.h) if turn in (0, 180) else (room.h, room.w)
    pw, ph = design.pixels
    scale = (max if design.fit == "fill" else min)(wide / pw, tall / ph)
    shown = (min(pw * scale, wide), min(ph * scale, tall))
    on_sheet = shown if turn in (0, 180) else shown[::-1]
    x, y = room.centre
    marks = []
    for u, v in MARKS:
        right, down = (u - 0.5) * pw * scale, (v - 0.5) * ph * scale
        for _ in range(turn // 90):  # clockwise, with y downwards
            right, down = -down, right
        marks.append((x + right, y + down))
    return Box(x - on_sheet[0] / 2, y - on_sheet[1] / 2, *on_sheet), marks


def where(design: Design) -> tuple[Box, int]:
    """The panel and its clockwise turn. The turns are those of test_fold.py, found there by folding."""
    width, height = design.size
    if design.crease is None:
        return Box(0, 0, width, height), 0
    direction, at = design.crease
    stands = design.fold or ("left" if direction == "vertical" else "top")
    inside = design.panel.startswith("inside")
    if direction == "vertical":
        along = at if not inside else width - at
        right = design.panel in ("front", "inside-right")
        box = Box(along, 0, width - along, height) if right else Box(0, 0, along, height)
        away = design.panel == "back"
        return box, 0 if stands == "left" else (90 if away else 270)
    below = design.panel in ("front", "inside-left")
    box = Box(0, at, width, height - at) if below else Box(0, 0, width, at)
    if stands == "top":
        return box, 0 if design.panel == "front" else 180
    return box, 270 if inside else 90


def printed(point: tuple[float, float], design: Design) -> tuple[float, float]:
    if design.correction is None:
        return point
    (a, b, c), (d, e, f) = design.correction
    return a * point[0] + b * point[1] + c, d * point[0] + e * point[1] + f


def middle(
    page: np.ndarray, near: tuple[float, float], reach: float, mm: tuple[float, float]
) -> tuple[float, float]:
    """The centroid of what is light within ``reach`` of a place; ``mm`` are the millimetres of a pixel."""
    left, top = int((near[0] - reach) / mm[0]), int((near[1] - reach) / mm[1])
    right, bottom = int((near[0] + reach) / mm[0]) + 2, int((near[1] + reach) / mm[1]) + 2
    part = page[max(top, 0) : bottom, max(left, 0) : right].astype(float)
    weight = np.clip((part - DARK) / (LIGHT - DARK), 0, 1)
    weight[weight < 0.06] = 0
    y, x = np.mgrid[0 : part.shape[0], 0 : part.shape[1]] + 0.5
    total = weight.sum()
    return (
        float((weight * x).sum() / total + max(left, 0)) * mm[0],
        float((weight * y).sum() / total + max(top, 0)) * mm[1],
    )


def edge(values: np.ndarray, near: float, mm: float) -> float:
    """Where a row of pixels crosses from paper to picture, or back, near a place in mm: the dark's own extent.

    A pixel that is half paper lies half in the picture: the sum of what is dark on one side of the place.
    """
    first, last = int((near - 2) / mm), int((near + 2) / mm)
    part = np.clip((PAPER - values[first:last].astype(float)) / (PAPER - DARK), 0, 1)
    dark = part.sum()
    return (last - dark) * mm if part[-1] > part[0] else (first + dark) * mm


def check_marks(found: list[tuple[float, float]], design: Design, what: str) -> None:
    aims = [printed(mark, design) for mark in expected(design)[1]]
    for aim, place in zip(aims, found, strict=True):
        assert math.dist(aim, place) <= WITHIN_MM, f"{what}: a mark at {aim} is at {place}: {design}"
    for one, other in ((0, 2), (1, 3)):
        turn = angle(found[one], found[other]) - angle(aims[one], aims[other])
        assert abs((turn + 180) % 360 - 180) <= WITHIN_DEG, f"{what}: turned by {turn}°: {design}"


def marks_on(page: np.ndarray, design: Design, mm: tuple[float, float]) -> list[tuple[float, float]]:
    marks = expected(design)[1]
    return [middle(page, printed(mark, design), RADIUS * mark_scale(marks) * 1.5, mm) for mark in marks]


def check_edges(page: np.ndarray, design: Design, mm: tuple[float, float], what: str) -> None:
    box, _ = expected(design)
    x, y = box.centre
    for point, axis in (((box.x, y), 0), ((box.right, y), 0), ((x, box.y), 1), ((x, box.bottom), 1)):
        aim = printed(point, design)
        line = page[int(aim[1] / mm[1])] if axis == 0 else page[:, int(aim[0] / mm[0])]
        place = edge(line, aim[axis], mm[axis])
        assert abs(place - aim[axis]) <= WITHIN_MM, f"{what}: an edge at {aim[axis]} is at {place}: {design}"


def mark_scale(marks: list[tuple[float, float]]) -> float:
    """The picture's shorter side on the card, in mm."""
    return min(math.dist(marks[0], marks[1]), math.dist(marks[0], marks[3])) / 0.52


def angle(one: tuple[float, float], other: tuple[float, float]) -> float:
    return math.degrees(math.atan2(other[1] - one[1], other[0] - one[0]))


def check_by_pdfium(file: Path, design: Design) -> None:
    """PDFium draws pictures that lie aslant two or three pixels off, at any resolution: so each mark is looked at under
    a glass. The picture's edges are vectors, and are seen on the whole page."""
    document = pypdfium2.PdfDocument(file)
    try:
        page = document[0]
        drawn = np.asarray(page.render(scale=300 / 72, grayscale=True).to_pil())
        mm = (design.size[0] / drawn.shape[1], design.size[1] / drawn.shape[0])
        check_edges(drawn, design, mm, "PDFium")
        check_marks([under_glass(page, mark, design) for mark in expected(design)[1]], design, "PDFium")
    finally:
        document.close()


def under_glass(page: pypdfium2.PdfPage, mark: tuple[float, float], design: Design) -> tuple[float, float]:
    """The middle of one mark at 1200 ppi. PDFium makes its page whole pixels, and cuts from it by whole pixels."""
    scale, (width, height) = 1200 / 72, design.size
    aim, radius = printed(mark, design), RADIUS * mark_scale(expected(design)[1])
    reach = 2 * radius
    edges = (aim[0] - reach, height - aim[1] - reach, width - aim[0] - reach, aim[1] - reach)
    cut = tuple(max(edge, 0.0) * 72 / 25.4 for edge in edges)
    seen = np.asarray(page.render(scale=scale, grayscale=True, crop=cut).to_pil())
    mm = (width / math.ceil(page.get_width() * scale), height / math.ceil(page.get_height() * scale))
    start = (math.ceil(cut[0] * scale) * mm[0], math.ceil(cut[3] * scale) * mm[1])
    x, y = middle(seen, (aim[0] - start[0], aim[1] - start[1]), radius * 1.5, mm)
    return x + start[0], y + start[1]


def by_poppler(file: Path, page: int, ppi: float) -> np.ndarray:
    number = str(page + 1)
    drawn = subprocess.run(
        [
            "pdftocairo",
            "-r",
            f"{ppi:g}",
            "-png",
            "-gray",
            "-singlefile",
            "-f",
            number,
            "-l",
            number,
            str(file),
            "-",
        ],
        check=True,
        capture_output=True,
    ).stdout
    return np.asarray(Image.open(io.BytesIO(drawn)).convert("L"))


def by_opencv(file: Path) -> np.ndarray:
    return np.asarray(cv2.imread(str(file), cv2.IMREAD_GRAYSCALE))


@pytest.mark.slow
@NEEDS_POPPLER
@settings(
    max_examples=extent.drawn(60, 300),
    phases=(Phase.generate,),  # a failure says enough of itself
    suppress_health_check=[HealthCheck.function_scoped_fixture],
)
@given(design=designs())
def test_every_element_is_where_the_design_puts_it(tmp_path: Path, design: Design) -> None:
    pixels = picture(design.pixels)
    Image.fromarray(np.stack([pixels] * 3, axis=-1)).save(tmp_path / "marks.png", compress_level=1)
    asked = CardPicture(panel=design.panel, file="marks.png", fit=design.fit, border_mm=design.border)
    card = Card(stock="Any 200", printer="Any 1", fold=design.fold, pictures=(asked,), folder=tmp_path)
    stock, printer = machine(design)
    path = PrintPath()
    if design.correction:
        measured = UNMEASURED.model_copy(update={"correction": Correction(matrix=design.correction)})
        path = PrintPath({"front": measured, "back": measured})
    make_card(card, stock, printer, tmp_path / "card.pdf", path=path)
    make_card(card, stock, printer, tmp_path / "card.tif", path=path)
    check_by_pdfium(tmp_path / "card.pdf", design)
    for drawn, ppi, what in (
        (by_poppler(tmp_path / "card.pdf", 0, 150), 150, "poppler"),
        (by_opencv(tmp_path / "card.tif"), design.ppi, "TIFF"),
    ):
        mm = (25.4 / ppi, 25.4 / ppi)
        check_marks(marks_on(drawn, design, mm), design, what)
        check_edges(drawn, design, mm, what)
